"""Hours of weather from monthly normals, for places that have only a climate table. From a seed, repeatable.

The processes are those of the invented years (`hygro.climate.processes`): fronts bring rain, cloud and wind
together; bursts of rain have a memory of their own; the dew point lies closer to the temperature near rain;
direction is drawn from one wind rose in wet and from another in dry hours, along a process of 30 hours'
memory. What each month needs to meet its normals is found on a long run (`hygro.climate.calibration`):

* the share of wet hours and the scale of their amounts, from rain days and rain;
* cloudiness, from global sun; from sun hours by way of Angstrom and Prescott (0.25 + 0.50 n/N of the sun
  outside the atmosphere; FAO Irrigation and Drainage Paper 56, Allen et al. 1998);
* the scale of the wind; the yearly course and the daily wave of temperature; the gap of the dew point.

A single year then differs from its normals as single years do. Wet hours, their length and the rain on walls
are no input: they follow, and docs/site.md compares them with measured years.
"""

from __future__ import annotations

from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from hygro.climate.calibration import calibrated
from hygro.climate.checks import is_leap_day
from hygro.climate.csv_writer import write_weather_csv
from hygro.climate.normals import Normals
from hygro.climate.processes import HOURS, cloud_okta, humidity_of, nearness_to_rain
from hygro.climate.stochastic_hours import (
    clock,
    direction_hours,
    drivers,
    rain_hours,
    sun_hours,
    temperature_hours,
    wind_hours,
)
from hygro.errors import ClimateError
from hygro.physics.typing import FloatArray

MOST_YEARS: Final = 100

DIGITS: Final = {"air_temperature_C": 1, "wind_speed_m_s": 1, "rain_mm": 1}


def generated_hours(normals: Normals, years: int = 1, seed: int = 1) -> dict[str, FloatArray]:
    """Make hours of weather that have the normals of a place.

    Parameters
    ----------
    normals : Normals
        The climate table.
    years : int
        How many, of 8760 h.
    seed : int
        Another seed, other years of the same climate.

    Returns
    -------
    dict of str to array, each of shape (8760 * years,)
        Columns of hygro's own CSV, rounded as they are written; wind direction is NaN where calm.

    Raises
    ------
    ClimateError
        Where the normals contradict each other, or the number of years or the seed is impossible.
    """
    if not 1 <= years <= MOST_YEARS:
        raise ClimateError("the number of years is impossible", found=years, expected=f"1 to {MOST_YEARS}")
    if seed < 0:
        raise ClimateError("the seed is impossible", found=seed, expected="a whole number, 0 or more")
    found = calibrated(normals)
    driven, hours = drivers(seed, years), clock(normals, years)
    above, rain = rain_hours(driven, hours, found.wet_share, found.rain_scale)
    okta = cloud_okta(driven.fronts, driven.cloud, rain, found.cloud_power[hours.month])
    temperature, daily = temperature_hours(driven, hours, okta, found.course, found.daily_wave)
    wetness = nearness_to_rain(above)
    humidity = humidity_of(temperature, daily, found.dew_gap[hours.month], driven.dew, wetness, rain)
    speed = np.round(wind_hours(driven, hours, found.wind_scale), 1)
    direction = np.round(direction_hours(driven, rain, normals)) % 360.0
    standard = 101325.0 * (1.0 - 2.25577e-5 * normals.altitude) ** 5.25588
    return {
        "air_temperature_C": np.round(temperature, 1),
        "relative_humidity_percent": np.round(100.0 * humidity),
        "air_pressure_Pa": np.round(standard - 500.0 * driven.fronts + 700.0 * driven.pressure, -1),
        "wind_speed_m_s": speed,
        "wind_direction_deg": np.where(speed == 0.0, np.nan, np.where(direction == 0.0, 360.0, direction)),
        "rain_mm": rain,
        "solar_global_W_m2": np.round(sun_hours(hours, okta)),
        "cloud_okta": okta,
    }


def write_generated(normals: Normals, path: str | Path, years: int = 1, seed: int = 1) -> Path:
    """Write hours made from monthly normals in hygro's own CSV.

    Parameters
    ----------
    normals : Normals
        The climate table.
    path : str or Path
        Where to; an existing file is replaced.
    years, seed : int
        As in `generated_hours`.

    Returns
    -------
    Path
        The file, stamped from 2001 on without any 29 February.

    Raises
    ------
    ClimateError
        As `generated_hours`, or where it cannot be written.
    """
    columns = generated_hours(normals, years, seed)
    comments = {
        "name": f"hours made from {normals.title}",
        "source": "GENERATED from monthly normals by hygro.climate.stochastic, no measured hours; "
        f"seed {seed}; normals: {normals.source}",
        "latitude": f"{normals.latitude:.10g}",
        "longitude": f"{normals.longitude:.10g}",
        "altitude": f"{normals.altitude:.10g}",
    }
    begin: NDArray[np.datetime64] = np.datetime64("2001-01-01T00", "h") + np.arange(
        years * 8784 + 24
    ) * np.timedelta64(1, "h")
    end = begin[~is_leap_day(begin)][: years * HOURS] + np.timedelta64(1, "h")
    return write_weather_csv(Path(path), comments, end.astype("datetime64[m]"), columns, DIGITS)
