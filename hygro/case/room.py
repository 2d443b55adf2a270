"""[room]: the climate on the inner side."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from hygro.case.base import Celsius, HumidityPercent, Section, Words

RoomKind = Literal[
    "EN 15026 normal",
    "EN 15026 high",
    "ISO 13788 class 1",
    "ISO 13788 class 2",
    "ISO 13788 class 3",
    "ISO 13788 class 4",
    "ISO 13788 class 5",
    "constant",
    "series",
]
"""Ways to state the climate of a room."""


class RoomSection(Section):
    """How warm and humid the room is."""

    climate: RoomKind = Field(description="Where the room climate comes from.")
    temperature_C: Celsius | None = Field(
        default=None, description="Room temperature; needed where constant, allowed with an ISO 13788 class."
    )
    relative_humidity_percent: HumidityPercent | None = Field(
        default=None, description="Needed where constant."
    )
    file: Words | None = Field(
        default=None, description="Hourly series, needed where the climate is a series."
    )
