"""A year of weather with known numbers, and the small case standing in it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from small_case import TEXT, simple_films, simple_materials

from hygro.case import Case, parse_case

HOURS = 8760


def weather_rows() -> str:
    """Write a year: each month a degree colder, rain from the south-west at noon."""
    ends = np.datetime64("2001-01-01T01:00") + np.arange(HOURS) * np.timedelta64(1, "h")
    begins = ends - np.timedelta64(1, "h")
    month = begins.astype("datetime64[M]").astype(int) % 12 + 1
    hour = (begins - begins.astype("datetime64[D]")).astype("timedelta64[h]").astype(int)
    rain = np.where(hour == 12, 1.0, 0.0)
    header = "hour_ending_utc,air_temperature_C,relative_humidity_percent,air_pressure_Pa,wind_speed_m_s,"
    rows = [
        "# name: made for tests",
        "# source: made for tests",
        "# latitude: 52",
        "# longitude: 0",
        "# altitude: 0",
        header + "wind_direction_deg,rain_mm,solar_global_W_m2,cloud_okta",
    ]
    rows += [
        f"{end}Z,{20 - m},80,101325,4.0,225,{r},0,8" for end, m, r in zip(ends, month, rain, strict=True)
    ]
    return "\n".join(rows) + "\n"


@pytest.fixture(scope="session")
def weather_folder(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("weather")
    (folder / "weather.csv").write_text(weather_rows())
    return folder


@pytest.fixture(scope="session")
def read_in_weather(weather_folder):
    """Return a function that reads a text as a case beside the weather."""
    materials, films = simple_materials(), simple_films()

    def read_case(text: str = TEXT) -> Case:
        return parse_case(text, weather_folder / "wall.toml", materials=materials, films=films)

    return read_case


@pytest.fixture(scope="session")
def prescribed(read_in_weather):
    """Return a function that reads a wall with prescribed boundaries."""
    wall = '[wall]\n[[wall.layer]]\nmaterial = "brick"\nthickness_mm = 200\n'

    def read_case(external: str, internal: str, more: str = "") -> Case:
        return read_in_weather(f'title = "t"\n[external]\n{external}\n[internal]\n{internal}\n{wall}{more}')

    return read_case
