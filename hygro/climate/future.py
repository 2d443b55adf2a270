"""A year as it may be in a changed climate: morphing of a base year by monthly change factors.

Belcher, Hacker and Powell 2005, Building Services Engineering Research and Technology 26: shift, x + d;
stretch, a x; and both, x + d + a (x - monthly mean). The form is well known, read second-hand here.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from hygro.climate.normals import monthly_mean
from hygro.climate.record import QUANTITIES
from hygro.climate.sky import dew_point, dew_point_pressure
from hygro.climate.spans import months_of
from hygro.climate.toml_table import monthly_values, read_toml, refuse_unknown, table_of, words_of
from hygro.constants import ZERO_CELSIUS
from hygro.errors import ClimateError
from hygro.physics.surfaces import sky_radiation
from hygro.physics.typing import FloatArray

CHANGES: Final[dict[str, tuple[float, float]]] = {
    "air_temperature_K": (-5.0, 15.0),
    "daily_range_K": (-5.0, 5.0),
    "vapour_pressure_percent": (-50.0, 200.0),
    "relative_humidity_points": (-30.0, 30.0),
    "rain_percent": (-90.0, 200.0),
    "rain_intensity_percent": (-50.0, 100.0),
    "wind_speed_percent": (-50.0, 50.0),
    "solar_global_percent": (-50.0, 50.0),
}
"""Change factors of a file, with limits: by month, January first."""

HIGH_HOUR: Final = 0.99
"""Share of the wet hours of a month that lie below the strong hour which `rain_intensity_percent` changes."""

LEAST_RAIN: Final = 0.05
"""Rain of an hour [mm] below which it counts as none after morphing: half the step of rain gauges."""


@dataclass(frozen=True)
class Changes:
    """Monthly change factors.

    Attributes
    ----------
    title, source : str
        What they stand for, and where they come from.
    values : dict of str to array, shape (12,)
        By the names in `CHANGES`; what is not named does not change.
    sha256 : str
        Of the file.
    """

    title: str
    source: str
    values: dict[str, FloatArray] = field(default_factory=dict)
    sha256: str = ""

    def factor(self, name: str) -> FloatArray:
        """Return 1 plus a change in percent, by month."""
        return 1.0 + self.values.get(name, np.zeros(12)) / 100.0


def load_changes(path: str | Path) -> Changes:
    """Read change factors from TOML.

    Parameters
    ----------
    path : str or Path
        With `title`, `source` and a table `[monthly]`, see docs/site.md.

    Returns
    -------
    Changes
        Checked.

    Raises
    ------
    ClimateError
        Where a key is missing, unknown or impossible.
    """
    path = Path(path)
    data = read_toml(path)
    refuse_unknown(path, "", data, ("title", "source", "monthly"))
    title, source = (words_of(path, data, key) for key in ("title", "source"))
    monthly = table_of(path, data, "monthly")
    refuse_unknown(path, "[monthly] ", monthly, tuple(CHANGES))
    if {"vapour_pressure_percent", "relative_humidity_points"} <= set(monthly):
        raise ClimateError(
            "humidity is changed twice",
            where=str(path),
            found="vapour_pressure_percent and relative_humidity_points",
            hint="give one of the two",
        )
    values = {name: monthly_values(path, monthly, name, CHANGES[name]) for name in monthly}
    return Changes(title, source, values, hashlib.sha256(path.read_bytes()).hexdigest())


def morphed(weather: xr.Dataset, changes: Changes) -> xr.Dataset:
    """Morph a base record.

    Parameters
    ----------
    weather : xarray.Dataset
        From `hygro.climate.load_weather`, of whole years.
    changes : Changes
        By month.

    Returns
    -------
    xarray.Dataset
        Of the same hours; attributes say what it was made from and by which changes.

    Notes
    -----
    Temperature: shift, and stretch of the daily course where the daily range changes. Humidity: vapour
    pressure stretched, or relative humidity shifted, and never above saturation; where neither is given
    relative humidity stays, so that vapour grows with warmth. Rain: `c r^p` hour by hour, which gives the
    month its changed sum and the hour that 99 % of its wet hours stay below its changed amount; wet hours
    neither come nor move, and the weakest fall away where rain gets more intense. Wind and sun: stretch.
    Long-wave of the sky: in proportion to what its model gives for the old and the new temperature and dew
    point under the same cloud. Direction and pressure stay.
    """
    month = months_of(weather)
    temperature = _temperature(weather, changes, month)
    humidity, saturated = _humidity(weather, changes, month, temperature)
    sun = changes.factor("solar_global_percent")[month]
    new = {
        "air_temperature": temperature,
        "relative_humidity": humidity,
        "wind_speed": weather["wind_speed"].to_numpy() * changes.factor("wind_speed_percent")[month],
        "rain": _rain(weather, changes, month),
        "longwave_sky": _longwave(weather, temperature, humidity),
    }
    for name in ("solar_global", "solar_direct_normal", "solar_diffuse"):
        new[name] = np.minimum(weather[name].to_numpy() * sun, QUANTITIES[name].high)
    made = weather.assign({name: ("time", values, weather[name].attrs) for name, values in new.items()})
    made.attrs = weather.attrs | {
        "name": f"{weather.attrs.get('name', 'a record')}, {changes.title}",
        "source": _provenance(weather, changes),
        "saturated_hours": saturated,
    }
    return made


def _provenance(weather: xr.Dataset, changes: Changes) -> str:
    base = weather.attrs
    said = "; ".join(
        f"{name} {', '.join(f'{value:g}' for value in values)}" for name, values in changes.values.items()
    )
    return (
        f"MORPHED, not measured: {changes.title}; changes by month: {said}; their source: {changes.source} "
        f"(sha256 {changes.sha256[:12] or 'unknown'}); base: {base.get('file', 'a record')} (sha256 "
        f"{str(base.get('sha256', 'unknown'))[:12]}): {base.get('source', '') or 'source not said'}"
    )


def _temperature(weather: xr.Dataset, changes: Changes, month: NDArray[np.int64]) -> FloatArray:
    """Shift, and stretch about the mean of each day where the daily range changes."""
    old = weather["air_temperature"].to_numpy()
    shifted = old + changes.values.get("air_temperature_K", np.zeros(12))[month]
    if "daily_range_K" not in changes.values:
        return shifted
    days = old.reshape(-1, 24)
    mean = np.repeat(days.mean(axis=1), 24)
    range_now = monthly_mean(np.ptp(days, axis=1), month[::24])
    stretch = changes.values["daily_range_K"] / np.maximum(range_now, 1e-9)
    return np.asarray(shifted + np.maximum(stretch, -1.0)[month] * (old - mean))


def _humidity(
    weather: xr.Dataset, changes: Changes, month: NDArray[np.int64], temperature: FloatArray
) -> tuple[FloatArray, int]:
    """Return relative humidity and the hours in which it had to be held at saturation."""
    old = weather["relative_humidity"].to_numpy()
    if "vapour_pressure_percent" in changes.values:
        vapour = old * dew_point_pressure(weather["air_temperature"].to_numpy())
        new = vapour * changes.factor("vapour_pressure_percent")[month] / dew_point_pressure(temperature)
    else:
        new = old + changes.values.get("relative_humidity_points", np.zeros(12))[month] / 100.0
    return np.clip(new, 0.01, 1.0), int((new > 1.0 + 1e-9).sum())


def _rain(weather: xr.Dataset, changes: Changes, month: NDArray[np.int64]) -> FloatArray:
    """Return c r^p, month by month."""
    rain: FloatArray = weather["rain"].to_numpy().copy()
    total = changes.factor("rain_percent")
    strong = changes.factor("rain_intensity_percent") if "rain_intensity_percent" in changes.values else total
    for number in range(12):
        chosen = (month == number) & (rain > 0.0)
        if chosen.any():
            rain[chosen] = stretched_rain(rain[chosen], float(total[number]), float(strong[number]))
    return rain


def stretched_rain(rain: FloatArray, total: float, strong: float) -> FloatArray:
    """Stretch wet hours so that their sum and their strong hour change by different factors.

    Parameters
    ----------
    rain : array
        Wet hours [mm], above 0.
    total : float
        Factor of their sum [1].
    strong : float
        Factor of the hour that `HIGH_HOUR` of them stay below [1].

    Returns
    -------
    array
        c r^p [mm]; hours that come out below `LEAST_RAIN` are 0, and the others make up for them.

    Raises
    ------
    ClimateError
        Where no power between 0.3 and 3 does it.
    """
    if total == strong:
        return rain * total
    high = float(np.quantile(rain, HIGH_HOUR))

    def ratio(power: float) -> float:
        made = rain**power
        return high**power / float(made.sum()) * float(rain.sum()) / high

    low_power, high_power = 0.3, 3.0
    wanted = strong / total
    if not ratio(low_power) <= wanted <= ratio(high_power):
        raise ClimateError(
            "rain cannot become so much stronger or weaker with the hours that are wet",
            found=f"strong hours times {strong:g} with a sum times {total:g}",
            expected=f"a ratio of {ratio(low_power):.2f} to {ratio(high_power):.2f}",
            hint="bring rain_intensity_percent nearer to rain_percent",
        )
    for _ in range(60):
        power = 0.5 * (low_power + high_power)
        low_power, high_power = (power, high_power) if ratio(power) < wanted else (low_power, power)
    made = rain**power
    made *= total * rain.sum() / made.sum()
    made[made < LEAST_RAIN] = 0.0
    return np.asarray(made * (total * rain.sum() / made.sum()))


def _longwave(weather: xr.Dataset, temperature: FloatArray, humidity: FloatArray) -> FloatArray:
    """Scale by the model's ratio of new to old; cloud cancels out of it."""
    clear = np.zeros(len(temperature))

    def modelled(celsius: FloatArray, relative: FloatArray) -> FloatArray:
        point = dew_point(celsius, relative)
        return np.asarray(sky_radiation(celsius + ZERO_CELSIUS, point + ZERO_CELSIUS, clear))

    old = modelled(weather["air_temperature"].to_numpy(), weather["relative_humidity"].to_numpy())
    return weather["longwave_sky"].to_numpy() * modelled(temperature, humidity) / old
