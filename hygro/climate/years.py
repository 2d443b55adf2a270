"""Years of a long record by how wet they leave a wall: the severe, the average, the driest; stitching."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any, Final, Literal

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from hygro.climate.checks import is_leap_day
from hygro.climate.exposure import refuse_without_rain
from hygro.climate.site import SiteFactors
from hygro.climate.spans import wind_and_rain, year_slices
from hygro.climate.spells import spells_of, worst_spells
from hygro.constants import ZERO_CELSIUS
from hygro.errors import ClimateError
from hygro.physics.moist_air import saturation_pressure
from hygro.physics.rain import hourly_airfield_rain
from hygro.physics.surfaces import convective_coefficient, vapour_coefficient
from hygro.physics.typing import FloatArray

Method = Literal["climatic index", "driving rain", "moisture index"]
Choice = Literal["severe", "average", "driest"]

METHODS: Final[tuple[Method, ...]] = ("climatic index", "driving rain", "moisture index")
CHOICES: Final[tuple[Choice, ...]] = ("severe", "average", "driest")

SEVERE_SHARE: Final = 0.1
"""Share of years that are worse than the severe one: it comes back once in ten years, as EN 15026 asks of a
design year (from memory, unconfirmed)."""

HUMIDITY_RATIO: Final = 0.622
"""Molar mass of water over that of dry air [1]; ASHRAE Handbook Fundamentals 2021, ch. 1."""

FIRST_STAMP: Final = np.datetime64("2001-01-01T00", "h")
"""Begin of a stitched record."""


@dataclass(frozen=True)
class YearFigures:
    """What a year does to a wall.

    Attributes
    ----------
    year : int
        Calendar year of its first hour.
    position : int
        In the record, from 0.
    driving_rain : float
        Airfield annual index on the elevation [l/(m2 a)]: the wetting index.
    worst_spell : float
        Greatest airfield spell [l/m2].
    drying : float
        Drying index: sum over the hours of saturation humidity ratio less humidity ratio [kg h/kg a].
    evaporation : float
        What a wet wall at air temperature could give off [kg/(m2 a)].
    air_temperature : float
        Mean [degC].
    relative_humidity : float
        Mean [1].
    moisture_index, climatic_index : float
        See `year_figures` [1].
    """

    year: int
    position: int
    driving_rain: float
    worst_spell: float
    drying: float
    evaporation: float
    air_temperature: float
    relative_humidity: float
    moisture_index: float
    climatic_index: float

    def figure(self, method: Method) -> float:
        """Return the figure by which a method ranks; the greater, the wetter."""
        if method == "moisture index":
            return self.moisture_index
        return self.climatic_index if method == "climatic index" else self.driving_rain

    def to_dict(self) -> dict[str, Any]:
        """Return the fields as a dict that JSON takes."""
        return asdict(self)


def year_figures(
    weather: xr.Dataset, elevation: float, site: SiteFactors | None = None
) -> tuple[YearFigures, ...]:
    """Work out the figures of each year of a record.

    Parameters
    ----------
    weather : xarray.Dataset
        From `hygro.climate.load_weather`.
    elevation : float
        Direction the wall faces [degrees from north].
    site : SiteFactors, optional
        Its wind factor brings the wind to the wall for `evaporation`, and its rain factor the rain for the
        climatic index. Default: those of `SiteFactors()`.

    Returns
    -------
    tuple of YearFigures
        In the order of the record.

    Raises
    ------
    ClimateError
        Where the record holds no rain or no whole years.

    References
    ----------
    Moisture index: Cornick, Djebbar and Dalgliesh 2003, Building and Environment 38: the root of the sum of
    squares of the wetting index and of 1 less the drying index, both scaled to 0 to 1 between the least and
    greatest year; here with driving rain on the elevation for the wetting. From memory, unconfirmed. A
    record of one year has moisture index 1 by definition, and where all years agree in one index, it counts
    as 0.
    Climatic index: rain on the wall over what it could give off, after Zhou, Derome and Carmeliet 2016,
    Building and Environment; from memory, unconfirmed. Their evaporation includes sun; here it is
    the vapour deficit of the air alone.
    """
    refuse_without_rain(weather)
    site = SiteFactors() if site is None else site
    years = year_slices(weather)
    rain = hourly_airfield_rain(*wind_and_rain(weather), elevation)
    spells = worst_spells(spells_of(rain), years)
    wetting = np.array([float(rain[year].sum()) for year in years])
    deficit = np.array([float(_ratio_deficit(weather)[year].sum()) for year in years])
    evaporation = np.array([float(_evaporation(weather, site)[year].sum()) for year in years])
    index = np.hypot(_scaled(wetting), 1.0 - _scaled(deficit))
    begins = weather["time"].to_numpy().astype("datetime64[h]") - np.timedelta64(1, "h")
    return tuple(
        YearFigures(
            year=int(str(begins[year.start].astype("datetime64[Y]"))),
            position=k,
            driving_rain=float(wetting[k]),
            worst_spell=float(spells[k]),
            drying=float(deficit[k]),
            evaporation=float(evaporation[k]),
            air_temperature=float(weather["air_temperature"][year].mean()),
            relative_humidity=float(weather["relative_humidity"][year].mean()),
            moisture_index=float(index[k]),
            climatic_index=float(wetting[k] * site.rain_factor / evaporation[k]),
        )
        for k, year in enumerate(years)
    )


def _scaled(values: FloatArray) -> FloatArray:
    span = values.max() - values.min()
    return (values - values.min()) / span if span > 0.0 else np.zeros_like(values)


def _pressures(weather: xr.Dataset) -> tuple[FloatArray, FloatArray]:
    """Return saturation and vapour pressure [Pa]."""
    saturation = saturation_pressure(weather["air_temperature"].to_numpy() + ZERO_CELSIUS)
    return saturation, weather["relative_humidity"].to_numpy() * saturation


def _ratio_deficit(weather: xr.Dataset) -> FloatArray:
    """Return how much more vapour the air could hold [kg/kg]."""
    pressure = weather["air_pressure"].to_numpy()
    saturation, vapour = _pressures(weather)
    return HUMIDITY_RATIO * (saturation / (pressure - saturation) - vapour / (pressure - vapour))


def _evaporation(weather: xr.Dataset, site: SiteFactors) -> FloatArray:
    """Return what a wet wall at air temperature gives off [kg/m2 in the hour]."""
    convective = convective_coefficient(weather["wind_speed"].to_numpy() * site.wind_factor)
    saturation, vapour = _pressures(weather)
    air = weather["air_temperature"].to_numpy() + ZERO_CELSIUS
    return 3600.0 * vapour_coefficient(convective, air) * (saturation - vapour)


def ranked(figures: Sequence[YearFigures], method: Method = "climatic index") -> list[YearFigures]:
    """Return years from the wettest to the driest by a method."""
    return sorted(figures, key=lambda year: year.figure(method), reverse=True)


def chosen_year(
    figures: Sequence[YearFigures], choice: Choice, method: Method = "climatic index"
) -> YearFigures:
    """Choose a year.

    Parameters
    ----------
    figures : sequence of YearFigures
        Of a record of two years at least.
    choice : {"severe", "average", "driest"}
        The severe year is the one that a tenth of the years exceed, by the plotting position m/(n + 1) of
        the m-th wettest; in a record of up to 14 years it is the wettest. The average year is the one
        whose figure is nearest to the mean.
    method : str
        One of `METHODS`.

    Returns
    -------
    YearFigures
        The year.

    Raises
    ------
    ClimateError
        Where there is only one year.
    """
    if len(figures) < 2:
        raise ClimateError(
            "there is nothing to choose from a record of one year",
            hint="give a record of several years, or make some from monthly normals (docs/site.md)",
        )
    order = ranked(figures, method)
    if choice == "driest":
        return order[-1]
    if choice == "severe":
        rank = max(1, int(np.ceil(SEVERE_SHARE * (len(order) + 1) - 0.5 - 1e-9)))
        return order[rank - 1]
    mean = sum(year.figure(method) for year in order) / len(order)
    return min(order, key=lambda year: abs(year.figure(method) - mean))


def stitched(weather: xr.Dataset, positions: Sequence[int], reason: str = "") -> xr.Dataset:
    """Put years of a record one behind the other.

    Parameters
    ----------
    weather : xarray.Dataset
        From `hygro.climate.load_weather`.
    positions : sequence of int
        Years by their position in the record, from 0; a year may come more than once.
    reason : str
        How they were chosen, for the `source` attribute.

    Returns
    -------
    xarray.Dataset
        Stamped from 2001 on. 29 February is dropped. Variables jump where one year meets the next.

    Raises
    ------
    ClimateError
        Where a year is not in the record.
    """
    slices = year_slices(weather)
    if not positions or any(not 0 <= position < len(slices) for position in positions):
        raise ClimateError(
            "the record does not hold these years",
            found=", ".join(str(position) for position in positions) or "none",
            expected=f"positions from 0 to {len(slices) - 1}",
        )
    hour = np.timedelta64(1, "h")
    begins = weather["time"].to_numpy().astype("datetime64[h]") - hour
    if begins[0] != begins[0].astype("datetime64[Y]"):
        raise ClimateError(
            "the years of the record do not start with 1 January, 0 h UTC", found=str(begins[0])
        )
    kept = [np.arange(slices[p].start, slices[p].stop) for p in positions]
    stays = ~is_leap_day(np.asarray(begins, dtype="datetime64[h]"))
    kept = [hours[stays[hours]] for hours in kept]
    names = [str(begins[slices[p].start].astype("datetime64[Y]")) for p in positions]
    axis: NDArray[np.datetime64] = FIRST_STAMP + np.arange(len(positions) * 8784 + 24) * hour
    ends = (axis[~is_leap_day(axis)][: len(positions) * 8760] + hour).astype("datetime64[ns]")
    joined = weather.isel(time=np.concatenate(kept))
    joined = joined.assign_coords(time=("time", ends, weather["time"].attrs))
    joined.attrs = weather.attrs | {
        "source": f"{' '.join(names)} of {weather.attrs.get('file', 'a record')} (sha256 "
        f"{str(weather.attrs.get('sha256', 'unknown'))[:12]}){f', {reason}' if reason else ''}, stamped anew "
        f"from 2001; that record: {weather.attrs.get('source', '') or 'source not said'}",
        "leap_policy": "29 February dropped",
    }
    return joined
