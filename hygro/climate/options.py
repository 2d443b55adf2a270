"""What has to be said about a weather file that the file itself does not say."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final, Literal

from hygro.errors import ClimateError
from hygro.physics.rain import TERRAINS

LONGEST_GAP: Final = 3
"""Hours in a row that are filled unless told otherwise; own rule: the course of a day still shows."""

MOST_FILLED: Final = 24
"""Hours in a row that may be filled at most; own rule: beyond a day nothing tells what the weather did."""


@dataclass(frozen=True)
class ReadOptions:
    """How a weather file is to be read.

    Parameters
    ----------
    columns : mapping
        Known column name (`hygro.climate.columns`) to the file's own.
    location : (float, float, float), optional
        Latitude [degrees north], longitude [degrees east], altitude [m].
    utc_offset_hours : float, optional
        Standard time of the stamps less UTC [h].
    time_zone : str, optional
        Name in the time zone database, such as "Europe/London", where stamps follow daylight saving.
    missing : tuple of str
        Cells that mean that a value is missing, besides empty ones.
    years : (int, int), optional
        First and last calendar year to take, by the stamps of the file.
    wind_height : float
        Height of the anemometer above ground [m].
    wind_terrain : {"I", "II", "III", "IV"}
        Terrain around the anemometer, as in `hygro.physics.rain.TERRAINS`.
    fill_hours : int
        Longest gap that is filled [h]; 0 fills none, `MOST_FILLED` is the most.
    grid : {"nearest", "bilinear"}
        Of gridded data: the cell next to the place, or the four around it.

    Raises
    ------
    ClimateError
        Where one of them is out of range.
    """

    columns: Mapping[str, str] = field(default_factory=dict)
    location: tuple[float, float, float] | None = None
    utc_offset_hours: float | None = None
    time_zone: str | None = None
    missing: tuple[str, ...] = ()
    years: tuple[int, int] | None = None
    wind_height: float = 10.0
    wind_terrain: str = "II"
    fill_hours: int = LONGEST_GAP
    grid: Literal["nearest", "bilinear"] = "nearest"

    def __post_init__(self) -> None:
        if not 1.0 <= self.wind_height <= 200.0:
            raise ClimateError(
                "the height of the anemometer is out of range",
                found=self.wind_height,
                expected="1 to 200 m",
            )
        if self.wind_terrain not in TERRAINS:
            raise ClimateError(
                "the terrain of the anemometer is not known",
                found=self.wind_terrain,
                expected=", ".join(TERRAINS),
            )
        if not 0 <= self.fill_hours <= MOST_FILLED:
            raise ClimateError(
                "the longest gap to fill is out of range",
                found=self.fill_hours,
                expected=f"0 to {MOST_FILLED} h",
                hint="take longer gaps from a neighbouring station",
            )
        if self.grid not in ("nearest", "bilinear"):
            raise ClimateError(
                "the way to take a place out of a grid is not known",
                found=self.grid,
                expected="nearest or bilinear",
            )
        if self.years is not None and self.years[0] > self.years[1]:
            raise ClimateError(
                "the years to take are in the wrong order",
                found=f"{self.years[0]} to {self.years[1]}",
                expected="the first, then the last",
            )
        if self.utc_offset_hours is not None and not -12.0 <= self.utc_offset_hours <= 14.0:
            raise ClimateError(
                "the offset from UTC is out of range", found=self.utc_offset_hours, expected="-12 to 14 h"
            )
        if self.time_zone is not None and self.utc_offset_hours is not None:
            raise ClimateError(
                "both a time zone and an offset from UTC are given",
                found=f"{self.time_zone} and {self.utc_offset_hours:g} h",
                expected="one of them",
                hint="a time zone is for stamps that follow daylight saving",
            )
