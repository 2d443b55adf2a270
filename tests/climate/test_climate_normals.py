"""Monthly normals: from a record by hand, to a file and back, and what is refused."""

import numpy as np
import pytest

from hygro.climate.normals import (
    load_normals,
    normals_of,
    prevailing_rose,
    rose_of,
    write_normals,
)
from hygro.errors import ClimateError

TEXT = """\
title = "a place"
source = "its table"
latitude_deg = 52
longitude_deg = 0
altitude_m = 20

[monthly]
air_temperature_C = [4, 4, 6, 9, 12, 15, 17, 17, 14, 11, 7, 5]
daily_range_K = [5, 6, 7, 8, 9, 9, 9, 9, 8, 7, 5, 5]
relative_humidity_percent = [86, 84, 81, 77, 76, 76, 77, 78, 81, 84, 87, 88]
wind_speed_m_s = [5, 5, 5, 4, 4, 4, 4, 4, 4, 4, 5, 5]
rain_mm = [60, 45, 45, 45, 50, 50, 50, 60, 55, 70, 65, 60]
rain_days = [11, 9, 10, 9, 9, 8, 8, 9, 9, 11, 12, 11]
sun_hours = [55, 75, 115, 165, 205, 200, 210, 195, 145, 110, 65, 50]

[wind]
prevailing_direction_deg = 230
"""


PREVAILING = "prevailing_direction_deg = 230"


@pytest.fixture
def table(tmp_path):
    def write(old="", new=""):
        assert old in TEXT
        path = tmp_path / "normals.toml"
        path.write_text(TEXT.replace(old, new))
        return path

    return write


def test_a_table_is_read(table):
    normals = load_normals(table())
    assert normals.title == "a place"
    assert normals.air_temperature[6] == 17.0
    assert normals.relative_humidity[0] == pytest.approx(0.86)
    assert normals.solar_global is None
    assert normals.sun_hours is not None
    # about the prevailing direction, more closely in rain; west-south-west is 247.5 degrees
    assert np.argmax(normals.dry_rose) == np.argmax(normals.wet_rose) == 10
    assert normals.wet_rose.max() > normals.dry_rose.max()
    assert normals.dry_rose.sum() == pytest.approx(1.0)


def test_one_rose_stands_for_both_where_no_wet_one_is_given(table):
    normals = load_normals(
        table("prevailing_direction_deg = 230", "rose_percent = [5, 5, 10, 10, 10, 30, 20, 10]")
    )
    np.testing.assert_allclose(normals.dry_rose, [0.05, 0.05, 0.1, 0.1, 0.1, 0.3, 0.2, 0.1])
    np.testing.assert_array_equal(normals.dry_rose, normals.wet_rose)


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        ('source = "its table"', "", "source is missing, expected words"),
        ("latitude_deg = 52", "latitude_deg = 152", "latitude_deg is missing or impossible, found 152"),
        ("rain_days", "rain_day", "rain_day is not known.*did you mean rain_days"),
        ("[60, 45, 45, 45", "[60, 45, 45", "rain_mm is no list of twelve months"),
        ("[60, 45, 45, 45", "[60, -5, 45, 45", "rain_mm is no list of twelve months"),
        ("sun_hours = [55, 75, 115, 165, 205, 200, 210, 195, 145, 110, 65, 50]", "", "holds no sun"),
        (PREVAILING, "wet_" + PREVAILING, "holds no direction"),
        (PREVAILING, "rose_percent = [50, 10, 10, 10, 10, 10, 10, 10]", "is no wind rose"),
        (PREVAILING, "rose_percent = [50, 50]", "is no wind rose"),
        ("prevailing_direction_deg", "prevaling_direction_deg", "did you mean prevailing_direction_deg"),
        ("[monthly]", "[monthly", "the file is no TOML"),
        ("[wind]", "[winds]", "is not known"),
    ],
)  # fmt: skip
def test_what_is_refused(table, old, new, sentence):
    with pytest.raises(ClimateError, match=sentence):
        load_normals(table(old, new))


def test_normals_of_a_record_are_its_means(coast):
    normals = normals_of(coast)
    july = coast.sel(time=slice("2001-07-01T01:00", "2001-08-01T00:00"))
    assert normals.air_temperature[6] == pytest.approx(float(july["air_temperature"].mean()))
    assert normals.rain[6] == pytest.approx(float(july["rain"].sum()))
    daily = july["rain"].to_numpy().reshape(31, 24).sum(axis=1)
    assert normals.rain_days[6] == (daily > 0.95).sum()
    swing = np.ptp(july["air_temperature"].to_numpy().reshape(31, 24), axis=1).mean()
    assert normals.daily_range[6] == pytest.approx(swing)
    assert normals.solar_global.sum() == pytest.approx(float(coast["solar_global"].sum()) / 1000.0)


def test_to_a_file_and_back(coast, tmp_path):
    normals = normals_of(coast)
    back = load_normals(write_normals(normals, tmp_path / "coast.toml"))
    np.testing.assert_allclose(back.rain, normals.rain, atol=0.051)
    np.testing.assert_allclose(back.wet_rose, normals.wet_rose, atol=2e-4)
    assert back.title == normals.title
    assert back.sun_hours is None


def test_roses():
    rose = rose_of(np.array([0.0, 90.0, 90.0, np.nan]), 8)
    np.testing.assert_allclose(rose, [1 / 3, 0, 2 / 3, 0, 0, 0, 0, 0], atol=1e-12)
    even = rose_of(np.arange(10.0, 361.0, 10.0), 16)
    np.testing.assert_allclose(even, 1.0 / 16.0, atol=2e-3)
    assert rose_of(np.array([np.nan]), 8).tolist() == [0.125] * 8
    assert np.argmax(prevailing_rose(90.0, 40.0)) == 4
