"""[site]: the weather, the elevations, and what stands between the rain and the wall."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BeforeValidator, Field

from hygro.case.base import Positive, Section, Share, Words, refuse
from hygro.climate.site import elevation_name, parse_elevation
from hygro.errors import ClimateError

ALL = "all"
"""What stands for the eight main elevations."""

EIGHT_POINTS = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")

_TERRAIN = {1: "I", 2: "II", 3: "III", 4: "IV"}


def _terrain(value: Any) -> str:
    """Accept 1 to 4 and I to IV."""
    if isinstance(value, int) and not isinstance(value, bool) and value in _TERRAIN:
        return _TERRAIN[value]
    if isinstance(value, str) and value.strip().upper() in _TERRAIN.values():
        return value.strip().upper()
    raise refuse("is no terrain category of ISO 15927-3", expected="one of I, II, III, IV (or 1 to 4)")


def _elevations(value: Any) -> Any:
    """Accept compass points and degrees, each direction once; "all" stands for the eight main ones."""
    if value == ALL:
        return EIGHT_POINTS
    if not isinstance(value, list | tuple) or not value:
        raise refuse("is no list of elevations", expected='a list such as ["SW", "N", 225], or "all"')
    names = []
    for entry in value:
        try:
            names.append(elevation_name(parse_elevation(entry)))
        except (ClimateError, TypeError):
            raise refuse(
                f"holds {entry!r}, which is no elevation",
                expected="compass points (N, NNE, NE ...) or degrees from north (0 to 360)",
                shown=False,
            ) from None
    if twice := [name for name in names if names.count(name) > 1]:
        raise refuse(f"names the elevation {twice[0]} twice", expected="each direction once", shown=False)
    return tuple(value)


class SiteSection(Section):
    """Where the wall stands."""

    weather: Words = Field(
        description="Weather file, relative to the case file; docs/climate.md lists the formats."
    )
    rain: Words | None = Field(
        default=None,
        description='Hourly rain file where the weather has none, or "none" to do without rain on purpose.',
    )
    elevations: Annotated[tuple[str | float, ...], BeforeValidator(_elevations)] = Field(
        description='Directions the wall faces: compass points or degrees from north, or "all" eight.'
    )
    latitude_deg: Annotated[float, Field(ge=-90.0, le=90.0)] | None = Field(
        default=None, description="Where the weather file does not say; with longitude_deg and altitude_m."
    )
    longitude_deg: Annotated[float, Field(ge=-180.0, le=180.0)] | None = Field(
        default=None, description="East positive."
    )
    altitude_m: Annotated[float, Field(ge=-500.0, le=6000.0)] | None = Field(
        default=None, description="Above sea level."
    )
    utc_offset_h: Annotated[float, Field(ge=-12.0, le=14.0)] | None = Field(
        default=None, description="Standard time of the stamps less UTC, where the weather file does not say."
    )
    columns: dict[str, str] | None = Field(
        default=None,
        description="Columns of a .csv, .parquet or TMY3 file: known name = the file's own name.",
    )
    terrain: Annotated[str, BeforeValidator(_terrain)] = Field(
        default="III", description="Terrain category of ISO 15927-3, I (open sea) to IV (dense town)."
    )
    topography: Annotated[float, Field(ge=0.5, le=2.0)] = Field(
        default=1.0, description="Topography coefficient of ISO 15927-3; 1 on flat ground."
    )
    obstruction: Share | None = Field(default=None, description="Obstruction factor of ISO 15927-3.")
    obstruction_distance_m: Positive | None = Field(
        default=None, description="Distance to the nearest obstacle of like height, instead of the factor."
    )
    wall_factor: Annotated[float, Field(gt=0.0, le=1.0)] = Field(
        default=0.4, description="Wall factor of ISO 15927-3; 0.4 is the mean of a two-storey gable."
    )
    height_m: Annotated[float, Field(gt=0.0, le=200.0)] = Field(
        default=10.0, description="Height above ground at which wind and rain act."
    )
    uptake_share: Annotated[float, Field(gt=0.0, le=1.0)] = Field(
        default=0.7,
        description="Share of the rain on the wall that does not splash off (research practice).",
    )
    ground_reflectance: Share = Field(default=0.2, description="Share of the sun that the ground reflects.")
    sky_view: Share = Field(
        default=0.5, description="Share of the sky that the wall sees; 0.5 where nothing stands before it."
    )
