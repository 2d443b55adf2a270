"""What is worked out where a record leaves it out, and where the sun stands."""

from pathlib import Path

import numpy as np
import pytest
from climate_years import ROOT
from hypothesis import given
from hypothesis import strategies as st

from hygro.climate.record import Record
from hygro.climate.sky import cloud_from_sun, completed, dew_point, dew_point_pressure
from hygro.climate.sun import DARK_SUN, refuse_sun_in_the_dark, split_global, sun_position
from hygro.errors import ClimateError
from hygro.physics.solar import clear_sky_global, cloud_transmission

HOUR = np.timedelta64(3600, "s")


def year_of(latitude, **values):
    """A record of the year 2001 at the meridian."""
    begin = np.datetime64("2001-01-01T00:00:00") + np.arange(8760) * HOUR
    full = {name: np.broadcast_to(value, 8760).astype(float) for name, value in values.items()}
    return Record(Path("made.csv"), begin, np.arange(8760), full, latitude, 0.0, 0.0, 0.0)


def middle(record):
    return record.end_utc() - np.timedelta64(1800, "s")


@pytest.mark.parametrize(
    ("time", "zenith"),
    [
        # latitude less declination, 23.44 at the solstices; the clock's noon is a few minutes off the sun's,
        # less than 0.1 degrees there
        ("2001-06-21T12:02", 52.0 - 23.44),
        ("2001-12-21T11:58", 52.0 + 23.44),
    ],
)
def test_sun_at_noon(time, zenith):
    sun = sun_position(np.array([time], dtype="datetime64[s]"), 52.0, 0.0)
    assert sun.zenith[0] == pytest.approx(zenith, abs=0.1)
    assert sun.azimuth[0] == pytest.approx(180.0, abs=1.0)


def test_space_is_brightest_in_january():
    times = np.array(["2001-01-03T12:00", "2001-07-04T12:00"], dtype="datetime64[s]")
    near, far = sun_position(times, 52.0, 0.0).extraterrestrial
    # the distance varies by 1.67 % either way: 6.9 % between the extremes
    assert near / far == pytest.approx(1.069, abs=0.002)


@given(celsius=st.floats(-30.0, 40.0), humidity=st.floats(0.02, 1.0))
def test_dew_point_and_humidity_are_inverse(celsius, humidity):
    point = dew_point(np.array([celsius]), np.array([humidity]))
    assert dew_point_pressure(point)[0] == pytest.approx(
        humidity * dew_point_pressure(np.array([celsius]))[0]
    )
    assert point[0] <= celsius + 1e-9


def test_saturation_over_water_below_zero():
    # over water at -10 degC: 286 Pa (from memory), 10 % above the 260 Pa over ice of ISO 13788
    assert dew_point_pressure(np.array([-10.0]))[0] == pytest.approx(286.0, rel=0.01)


def test_split_keeps_the_global_sun():
    record = year_of(52.0)
    sun = sun_position(middle(record), 52.0, 0.0)
    total = clear_sky_global(sun.zenith) * 0.8
    direct, diffuse = split_global(total, sun, middle(record))
    cosine = np.maximum(np.cos(np.radians(sun.zenith)), 0.0)
    np.testing.assert_allclose(direct * cosine + diffuse, total, atol=1e-9)
    assert (diffuse >= 0.0).all()
    assert (direct >= 0.0).all()
    assert not direct[sun.zenith > 90.0].any()


def test_dull_sun_is_all_diffuse_nearly():
    record = year_of(52.0)
    sun = sun_position(middle(record), 52.0, 0.0)
    total = clear_sky_global(sun.zenith) * 0.2
    _, diffuse = split_global(total, sun, middle(record))
    # Erbs: below a clearness of 0.22 at least 98 % are diffuse
    assert diffuse.sum() > 0.97 * total.sum()


@pytest.mark.parametrize("cloud", [0.0, 5.0, 10.0])
def test_steady_cloud_is_found_again_by_day_and_night(cloud):
    record = year_of(52.0)
    zenith = sun_position(middle(record), 52.0, 0.0).zenith
    record = record.with_values(solar_global=clear_sky_global(zenith) * cloud_transmission(cloud))
    np.testing.assert_allclose(cloud_from_sun(record), cloud, atol=1e-6)


def test_no_cloud_from_a_sun_that_never_rises_high():
    record = year_of(89.0, solar_global=0.0)
    winter = slice(0, 24 * 60)
    short = Record(
        Path("made.csv"),
        record.begin[winter],
        record.lines[winter],
        {"solar_global": np.zeros(1440)},
        89,
        0,
        0,
        0,
    )
    with pytest.raises(
        ClimateError, match="cloud can't be estimated where the sun never stands 10 degrees high"
    ):
        cloud_from_sun(short)


def test_pressure_from_sea_level():
    values = {
        "air_temperature": 10.0,
        "relative_humidity": 0.8,
        "wind_speed": 3.0,
        "wind_direction": 200.0,
        "solar_global": 0.0,
        "longwave_sky": 300.0,
        "pressure_sea_level": 100000.0,
    }
    low = completed(year_of(52.0, **values))
    np.testing.assert_allclose(low.values["air_pressure"], 100000.0)
    assert low.attrs["modelled"] == "air_pressure, solar_direct_normal, solar_diffuse"


def test_dark_hours_are_counted():
    record = year_of(52.0)
    zenith = sun_position(middle(record), 52.0, 0.0).zenith
    sun = clear_sky_global(zenith)
    refuse_sun_in_the_dark("made.csv", sun, record.begin, 52.0, 0.0)
    sun[[0, 1, 2]] = DARK_SUN + 1.0
    refuse_sun_in_the_dark("made.csv", sun, record.begin, 52.0, 0.0)
    sun[np.arange(12) * 24] = DARK_SUN + 1.0
    with pytest.raises(ClimateError, match="found '14 hours with more than 5 W/m2', expected at most 10"):
        refuse_sun_in_the_dark("made.csv", sun, record.begin, 52.0, 0.0)


def test_the_example_in_the_document_runs(monkeypatch, capsys):
    text = (ROOT / "docs" / "climate.md").read_text()
    code = text.split("```python\n")[1].split("```")[0]
    monkeypatch.chdir(ROOT)
    exec(compile(code, "docs/climate.md", "exec"), {})
    airfield, wall = map(int, capsys.readouterr().out.split())
    assert airfield == 1522
    assert 0 < wall < airfield
