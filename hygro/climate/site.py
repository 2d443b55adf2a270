"""What of its surroundings matters to a wall: terrain, obstacles, kind of wall, direction."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from hygro.errors import ClimateError
from hygro.physics.rain import TERRAINS, roughness_coefficient

POINTS: Final = (
    "N",
    "NNE",
    "NE",
    "ENE",
    "E",
    "ESE",
    "SE",
    "SSE",
    "S",
    "SSW",
    "SW",
    "WSW",
    "W",
    "WNW",
    "NW",
    "NNW",
)
"""Points of the compass, 22.5 degrees apart."""


def parse_elevation(value: str | float) -> float:
    """Return the direction a wall faces.

    Parameters
    ----------
    value : str or float
        A point of the compass ("SW", "nne") or degrees from north, 0 to 360.

    Returns
    -------
    float
        [degrees from north], at least 0 and below 360.

    Raises
    ------
    ClimateError
        Where it is neither.
    """
    if isinstance(value, str) and value.strip().upper() in POINTS:
        return POINTS.index(value.strip().upper()) * 22.5
    try:
        degrees = float("nan") if isinstance(value, bool) else float(value)
    except ValueError:
        degrees = float("nan")
    if not 0.0 <= degrees <= 360.0:
        raise ClimateError(
            "the elevation is no direction",
            found=value,
            expected="a point of the compass such as N, NNE, SW, or degrees from 0 to 360",
        )
    return degrees % 360.0


def elevation_name(degrees: float) -> str:
    """Return the point of the compass, or degrees where it is none.

    Parameters
    ----------
    degrees : float
        Direction the wall faces [degrees from north].

    Returns
    -------
    str
        "SW", or "200 deg".
    """
    step = degrees % 360.0 / 22.5
    return POINTS[int(step)] if step == int(step) else f"{degrees % 360.0:g} deg"


@dataclass(frozen=True)
class SiteFactors:
    """Factors of a wall and its surroundings.

    Parameters
    ----------
    terrain : {"I", "II", "III", "IV", 1, 2, 3, 4}
        Roughness of the land upwind, ISO 15927-3.
    topography : float
        Topography factor C_T [1]; 1 on flat ground.
    obstruction : float
        Obstruction factor O [1]; `hygro.physics.rain.obstruction_factor` gives it by distance.
    wall_factor : float
        Wall factor W [1]; `hygro.physics.rain.WALL_FACTORS` lists it by kind of wall. The default, 0.4, is
        that of a two-storey gable, the greatest of the means of whole walls.
    height : float
        Height above ground at which the wind is taken [m]. Default 10 m: eaves of an old terrace, common
        practice.
    uptake_share : float
        Share of the rain on the wall that does not splash off [1]; 0.7, second-hand from ISO 15927-3
        practice.

    Raises
    ------
    ClimateError
        Where a value is out of range.
    """

    terrain: str | int = "III"
    topography: float = 1.0
    obstruction: float = 1.0
    wall_factor: float = 0.4
    height: float = 10.0
    uptake_share: float = 0.7

    def __post_init__(self) -> None:
        names = list(TERRAINS)
        if self.terrain in (1, 2, 3, 4):
            object.__setattr__(self, "terrain", names[int(self.terrain) - 1])
        if self.terrain not in TERRAINS:
            raise ClimateError("the terrain is not known", found=self.terrain, expected="I, II, III or IV")
        for name, low, high in (
            ("topography", 0.5, 2.0),
            ("obstruction", 0.0, 1.0),
            ("wall_factor", 0.0, 1.0),
            ("height", 0.5, 200.0),
            ("uptake_share", 0.0, 1.0),
        ):
            value = getattr(self, name)
            if not low <= value <= high:
                what = name.replace("_", " ")
                raise ClimateError(
                    f"the {what} is out of range", found=value, expected=f"{low:g} to {high:g}"
                )

    @property
    def roughness(self) -> float:
        """Terrain roughness coefficient C_R at the height of the wall [1]."""
        return roughness_coefficient(self.height, TERRAINS[str(self.terrain)])

    @property
    def rain_factor(self) -> float:
        """Product C_R C_T O W: rain on the wall per rain on the airfield plane [1]."""
        return self.roughness * self.topography * self.obstruction * self.wall_factor

    @property
    def wind_factor(self) -> float:
        """Product C_R C_T: wind at the wall per wind at 10 m in the open [1]."""
        return self.roughness * self.topography
