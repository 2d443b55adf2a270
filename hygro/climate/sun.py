"""Position of the sun and split of the global sun, by pvlib, at the middle of each hour."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from hygro.constants import HOURS_PER_YEAR
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


SIGN_LONGITUDE = 15.0
"""Longitude [degrees] beyond which its sign is tried as a mistake; below, it is no more than a zone."""

LATE = 0.8
"""Hours by which the sun may seem early or late. Own rule: a record that is an hour off shows 0.9 to 1.1,
one whose stamps are the middle of the hour 0.5, hills and mists in the morning less than 0.3."""


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


def _rough_height(times: NDArray[np.datetime64], latitude: float, longitude: float) -> FloatArray:
    """Cosine of the zenith angle, 0 below the horizon, to about half a degree; Spencer 1971.

    Twenty times as fast as `sun_position`, and good enough to tell an hour from another.
    """
    day = 2.0 * np.pi * (_day_of_year(times) - 1.0) / 365.0
    declination = (
        0.006918
        - 0.399912 * np.cos(day)
        + 0.070257 * np.sin(day)
        - 0.006758 * np.cos(2.0 * day)
        + 0.000907 * np.sin(2.0 * day)
    )
    equation = 229.18 * (
        0.000075
        + 0.001868 * np.cos(day)
        - 0.032077 * np.sin(day)
        - 0.014615 * np.cos(2.0 * day)
        - 0.040849 * np.sin(2.0 * day)
    )
    minutes = (times - times.astype("datetime64[D]")).astype("timedelta64[s]").astype(float) / 60.0
    angle = np.radians((minutes + equation) / 4.0 + longitude - 180.0)
    north = np.radians(latitude)
    height = np.sin(north) * np.sin(declination) + np.cos(north) * np.cos(declination) * np.cos(angle)
    return np.maximum(height, 0.0)


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


def sun_lateness(
    global_horizontal: FloatArray, begin: NDArray[np.datetime64], latitude: float, longitude: float
) -> float:
    """Return by how much the measured sun lags behind the one in the sky.

    Parameters
    ----------
    global_horizontal : array, shape (hours,)
        [W/m2]; NaN where missing. The first year of it is looked at.
    begin : array of datetime64, shape (hours,)
        Begin of each hour, UTC.
    latitude, longitude : float
        [degrees north], [degrees east].

    Returns
    -------
    float
        [h], positive where it is late, between -1.5 and 1.5; NaN where there is no sun. The shift at which
        the measured sun goes best with the cosine of the zenith angle (parabola through three correlations);
        clouds make noise on both sides of noon alike.
    """
    sun, begin = global_horizontal[:8784], begin[:8784]
    known = np.isfinite(sun)
    if not known.any() or float(np.nanstd(sun)) == 0.0:
        return float("nan")
    shifts = np.array([-1.5, -1.0, -0.5, 0.0, 0.5, 1.0, 1.5])
    fits = []
    for shift in shifts:
        middle = begin + np.timedelta64(round(1800 - 3600 * shift), "s")
        height = _rough_height(middle, latitude, longitude)
        fits.append(float(np.corrcoef(height[known], sun[known])[0, 1]))
    best = int(np.argmax(fits))
    if best in (0, len(shifts) - 1):
        return float(shifts[best])
    before, at, after = fits[best - 1 : best + 2]
    return float(shifts[best] + 0.25 * (before - after) / (before - 2.0 * at + after))


def refuse_sun_in_the_dark(
    where: str,
    global_horizontal: FloatArray,
    begin: NDArray[np.datetime64],
    latitude: float,
    longitude: float,
    *,
    utc_offset: float = 0.0,
) -> None:
    """Refuse a record in which the sun shines below the horizon, or is an hour off: its time zone is wrong.

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
    late = sun_lateness(global_horizontal, begin, latitude, longitude)
    shining = int(dark_hours(global_horizontal, begin, latitude, longitude).sum())
    allowed = DARK_HOURS * max(1, round(len(begin) / HOURS_PER_YEAR))
    if shining > allowed:
        guess = _fit(
            global_horizontal[:HOURS_PER_YEAR], begin[:HOURS_PER_YEAR], latitude, longitude, utc_offset
        )
        raise ClimateError(
            "the sun shines while it is below the horizon",
            where=where,
            found=f"{shining} hours with more than {DARK_SUN:g} W/m2",
            expected=f"at most {allowed}",
            hint=guess or "the time zone, the place, or whether stamps begin or end the hour is wrong",
        )
    if abs(late) > LATE:
        raise ClimateError(
            "the sun rises and sets at the wrong time",
            where=where,
            found=f"{abs(late):.1f} h {'late' if late > 0.0 else 'early'}",
            expected=f"at most {LATE:g} h",
            hint="the time zone, the place, or whether stamps begin or end the hour is wrong",
        )


def _fit(
    sun: FloatArray,
    begin: NDArray[np.datetime64],
    latitude: float,
    longitude: float,
    utc_offset: float,
) -> str | None:
    """Return the one simple mistake in time or place that explains a year of sun, None where none does."""
    signs = [
        (-latitude, longitude, f"it would fit at latitude {-latitude:g}: the sign is wrong"),
        (latitude, -longitude, f"it would fit at longitude {-longitude:g}: the sign is wrong"),
    ]
    for north, east, text in signs[: 2 if abs(longitude) > SIGN_LONGITUDE else 1]:
        if dark_hours(sun, begin, north, east).sum() <= DARK_HOURS:
            return text
    known = np.isfinite(sun)
    fits = {}
    for hours in (*range(-12, 0), *range(1, 13)):
        middle = begin + np.timedelta64(1800 - 3600 * hours, "s")
        fits[hours] = float(np.corrcoef(_rough_height(middle, latitude, longitude)[known], sun[known])[0, 1])
    hours = max(fits, key=lambda shift: fits[shift])
    if dark_hours(sun, begin - np.timedelta64(hours, "h"), latitude, longitude).sum() > DARK_HOURS:
        return None
    return (
        f"it would fit with stamps {utc_offset + hours:+g} h from UTC, not {utc_offset:+g} h: the time zone, "
        "or whether stamps begin or end the hour, is wrong"
    )
