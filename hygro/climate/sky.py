"""What a record leaves out and can be worked out: humidity, pressure, sun split, cloud, long-wave."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from hygro.climate.record import Record
from hygro.climate.sun import split_global, sun_position
from hygro.constants import STANDARD_PRESSURE, ZERO_CELSIUS
from hygro.errors import ClimateError
from hygro.physics.solar import (
    LEAST_ZENITH_COSINE,
    clean_sky_direct,
    clear_sky_global,
    cloud_from_transmission,
)
from hygro.physics.surfaces import sky_radiation
from hygro.physics.typing import FloatArray

REQUIRED = {
    "air_temperature": "air_temperature_C",
    "wind_speed": "wind_speed_m_s",
    "wind_direction": "wind_direction_deg",
    "solar_global": "solar_global_W_m2",
}
"""Variables nothing can stand in for, and the columns that hold them."""

LAPSE, LAPSE_EXPONENT = 2.25577e-5, 5.25588
"""Fall of pressure with altitude, standard atmosphere [1/m], [1]; ISO 2533, from memory, unconfirmed."""

UNKNOWN_DIRECTION_SHARE = 0.1
"""Largest share of the rain that may fall in hours without wind direction; own rule: an index that lacks more
than a tenth of the rain is no basis."""


def completed(record: Record) -> Record:
    """Return the record with every canonical variable but rain.

    Parameters
    ----------
    record : Record
        Checked.

    Returns
    -------
    Record
        `attrs["modelled"]` lists what was worked out.

    Raises
    ------
    ClimateError
        Where a variable that nothing can stand in for is missing.
    """
    for name, column in REQUIRED.items():
        if name not in record.values:
            raise ClimateError(
                f"the record holds no {name.replace('_', ' ')}",
                where=str(record.path),
                expected=f"a column {column}",
                hint="map the column if it has another name",
            )
    modelled: list[str] = []
    for step in (_humidity, _pressure, _sun, _longwave):
        record = step(record, modelled)
    return replace(record, attrs={**record.attrs, "modelled": ", ".join(modelled)})


def dew_point_pressure(celsius: FloatArray) -> FloatArray:
    """Saturation pressure over water, below 0 degC too: stations state humidity and dew point over water.

    Parameters
    ----------
    celsius : array
        [degC].

    Returns
    -------
    array
        [Pa].

    References
    ----------
    EN ISO 13788:2012 Annex E, the branch for water.
    """
    return 610.5 * np.exp(17.269 * celsius / (237.3 + celsius))


def dew_point(celsius: FloatArray, humidity: FloatArray) -> FloatArray:
    """Dew point over water.

    Parameters
    ----------
    celsius : array
        Air temperature [degC].
    humidity : array
        Relative humidity [1]; below 1 % counts as 1 %.

    Returns
    -------
    array
        [degC].
    """
    logarithm = np.log(np.maximum(humidity, 0.01) * dew_point_pressure(celsius) / 610.5)
    return 237.3 * logarithm / (17.269 - logarithm)


def _humidity(record: Record, modelled: list[str]) -> Record:
    if "relative_humidity" in record.values:
        return record
    if "dew_point" not in record.values:
        raise ClimateError(
            "the record holds neither relative humidity nor dew point",
            where=str(record.path),
            expected="a column relative_humidity_percent or dew_point_C",
        )
    temperature = record.values["air_temperature"]
    humidity = dew_point_pressure(record.values["dew_point"]) / dew_point_pressure(temperature)
    modelled.append("relative_humidity")
    return record.with_values(relative_humidity=np.minimum(humidity, 1.0))


def _pressure(record: Record, modelled: list[str]) -> Record:
    """Pressure at the site: measured, else from sea level, else the standard atmosphere of ISO 2533."""
    if "air_pressure" in record.values:
        return record
    modelled.append("air_pressure")
    standard = (1.0 - LAPSE * record.altitude) ** LAPSE_EXPONENT
    sea_level = record.values.get("pressure_sea_level", np.full(len(record.begin), STANDARD_PRESSURE))
    return record.with_values(air_pressure=sea_level * standard)


def _middle(record: Record) -> NDArray[np.datetime64]:
    return record.end_utc() - np.timedelta64(1800, "s")


def _sun(record: Record, modelled: list[str]) -> Record:
    """Direct and diffuse: measured; the one from the other; else split from the global."""
    has_direct = "solar_direct_normal" in record.values
    has_diffuse = "solar_diffuse" in record.values
    if has_direct and has_diffuse:
        return record
    middle = _middle(record)
    sun = sun_position(middle, record.latitude, record.longitude)
    total = record.values["solar_global"]
    direct, diffuse = split_global(total, sun, middle)
    modelled += [
        name for name, has in (("solar_direct_normal", has_direct), ("solar_diffuse", has_diffuse)) if not has
    ]
    cosine = np.maximum(np.cos(np.radians(sun.zenith)), 0.0)
    if has_direct:
        direct = record.values["solar_direct_normal"]
        diffuse = np.clip(total - direct * cosine, 0.0, total)
    elif has_diffuse:
        diffuse = record.values["solar_diffuse"]
        direct = np.maximum(total - diffuse, 0.0) / np.maximum(cosine, LEAST_ZENITH_COSINE)
        direct = np.minimum(direct, clean_sky_direct(sun.extraterrestrial, sun.zenith))
    return record.with_values(solar_direct_normal=direct, solar_diffuse=diffuse)


def _longwave(record: Record, modelled: list[str]) -> Record:
    if "longwave_sky" in record.values:
        return record
    modelled.append("longwave_sky")
    cloud = record.values.get("cloud")
    if cloud is None:
        cloud = cloud_from_sun(record)
        modelled.append("cloud")
    temperature = record.values["air_temperature"]
    point = record.values.get("dew_point", dew_point(temperature, record.values["relative_humidity"]))
    sky = sky_radiation(temperature + ZERO_CELSIUS, point + ZERO_CELSIUS, cloud)
    return record.with_values(longwave_sky=sky)


def cloud_from_sun(record: Record) -> FloatArray:
    """Estimate cloud from the share of the clear-sky sun that came through; over night along a straight line.

    Parameters
    ----------
    record : Record
        With global sun.

    Returns
    -------
    array, shape (hours,)
        [tenths].

    References
    ----------
    Kasten and Czeplak 1980 for sun more than 10 degrees above the horizon. The straight line over night:
    common practice, no published source.
    """
    zenith = sun_position(_middle(record), record.latitude, record.longitude).zenith
    high = zenith < 80.0
    if not high.any():
        raise ClimateError(
            "cloud can't be estimated where the sun never stands 10 degrees high",
            where=str(record.path),
            hint="give a column longwave_sky_W_m2 or cloud_okta",
        )
    through = record.values["solar_global"][high] / clear_sky_global(zenith[high])
    hours = np.arange(len(zenith), dtype=float)
    return np.interp(hours, hours[high], cloud_from_transmission(through))


def settled_direction(record: Record) -> Record:
    """Return the record with direction NaN where calm, after checking how much rain has no direction.

    Parameters
    ----------
    record : Record
        With wind and rain.

    Returns
    -------
    Record
        Hours without direction bring no driving rain; they are counted.

    Raises
    ------
    ClimateError
        Where more than `UNKNOWN_DIRECTION_SHARE` of the rain falls in such hours.
    """
    calm = record.values["wind_speed"] == 0.0
    direction = np.where(calm, np.nan, record.values["wind_direction"])
    unknown = np.isnan(direction) & ~calm
    rain = record.values["rain"]
    lost = float(rain[unknown].sum())
    if lost > UNKNOWN_DIRECTION_SHARE * float(rain.sum()):
        raise ClimateError(
            "too much rain falls while the wind blows without a direction",
            where=str(record.path),
            found=f"{lost:.1f} of {rain.sum():.1f} mm in {int(unknown.sum())} hours",
            expected=f"at most {UNKNOWN_DIRECTION_SHARE:.0%} of the rain",
            hint="look whether north winds lost their 360 degrees",
        )
    record = record.with_values(wind_direction=direction)
    return record.with_count("without direction", "wind_direction", int(unknown.sum()))
