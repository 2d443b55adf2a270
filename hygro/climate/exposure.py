"""How exposed each elevation is to driving rain: indices, spells, exposure category, methods compared."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any, Final

import numpy as np
import xarray as xr

from hygro.climate.site import SiteFactors, elevation_name
from hygro.climate.spans import wind_and_rain, year_slices
from hygro.climate.spells import exceeded_once, spells_of, worst_spells
from hygro.errors import ClimateError
from hygro.physics.rain import facing_wind, hourly_airfield_rain
from hygro.physics.rain_estimates import (
    ASHRAE_DEPOSITION,
    Exposure,
    ashrae_exposure_factor,
    ashrae_wall_rain,
    lacy_driving_rain,
    rounded_driving_rain,
    sheltered_height,
)

EIGHT: Final = (0.0, 45.0, 90.0, 135.0, 180.0, 225.0, 270.0, 315.0)
"""The eight main directions [degrees from north]."""

CATEGORIES: Final[tuple[tuple[float, str], ...]] = (
    (33.0, "sheltered"),
    (56.5, "moderate"),
    (100.0, "severe"),
    (np.inf, "very severe"),
)
"""Exposure category below a wall spell index [l/m2 per spell]; Approved Document C 2013, Diagram 12, index of
BS 8104, read second-hand."""

YEARS_FOR_PERCENTILE: Final = 10
"""Fewest years for a percentile of spells to mean anything; from memory of ISO 15927-3, unconfirmed. Fewer
are computed and said."""

TERRAIN_EXPOSURE: Final[dict[str, Exposure]] = {
    "I": "severe",
    "II": "severe",
    "III": "medium",
    "IV": "sheltered",
}
"""ASHRAE 160 exposure that stands beside a terrain of ISO 15927-3 in comparisons; own choice."""


@dataclass(frozen=True)
class ElevationExposure:
    """Driving rain on one elevation.

    Attributes
    ----------
    elevation : float
        Direction the wall faces [degrees from north].
    name : str
        In words.
    years : int
        Years of the record.
    airfield_index, wall_index : float
        Annual indices, mean of the years [l/(m2 a)].
    airfield_spell, wall_spell : float
        Spell index that the greatest spell of a year exceeds once in three years [l/m2].
    wall_spell_10 : float
        The same once in ten years [l/m2].
    worst_spell : float
        Greatest wall spell of the record [l/m2].
    worst_begin, worst_end : str
        Its first and last hour with driving rain, UTC.
    category : str
        Exposure category by `wall_spell`.
    """

    elevation: float
    name: str
    years: int
    airfield_index: float
    wall_index: float
    airfield_spell: float
    wall_spell: float
    wall_spell_10: float
    worst_spell: float
    worst_begin: str
    worst_end: str
    category: str

    def to_dict(self) -> dict[str, Any]:
        """Return the fields as a dict that JSON takes."""
        return asdict(self)


def exposure_category(wall_spell: float) -> str:
    """Return the exposure category of a wall spell index.

    Parameters
    ----------
    wall_spell : float
        Once in three years [l/m2].

    Returns
    -------
    str
        "sheltered", "moderate", "severe" or "very severe"; the limit itself counts to the upper one.
    """
    return next(name for limit, name in CATEGORIES if wall_spell < limit)


def exposure_table(
    weather: xr.Dataset, site: SiteFactors | None = None, elevations: Sequence[float] = EIGHT
) -> tuple[ElevationExposure, ...]:
    """Work out how exposed each elevation is.

    Parameters
    ----------
    weather : xarray.Dataset
        From `hygro.climate.load_weather`, of one or more whole years.
    site : SiteFactors, optional
        Default: those of `SiteFactors()`.
    elevations : sequence of float
        Directions [degrees from north]; default the eight main ones.

    Returns
    -------
    tuple of ElevationExposure
        In the order of `elevations`.

    Raises
    ------
    ClimateError
        Where the record holds no rain or no whole years.

    References
    ----------
    ISO 15927-3:2009 clauses 3 and 5; BS 8104 (spell once in three years).
    """
    site = SiteFactors() if site is None else site
    refuse_without_rain(weather)
    years = year_slices(weather)
    columns = wind_and_rain(weather)
    end = weather["time"].to_numpy().astype("datetime64[h]")
    rows = []
    for elevation in elevations:
        airfield = hourly_airfield_rain(*columns, elevation)
        spells = spells_of(airfield)
        worst = worst_spells(spells, years)
        greatest = max(spells, key=lambda spell: spell.amount, default=None)
        index = float(airfield.sum()) / len(years)
        once_in_three = exceeded_once(worst, 3)
        rows.append(
            ElevationExposure(
                elevation=float(elevation),
                name=elevation_name(elevation),
                years=len(years),
                airfield_index=index,
                wall_index=index * site.rain_factor,
                airfield_spell=once_in_three,
                wall_spell=once_in_three * site.rain_factor,
                wall_spell_10=exceeded_once(worst, 10) * site.rain_factor,
                worst_spell=0.0 if greatest is None else greatest.amount * site.rain_factor,
                worst_begin="" if greatest is None else f"{end[greatest.first] - np.timedelta64(1, 'h')}",
                worst_end="" if greatest is None else f"{end[greatest.last]}",
                category=exposure_category(once_in_three * site.rain_factor),
            )
        )
    return tuple(rows)


def refuse_without_rain(weather: xr.Dataset) -> None:
    """Refuse a record that was read without rain on purpose.

    Raises
    ------
    ClimateError
        Where its `rain` attribute says "none".
    """
    if weather.attrs.get("rain") == "none":
        raise ClimateError(
            "driving rain cannot be told from a record without rain",
            where=str(weather.attrs.get("file", "")) or None,
            hint="give a file with hourly rain, or make hours from monthly normals (docs/site.md)",
        )


@dataclass(frozen=True)
class MethodRow:
    """Yearly rain on one elevation by one method.

    Attributes
    ----------
    method : str
        Its name.
    in_the_open : float
        Through a vertical plane in the open [l/(m2 a)].
    on_the_wall : float
        On the wall, before splash [l/(m2 a)].
    why : str
        What sets it apart.
    """

    method: str
    in_the_open: float
    on_the_wall: float
    why: str

    def to_dict(self) -> dict[str, Any]:
        """Return the fields as a dict that JSON takes."""
        return asdict(self)


def method_table(
    weather: xr.Dataset, site: SiteFactors, elevation: float, deposition: str = "below a steep roof"
) -> tuple[MethodRow, ...]:
    """Compare yearly rain on an elevation by ISO 15927-3, by Lacy and by ASHRAE 160.

    Parameters
    ----------
    weather : xarray.Dataset
        From `hygro.climate.load_weather`.
    site : SiteFactors
        Of the wall.
    elevation : float
        [degrees from north].
    deposition : str
        What F_D of ASHRAE 160 to take: a key of `hygro.physics.rain_estimates.ASHRAE_DEPOSITION`.

    Returns
    -------
    tuple of MethodRow
        ISO 15927-3 first.
    """
    refuse_without_rain(weather)
    years = len(year_slices(weather))
    wind, direction, rain = wind_and_rain(weather)
    cosine = facing_wind(direction, elevation)
    factor = site.rain_factor
    iso = float(hourly_airfield_rain(wind, direction, rain, elevation).sum()) / years
    lacy = float((lacy_driving_rain(wind, rain) * cosine).sum()) / years
    rounded = float((rounded_driving_rain(wind, rain) * cosine).sum()) / years
    from_means = float(rounded_driving_rain(wind.mean(), rain.sum())) / years
    exposure = TERRAIN_EXPOSURE[str(site.terrain)]
    exposed = ashrae_exposure_factor(site.height, exposure)
    ashrae = float(ashrae_wall_rain(wind, rain, cosine, exposed, ASHRAE_DEPOSITION[deposition]).sum()) / years
    return (
        MethodRow(
            "ISO 15927-3, hourly",
            iso,
            iso * factor,
            "2/9 v r^(8/9) cos; wall: C_R C_T O W, the obstacles before this wall included",
        ),
        MethodRow(
            "Lacy, 0.222 v r^0.88 cos",
            lacy,
            lacy * factor,
            "the same relation before its numbers were rounded; weak rain counts a little more, strong less",
        ),
        MethodRow(
            "linear, 0.2 v r cos",
            rounded,
            rounded * factor,
            "all drops fall alike, so drizzle counts less and cloudbursts more than with the power",
        ),
        MethodRow(
            "ASHRAE 160",
            rounded,
            ashrae,
            f"linear; F_E {exposed:g} ({exposure}) and F_D {ASHRAE_DEPOSITION[deposition]:g} ({deposition}) "
            "for C_R C_T O W: it knows no obstacle before the wall",
        ),
        MethodRow(
            "0.2 x mean wind x rain of the year",
            from_means,
            from_means * factor,
            "needs no hours, but faces every wind at once and does not know that wet hours are windy",
        ),
    )


def share_below_overhang(
    weather: xr.Dataset, site: SiteFactors, elevation: float, overhang: float, below: float
) -> float:
    """Share of the driving rain on an elevation that reaches a point below an overhang.

    Parameters
    ----------
    weather : xarray.Dataset
        From `hygro.climate.load_weather`.
    site : SiteFactors
        Of the wall; its wind factor brings the wind to the wall.
    elevation : float
        [degrees from north].
    overhang : float
        How far eaves or a string course stand out [m].
    below : float
        How far below them the point lies [m].

    Returns
    -------
    float
        [1]; 0 where no rain comes from this side.

    Notes
    -----
    Straight trajectories in undisturbed wind (`hygro.physics.rain_estimates.sheltered_height`), no published
    source: for information, since the wall factors already hold an overhang of 350 mm.
    """
    refuse_without_rain(weather)
    wind, direction, rain = wind_and_rain(weather)
    driving = hourly_airfield_rain(wind, direction, rain, elevation)
    if not driving.any():
        return 0.0
    shelter = sheltered_height(overhang, wind * site.wind_factor, facing_wind(direction, elevation))
    return float(driving[shelter < below].sum() / driving.sum())
