"""German test reference years: the documented layout always, real files where a package has them."""

import importlib.util
from pathlib import Path

import numpy as np
import pytest
from climate_layouts import reference_year_text

from hygro.climate import load_weather
from hygro.climate.options import ReadOptions
from hygro.climate.reference_year_reader import read_reference_year
from hygro.errors import ClimateError

EASTERN = -5.0  # the values are those of Greensboro, whose standard time is five hours behind UTC


@pytest.fixture(scope="module")
def greensboro(invented):
    return load_weather(invented("greensboro-typical"))


@pytest.fixture
def written(greensboro, tmp_path):
    def write(change=lambda text: text, **layout):
        path = tmp_path / "TRY.dat"
        path.write_text(change(reference_year_text(greensboro, **layout)), encoding="latin-1")
        return path

    return write


def test_values_and_times(written, greensboro):
    weather = load_weather(written(), rain="none", utc_offset_hours=EASTERN)
    np.testing.assert_array_equal(weather["time"], greensboro["time"])
    for name, tolerance in {
        "air_temperature": 0.051,  # half the last digit of the layout
        "relative_humidity": 0.0051,
        "wind_speed": 0.051,
        "air_pressure": 5.1,
        "solar_diffuse": 0.51,
        "solar_global": 1.01,  # sum of two rounded numbers
        "longwave_sky": 0.51,
    }.items():
        np.testing.assert_allclose(weather[name], greensboro[name], atol=tolerance, err_msg=name)
    assert weather.attrs["latitude"] == pytest.approx(36.1)
    assert weather.attrs["longitude"] == pytest.approx(-79.95)
    assert weather.attrs["altitude"] == 273.0
    assert weather.attrs["modelled"] == "solar_direct_normal"


def test_stamps_are_central_european_time(written):
    record = read_reference_year(written(), ReadOptions())
    assert record.begin[0] == np.datetime64("2001-01-01T00:00")
    assert record.end_utc()[0] == np.datetime64("2001-01-01T00:00")
    assert record.lines[0] == 6


def test_leading_row_of_the_last_hour_is_left_out(written):
    weather = load_weather(written(leading=True), rain="none", utc_offset_hours=EASTERN)
    assert weather.sizes["time"] == 8760
    assert "leading row of 31 December" in weather.attrs["findings"]


def test_rain_is_refused_unless_given(written):
    with pytest.raises(ClimateError, match="the record holds no rain"):
        load_weather(written(), utc_offset_hours=EASTERN)


def test_rain_from_elsewhere(written, greensboro, invented):
    weather = load_weather(written(), rain=invented("greensboro-typical"), utc_offset_hours=EASTERN)
    np.testing.assert_array_equal(weather["rain"], greensboro["rain"])


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (
            lambda text: text.replace("***\n", ""),
            "the file is no test reference year, expected a heading that ends",
        ),
        (
            lambda text: "\n".join(text.splitlines()[:500]),
            "TRY.dat:500: the record is not a whole number of years",
        ),
        (lambda text: text[: text.index("***") + 80], r"TRY.dat:7: the row is cut off"),
        (lambda text: text.replace(" B D ", " B X "), "the file has no field D"),
        (lambda text: text.replace(" 8 1  3  1 ", " 8 1 13  1 "), "the row has no date, found 'month 13"),
        (
            lambda text: text.replace(" 8 1  3  1 ", " 8 1  x  1 "),
            "the row holds something that is no number",
        ),
        (lambda text: text[: text.index("***") + 4], "the file holds no hours"),
    ],
)
def test_refusals(written, change, sentence):
    with pytest.raises(ClimateError, match=sentence):
        load_weather(written(change), rain="none", utc_offset_hours=EASTERN)


def test_projected_coordinates_need_a_place(written):
    path = written(
        place="Rechtswert : 4012500 Meter\nHochwert : 3010500 Meter\nHoehenlage : 39 Meter ueber NN"
    )
    with pytest.raises(ClimateError, match="found 'projected coordinates, altitude 39 m'"):
        load_weather(path, rain="none")
    assert load_weather(
        path, rain="none", location=(36.1, -79.95, 273.0), utc_offset_hours=EASTERN
    ).sizes == {"time": 8760}


def real(name):
    found = importlib.util.find_spec("pycity_base")
    if found is None or found.origin is None:
        pytest.skip("the package pycity_base, which brings real test reference years, is not installed")
    return Path(found.origin).parent / "inputs" / "weather" / name


@pytest.mark.parametrize(
    ("name", "place", "temperature", "sun"),
    [
        # means and sums worked out with awk from the columns t, B and D
        ("TRY2010_01_Jahr.dat", (53 + 32 / 60, 8 + 35 / 60, 7.0), 10.1, 963.0),
        ("TRY2010_08_Jahr.dat", (51 + 44 / 60, 10 + 36 / 60, 607.0), 6.7, 994.0),
    ],
)
def test_real_years(name, place, temperature, sun):
    weather = load_weather(real(name), rain="none")
    assert (weather.attrs["latitude"], weather.attrs["longitude"], weather.attrs["altitude"]) == place
    assert float(weather["air_temperature"].mean()) == pytest.approx(temperature, abs=0.05)
    assert float(weather["solar_global"].sum()) / 1000.0 == pytest.approx(sun, abs=1.0)


def test_stamps_of_the_real_years_of_2010_are_the_middle_of_the_hour():
    """Their sun is half an hour early if stamps end the hour; the finding says so and the record is used."""
    path = real("TRY2010_01_Jahr.dat")
    assert "The sun is 0.5 h early" in load_weather(path, rain="none").attrs["findings"]
    with pytest.raises(ClimateError, match="the sun shines while it is below the horizon"):
        load_weather(path, rain="none", utc_offset_hours=2.0)


def test_stamps_of_the_real_year_of_2015_end_the_hour():
    path = real("TRY2015_40125003010500_Jahr.dat")
    weather = load_weather(path, rain="none", location=(52.5, 13.4, 39.0))
    assert "sun time" not in weather.attrs["findings"]
