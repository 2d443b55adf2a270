"""Position of the sun and split of the global sun, by pvlib, at the middle of each hour."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from hygro.errors import ClimateError
from hygro.physics.solar import clean_sky_direct
from hygro.physics.typing import FloatArray

DARK = 92.0
"""Zenith angle of the sun [degrees] beyond which no sun may be measured: two degrees below the horizon, where
twilight brings less than about 2 W/m2 (civil twilight illuminance, common practice)."""

DARK_SUN = 5.0
"""Global sun [W/m2] that counts as sun in the dark; above what offsets of pyranometers come to."""

DARK_HOURS = 10
"""Hours a year with sun in the dark that pass as noise; a time zone that is an hour off gives a hundred and
more."""


class SunPosition(NamedTuple):
    """Where the sun stands.

    Attributes
    ----------
    zenith, azimuth : array, shape (hours,)
        [degrees], azimuth from north by east.
    extraterrestrial : array, shape (hours,)
        Direct normal irradiance outside the atmosphere [W/m2].
    """

    zenith: FloatArray
    azimuth: FloatArray
    extraterrestrial: FloatArray


def sun_position(times: NDArray[np.datetime64], latitude: float, longitude: float) -> SunPosition:
    """Return where the sun stands at given moments.

    Parameters
    ----------
    times : array of datetime64
        UTC.
    latitude, longitude : float
        [degrees north], [degrees east].

    Returns
    -------
    SunPosition
        Geometric, without refraction.

    References
    ----------
    Reda and Andreas 2004 (position), Spencer 1971 (distance), both as in pvlib.
    """
    stamps = np.ascontiguousarray(times.astype("datetime64[s]"))
    return _position(stamps.tobytes(), float(latitude), float(longitude))


@lru_cache(maxsize=4)
def _position(stamps: bytes, latitude: float, longitude: float) -> SunPosition:
    """Return where the sun stands; kept, since all elevations of a place ask for the same hours."""
    import pandas as pd
    from pvlib import irradiance, solarposition

    times = np.frombuffer(stamps, dtype="datetime64[s]")
    index = pd.DatetimeIndex(times.astype("datetime64[ns]"), tz="UTC")
    position = solarposition.get_solarposition(index, latitude, longitude, method="nrel_numpy")
    extra = irradiance.get_extra_radiation(_day_of_year(times), method="spencer")
    columns = (position["zenith"].to_numpy(), position["azimuth"].to_numpy(), extra)
    arrays = [np.array(column, dtype=float) for column in columns]
    for array in arrays:
        array.flags.writeable = False  # shared by all who ask
    return SunPosition(*arrays)


def split_global(
    global_horizontal: FloatArray, sun: SunPosition, times: NDArray[np.datetime64]
) -> tuple[FloatArray, FloatArray]:
    """Split global sun into direct normal and diffuse.

    Parameters
    ----------
    global_horizontal : array
        Hour means [W/m2].
    sun : SunPosition
        At mid-hour.
    times : array of datetime64
        Mid-hours, UTC.

    Returns
    -------
    (array, array)
        Direct normal and diffuse horizontal [W/m2].

    References
    ----------
    Erbs, Klein and Duffie 1982, as in pvlib, with the sun below 3 degrees all diffuse. Direct sun is kept
    below `hygro.physics.solar.clean_sky_direct`, since a low sun makes spikes of small errors.
    """
    from pvlib import irradiance

    parts = irradiance.erbs(global_horizontal, sun.zenith, _day_of_year(times))
    highest = clean_sky_direct(sun.extraterrestrial, sun.zenith)
    direct = np.minimum(np.asarray(parts["dni"], dtype=float), highest)
    diffuse = global_horizontal - direct * np.maximum(np.cos(np.radians(sun.zenith)), 0.0)
    return direct, np.maximum(diffuse, 0.0)


def _day_of_year(times: NDArray[np.datetime64]) -> NDArray[np.int64]:
    days = times.astype("datetime64[D]")
    return (days - days.astype("datetime64[Y]").astype("datetime64[D]")).astype(np.int64) + 1


def dark_hours(
    global_horizontal: FloatArray, begin: NDArray[np.datetime64], latitude: float, longitude: float
) -> NDArray[np.bool_]:
    """Tell in which hours the sun is measured though it stays below the horizon.

    Parameters
    ----------
    global_horizontal : array, shape (hours,)
        [W/m2]; NaN where missing.
    begin : array of datetime64, shape (hours,)
        Begin of each hour, UTC.
    latitude, longitude : float
        [degrees north], [degrees east].

    Returns
    -------
    array of bool, shape (hours,)
        More than `DARK_SUN` while the sun is beyond `DARK` at begin and end of the hour.
    """
    middle = begin + np.timedelta64(1800, "s")
    suspect = (global_horizontal > DARK_SUN) & (sun_position(middle, latitude, longitude).zenith > 90.0)
    dark = np.zeros(len(begin), dtype=bool)
    if suspect.any():
        edges = np.concatenate((begin[suspect], begin[suspect] + np.timedelta64(3600, "s")))
        zenith = sun_position(edges, latitude, longitude).zenith.reshape(2, -1)
        dark[suspect] = zenith.min(axis=0) > DARK
    return dark


def refuse_sun_in_the_dark(
    where: str,
    global_horizontal: FloatArray,
    begin: NDArray[np.datetime64],
    latitude: float,
    longitude: float,
    *,
    utc_offset: float = 0.0,
) -> None:
    """Refuse a record in which the sun shines while it is below the horizon all hour: its time zone is wrong.

    Parameters
    ----------
    where : str
        The file.
    global_horizontal : array, shape (hours,)
        [W/m2].
    begin : array of datetime64, shape (hours,)
        Begin of each hour, UTC.
    latitude, longitude : float
        [degrees north], [degrees east].
    utc_offset : float
        Standard time of the stamps less UTC [h], for the hint.

    Raises
    ------
    ClimateError
        With the count of such hours, and what the sun would fit, where something simple does.
    """
    shining = int(dark_hours(global_horizontal, begin, latitude, longitude).sum())
    allowed = DARK_HOURS * max(1, round(len(begin) / 8760))
    if shining > allowed:
        guess = _fit(global_horizontal[:8760], begin[:8760], latitude, longitude, utc_offset)
        raise ClimateError(
            "the sun shines while it is below the horizon",
            where=where,
            found=f"{shining} hours with more than {DARK_SUN:g} W/m2",
            expected=f"at most {allowed}",
            hint=guess or "the time zone, the place, or whether stamps begin or end the hour is wrong",
        )


def _fit(
    sun: FloatArray,
    begin: NDArray[np.datetime64],
    latitude: float,
    longitude: float,
    utc_offset: float,
) -> str | None:
    """Return the one simple mistake in time or place that explains a year of sun, None where none does."""
    asked: list[tuple[int, float, float, str]] = [
        (0, -latitude, longitude, f"it would fit at latitude {-latitude:g}: the sign is wrong"),
        (0, latitude, -longitude, f"it would fit at longitude {-longitude:g}: the sign is wrong"),
    ]
    asked += [
        (
            hours,
            latitude,
            longitude,
            f"it would fit with stamps {utc_offset + hours:+g} h from UTC, not {utc_offset:+g} h: the time "
            "zone, or whether stamps begin or end the hour, is wrong",
        )
        for hours in (*range(-12, 0), *range(1, 13))
    ]
    found = []
    for hours, north, east, text in asked:
        shifted = begin - np.timedelta64(hours, "h")
        zenith = sun_position(shifted + np.timedelta64(1800, "s"), north, east).zenith
        dark = int(dark_hours(sun, shifted, north, east).sum())
        found.append((dark, dark + int(((sun <= 0.0) & (zenith < 85.0)).sum()), text))
    dark, _, text = min(found, key=lambda entry: entry[1])
    return text if dark <= DARK_HOURS else None
