"""[programme]: when wet coats are applied, and the air that dries them."""

from __future__ import annotations

import re
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from hygro.case.base import HumidityPercent, List, Section, refuse
from hygro.case.room import RoomSection
from hygro.case.walls import Name

_DAY = re.compile(r"(?:(\d{4})-)?(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])")

_DAYS_OF_MONTH = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


def _day(value: Any) -> str:
    """Accept a day of a year, or of one year of the record."""
    found = _DAY.fullmatch(value) if isinstance(value, str) else None
    if found is None or int(found[3]) > _DAYS_OF_MONTH[int(found[2]) - 1]:
        raise refuse(
            "is no day on which to start",
            expected='a month and a day such as "10-01", with a year where the weather has several',
            hint="29 February is in no repeated year" if value == "02-29" else None,
        )
    return str(value)


Day = Annotated[str, BeforeValidator(_day)]
"""A day such as "10-01" or "2003-10-01"."""


class ProgrammeRoom(RoomSection):
    """[[programme.room]]: the air that dries the coats until the finish is on."""

    name: Name = Field(description="What results call it, such as ventilated.")


class ProgrammeSection(Section):
    """How wet coats follow one another."""

    starts: List[Day] = Field(description="Days on which the first coat is applied; each is a programme.")
    room: List[ProgrammeRoom] = Field(
        default=(), description="Climates of the room while coats dry; that of [room] where there is none."
    )
    wall_starts: Literal["repeating", "initial"] = Field(
        default="repeating",
        description="Moisture of the old wall: its repeating year on that day, or the initial state given.",
    )
    finish_when_humidity_percent: HumidityPercent = Field(
        default=85.0,
        description="A film goes on a coat whose mean water is at most what this humidity leaves in it.",
    )
    finish_waits_for: Literal["coat beneath", "all coats"] = Field(
        default="coat beneath", description="Which coats must be that dry before a film goes on."
    )
    most_days: Annotated[int, Field(ge=1, le=3650)] = Field(
        default=365, description="Longest wait for one coat; then the programme ends there."
    )
    settled_percent: Annotated[float, Field(gt=0.0, le=100.0)] = Field(
        default=5.0, description="Distance of the wall's water from its repeating year that counts as none."
    )
