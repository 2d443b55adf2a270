"""The case file as a whole: its sections, and the section of limits."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import AfterValidator, Field, model_validator

from hygro.case.base import List, Section, Words, refuse
from hygro.case.boundaries import BoundarySection
from hygro.case.limits import LIMITS, MARGINS
from hygro.case.programme import ProgrammeSection
from hygro.case.room import RoomSection
from hygro.case.run import (
    AS_RECORDED,
    GridSection,
    OutputSection,
    PhysicsSection,
    RunSection,
)
from hygro.case.site import SiteSection
from hygro.case.sources import LeakSection, RainPenetrationSection, SourceSection
from hygro.case.walls import BuildUpSection, ProbeSection, WallSection

_BY_KEY = {limit.key: limit for limit in LIMITS + MARGINS}


def _limit(key: str) -> Any:
    """Field of a limit, from the table that holds its default and source."""
    limit = _BY_KEY[key]
    return Field(default=limit.value, ge=0.0, le=limit.most, description=limit.meaning)


def _known_limits(sources: dict[str, str]) -> dict[str, str]:
    for key in sources:
        if key not in _BY_KEY:
            raise refuse(
                f"gives a source for {key!r}, which is no limit", expected="keys of [limits]", shown=False
            )
    return sources


class LimitsSection(Section):
    """What counts as too wet, and how near to that is marginal."""

    interface_relative_humidity_percent: float = _limit("interface_relative_humidity_percent")
    mould_index_interface: float = _limit("mould_index_interface")
    mould_index_surface: float = _limit("mould_index_surface")
    timber_percent: float = _limit("timber_percent")
    margin_relative_humidity_percent: float = _limit("margin_relative_humidity_percent")
    margin_mould_index: float = _limit("margin_mould_index")
    margin_timber_percent: float = _limit("margin_timber_percent")
    sources: Annotated[dict[str, str], AfterValidator(_known_limits)] = Field(
        default_factory=dict, description="Why a limit differs from its default: key = source."
    )

    def values(self) -> dict[str, float]:
        """Return the limits and margins by key, without their sources."""
        return {key: getattr(self, key) for key in _BY_KEY}


class CaseFile(Section):
    """A case file: one place, one wall, the build-ups that could be put on it."""

    title: Words = Field(description="One line for headings.")
    description: str = Field(default="", description="What the case is about, and what is invented.")
    bare_wall: bool = Field(
        default=True, description="Whether the wall without any build-up is computed too, as reference."
    )
    site: SiteSection | None = Field(
        default=None, description="Needed where the external boundary is a climate."
    )
    room: RoomSection | None = Field(
        default=None, description="Needed where the internal boundary is a climate."
    )
    wall: WallSection = Field(description="The old wall.")
    build_up: List[BuildUpSection] = Field(default=(), description="Ways to insulate it.")
    probe: List[ProbeSection] = Field(default=(), description="Depths at which the history is kept.")
    source: List[SourceSection] = Field(default=(), description="Heat or moisture given to layers.")
    leak: List[LeakSection] = Field(default=(), description="Room air that leaks behind layers.")
    rain_penetration: List[RainPenetrationSection] = Field(
        default=(), description="Driving rain that gets into layers."
    )
    programme: ProgrammeSection | None = Field(
        default=None, description="When wet coats are applied; needed by hygro coats."
    )
    run: RunSection = Field(default_factory=RunSection, description="How long to run.")
    grid: GridSection = Field(default_factory=GridSection, description="How finely to divide.")
    output: OutputSection = Field(default_factory=OutputSection, description="What to keep.")
    physics: PhysicsSection = Field(default_factory=PhysicsSection, description="Conventions.")
    limits: LimitsSection = Field(default_factory=LimitsSection, description="Limits.")
    external: BoundarySection = Field(default_factory=BoundarySection, description="Outer boundary.")
    internal: BoundarySection = Field(default_factory=BoundarySection, description="Inner boundary.")

    @model_validator(mode="before")
    @classmethod
    def _hours_replace_years(cls, data: Any) -> Any:
        """Let [run] hours stand alone: no years, and a start as recorded, unless the file says otherwise."""
        run = data.get("run") if isinstance(data, dict) else None
        if isinstance(run, dict) and "hours" in run:
            return data | {"run": {"years": None, "start_month": AS_RECORDED} | run}
        return data
