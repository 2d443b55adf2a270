"""Monthly normals: the climate table of a place, read from TOML, taken from a record, written."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np
import xarray as xr

from hygro.climate.spans import months_of
from hygro.climate.toml_table import is_number, monthly_values, read_toml, refuse_unknown, table_of, words_of
from hygro.errors import ClimateError
from hygro.physics.typing import FloatArray
from hygro.whole_files import write_text

RAIN_DAY: Final = 1.0
"""Rain [mm] from which a day is a rain day; usual in climate tables (WMO)."""

MONTHLY: Final[dict[str, tuple[float, float]]] = {
    "air_temperature_C": (-50.0, 45.0),
    "daily_range_K": (0.0, 30.0),
    "relative_humidity_percent": (5.0, 100.0),
    "wind_speed_m_s": (0.1, 30.0),
    "rain_mm": (0.0, 2000.0),
    "rain_days": (0.0, 31.0),
}
"""Needed in [monthly], with limits."""

SUN: Final[dict[str, tuple[float, float]]] = {
    "sun_hours": (0.0, 500.0),
    "solar_global_kWh_m2": (0.0, 350.0),
}
"""One of these is needed in [monthly]."""

SITE_KEYS: Final = ("title", "source", "latitude_deg", "longitude_deg", "altitude_m", "monthly", "wind")
WIND_KEYS: Final = (
    "rose_percent",
    "wet_rose_percent",
    "prevailing_direction_deg",
    "wet_prevailing_direction_deg",
)

SPREADS: Final = (80.0, 45.0)
"""Standard deviation of the wind's direction about a prevailing one in dry and in wet hours [degrees], where
no rose is given: that of the invented coast, by eye, no published source."""


@dataclass(frozen=True)
class Normals:
    """Climate table of a place.

    Attributes
    ----------
    title, source : str
        Which place, and where the numbers come from.
    latitude, longitude, altitude : float
        [degrees north], [degrees east], [m].
    air_temperature, daily_range : array, shape (12,)
        Monthly mean [degC]; mean of daily maximum less minimum [K].
    relative_humidity : array, shape (12,)
        Monthly mean [1].
    wind_speed : array, shape (12,)
        At 10 m in the open [m/s].
    rain, rain_days : array, shape (12,)
        Monthly sum [mm]; days with at least 1 mm.
    sun_hours, solar_global : array, shape (12,), or None
        Sunshine in the month [h]; global sun on the horizontal in the month [kWh/m2]. The second stands over
        the first.
    dry_rose, wet_rose : array, shape (sectors,)
        Share of the hours without and with rain in which the wind comes from each sector [1], the first
        centred on north, the others clockwise.
    """

    title: str
    source: str
    latitude: float
    longitude: float
    altitude: float
    air_temperature: FloatArray
    daily_range: FloatArray
    relative_humidity: FloatArray
    wind_speed: FloatArray
    rain: FloatArray
    rain_days: FloatArray
    sun_hours: FloatArray | None
    solar_global: FloatArray | None
    dry_rose: FloatArray
    wet_rose: FloatArray


def load_normals(path: str | Path) -> Normals:
    """Read monthly normals.

    Parameters
    ----------
    path : str or Path
        TOML, see docs/site.md.

    Returns
    -------
    Normals
        Checked.

    Raises
    ------
    ClimateError
        Where a key is missing, unknown or impossible.
    """
    path = Path(path)
    data = read_toml(path)
    refuse_unknown(path, "", data, SITE_KEYS)
    monthly, wind = (table_of(path, data, name) for name in ("monthly", "wind"))
    refuse_unknown(path, "[monthly] ", monthly, (*MONTHLY, *SUN))
    refuse_unknown(path, "[wind] ", wind, WIND_KEYS)
    months = {name: monthly_values(path, monthly, name, limits) for name, limits in MONTHLY.items()}
    sun = {
        name: monthly_values(path, monthly, name, limits) for name, limits in SUN.items() if name in monthly
    }
    if not sun:
        raise ClimateError(
            "[monthly] holds no sun", where=str(path), expected="sun_hours or solar_global_kWh_m2"
        )
    dry = _rose(path, wind, "rose_percent", "prevailing_direction_deg", SPREADS[0])
    if dry is None:
        raise ClimateError(
            "[wind] holds no direction", where=str(path), expected="rose_percent or prevailing_direction_deg"
        )
    wet = _rose(path, wind, "wet_rose_percent", "wet_prevailing_direction_deg", SPREADS[1])
    if wet is None:
        wet = (
            dry
            if "rose_percent" in wind
            else prevailing_rose(float(wind["prevailing_direction_deg"]), SPREADS[1])
        )
    return Normals(
        title=words_of(path, data, "title"),
        source=words_of(path, data, "source"),
        latitude=_number(path, data, "latitude_deg", -66.0, 66.0),
        longitude=_number(path, data, "longitude_deg", -180.0, 180.0),
        altitude=_number(path, data, "altitude_m", -500.0, 6000.0),
        air_temperature=months["air_temperature_C"],
        daily_range=months["daily_range_K"],
        relative_humidity=months["relative_humidity_percent"] / 100.0,
        wind_speed=months["wind_speed_m_s"],
        rain=months["rain_mm"],
        rain_days=months["rain_days"],
        sun_hours=sun.get("sun_hours"),
        solar_global=sun.get("solar_global_kWh_m2"),
        dry_rose=dry,
        wet_rose=wet,
    )


def _number(path: Path, data: dict[str, Any], key: str, low: float, high: float) -> float:
    value = data.get(key)
    if not is_number(value, low, high):
        raise ClimateError(
            f"{key} is missing or impossible", where=str(path), found=value, expected=f"{low:g} to {high:g}"
        )
    assert value is not None
    return float(value)


def _rose(path: Path, wind: dict[str, Any], rose: str, prevailing: str, spread: float) -> FloatArray | None:
    if rose in wind and prevailing in wind:
        raise ClimateError(f"[wind] gives both {rose} and {prevailing}", where=str(path), hint="give one")
    if prevailing in wind:
        return prevailing_rose(_number(path, wind, prevailing, 0.0, 360.0), spread)
    if rose not in wind:
        return None
    values = wind[rose]
    fine = (
        isinstance(values, list) and len(values) in (8, 12, 16) and all(is_number(v, 0, 100) for v in values)
    )
    if not fine or not 95.0 <= sum(values) <= 105.0:
        raise ClimateError(
            f"[wind] {rose} is no wind rose",
            where=str(path),
            found=values,
            expected="8, 12 or 16 shares in percent, from north clockwise, that sum to 100",
        )
    return np.array(values, dtype=float) / sum(values)


def prevailing_rose(direction: float, spread: float, sectors: int = 16) -> FloatArray:
    """Return the rose of a direction that swings about a prevailing one, normally distributed.

    Parameters
    ----------
    direction, spread : float
        Mean and standard deviation [degrees].
    sectors : int
        Of the rose.

    Returns
    -------
    array, shape (sectors,)
        [1], sums to 1.
    """
    turn = np.arange(sectors) * 360.0 / sectors - direction
    shares = sum(np.exp(-0.5 * ((turn + 360.0 * lap) / spread) ** 2) for lap in range(-3, 4))
    return np.asarray(shares / np.sum(shares))


def normals_of(weather: xr.Dataset, sectors: int = 16) -> Normals:
    """Take monthly normals from a record.

    Parameters
    ----------
    weather : xarray.Dataset
        From `hygro.climate.load_weather`, of whole years; days are those of UTC.
    sectors : int
        Of the wind roses.

    Returns
    -------
    Normals
        Means over the years of the record.
    """
    month = months_of(weather)
    begin = weather["time"].to_numpy().astype("datetime64[h]") - np.timedelta64(1, "h")
    _, day = np.unique(begin.astype("datetime64[D]"), return_inverse=True)
    day_month = np.zeros(day.max() + 1, dtype=int)
    day_month[day] = month
    temperature = weather["air_temperature"].to_numpy()
    top, low = np.full(len(day_month), -np.inf), np.full(len(day_month), np.inf)
    np.maximum.at(top, day, temperature)
    np.minimum.at(low, day, temperature)
    rain = weather["rain"].to_numpy()
    wet_day = np.bincount(day, rain) >= RAIN_DAY - 1e-9
    years = len(rain) / 8760.0
    attrs = weather.attrs
    return Normals(
        title=f"normals of {attrs.get('name', 'a record')}",
        source=f"means of {attrs.get('file', 'a record')}, sha256 {str(attrs.get('sha256', 'unknown'))[:12]}",
        latitude=float(attrs["latitude"]),
        longitude=float(attrs["longitude"]),
        altitude=float(attrs["altitude"]),
        air_temperature=monthly_mean(temperature, month),
        daily_range=monthly_mean(top - low, day_month),
        relative_humidity=monthly_mean(weather["relative_humidity"].to_numpy(), month),
        wind_speed=monthly_mean(weather["wind_speed"].to_numpy(), month),
        rain=np.bincount(month, rain, 12) / years,
        rain_days=np.bincount(day_month, wet_day, 12) / years,
        sun_hours=None,
        solar_global=np.bincount(month, weather["solar_global"].to_numpy(), 12) / 1000.0 / years,
        dry_rose=rose_of(weather["wind_direction"].to_numpy()[rain == 0.0], sectors),
        wet_rose=rose_of(weather["wind_direction"].to_numpy()[rain > 0.0], sectors),
    )


def monthly_mean(values: FloatArray, month: np.ndarray) -> FloatArray:
    """Return the mean of each month.

    Parameters
    ----------
    values : array
        Any.
    month : array of int
        Month of each value, 0 for January.

    Returns
    -------
    array, shape (12,)
        In the unit of the values.
    """
    return np.bincount(month, values, 12) / np.bincount(month, minlength=12)


def rose_of(direction: FloatArray, sectors: int) -> FloatArray:
    """Return the share of hours in which the wind comes from each sector.

    Parameters
    ----------
    direction : array
        [degrees from north]; NaN is left out.
    sectors : int
        How many; the first is centred on north.

    Returns
    -------
    array, shape (sectors,)
        [1]; even where there is no hour with a direction.

    Notes
    -----
    Stations round to 10 degrees, which does not fall evenly into 16 sectors: each value is spread evenly over
    10 degrees in parts of one degree.
    """
    known = direction[np.isfinite(direction)]
    if not len(known):
        return np.full(sectors, 1.0 / sectors)
    width = 360.0 / sectors
    parts = np.mod(known[:, None] + np.arange(-4.5, 5.0), 360.0)
    sector = np.floor((parts + width / 2.0) / width).astype(int) % sectors
    return np.bincount(sector.ravel(), minlength=sectors) / parts.size


def write_normals(normals: Normals, path: str | Path) -> Path:
    """Write monthly normals as TOML that `load_normals` reads.

    Parameters
    ----------
    normals : Normals
        Which.
    path : str or Path
        Where to; an existing file is replaced.

    Returns
    -------
    Path
        The file.
    """
    lines = [
        f"title = {_quoted(normals.title)}",
        f"source = {_quoted(normals.source)}",
        f"latitude_deg = {normals.latitude:.10g}",
        f"longitude_deg = {normals.longitude:.10g}",
        f"altitude_m = {normals.altitude:.10g}",
        "",
        "[monthly]  # January first",
        _list("air_temperature_C", normals.air_temperature, 2),
        _list("daily_range_K", normals.daily_range, 2),
        _list("relative_humidity_percent", 100.0 * normals.relative_humidity, 1),
        _list("wind_speed_m_s", normals.wind_speed, 2),
        _list("rain_mm", normals.rain, 1),
        _list("rain_days", normals.rain_days, 2),
    ]
    if normals.sun_hours is not None:
        lines.append(_list("sun_hours", normals.sun_hours, 1))
    if normals.solar_global is not None:
        lines.append(_list("solar_global_kWh_m2", normals.solar_global, 2))
    lines += ["", "[wind]  # from north clockwise"]
    lines += [_list("rose_percent", 100.0 * normals.dry_rose, 2)]
    lines += [_list("wet_rose_percent", 100.0 * normals.wet_rose, 2)]
    return write_text(Path(path), "\n".join(lines) + "\n", ClimateError)


def _list(key: str, values: FloatArray, digits: int) -> str:
    return f"{key} = [{', '.join(f'{value + 0.0:.{digits}f}' for value in values)}]"


def _quoted(text: str) -> str:
    plain = " ".join(text.split()).replace("\\", "\\\\").replace('"', '\\"')
    return f'"{plain}"'
