"""Station observations in BADC-CSV: real values in the documented layout, joined, flagged, cut off."""

import json

import numpy as np
import pytest
from climate_layouts import badc, midas_texts

from hygro.climate import load_weather
from hygro.errors import ClimateError

PLACE = (36.1, -79.95, 273.0)


@pytest.fixture(scope="module")
def greensboro(invented):
    return load_weather(invented("greensboro-typical"))


@pytest.fixture(scope="module")
def texts(greensboro):
    return midas_texts(greensboro)


@pytest.fixture
def files(texts, tmp_path):
    """Return a function that writes the three files with changed lines and gives back their paths."""

    def write(**changes):
        paths = []
        for name, text in texts.items():
            change = changes.get(name.removesuffix(".csv"), lambda lines: lines)
            (tmp_path / name).write_text("\n".join(change(text.splitlines())) + "\n")
            paths.append(tmp_path / name)
        return paths

    return write


def with_cell(line, column, text):
    def change(lines):
        cells = lines[line - 1].split(",")
        cells[column] = text
        lines[line - 1] = ",".join(cells)
        return lines

    return change


def first_row(lines):
    return lines.index("data") + 3


def findings(weather, kind):
    return [found for found in json.loads(weather.attrs["findings"]) if found["kind"] == kind]


def test_three_files_joined_on_time(files, greensboro):
    weather = load_weather(files(), location=PLACE)
    np.testing.assert_array_equal(weather["time"], greensboro["time"])
    for name in (
        "air_temperature",
        "relative_humidity",
        "rain",
        "solar_global",
        "solar_diffuse",
        "wind_speed",
    ):
        np.testing.assert_allclose(weather[name], greensboro[name], atol=1e-4, err_msg=name)
    assert weather.attrs["name"] == "made-up"
    assert weather.attrs["file"] == "weather.csv, rain.csv, radiation.csv"


def test_place_from_the_heading(files):
    with pytest.raises(ClimateError, match="sun shines while it is below the horizon"):
        load_weather(files())  # the values are those of a place far to the west of the one in the heading


def test_order_of_the_files_does_not_matter(files, greensboro):
    weather = load_weather(files()[::-1], location=PLACE)
    np.testing.assert_array_equal(weather["rain"], greensboro["rain"])


def test_a_year_in_two_files(texts, tmp_path, greensboro):
    lines = texts["rain.csv"].splitlines()
    head = lines[: first_row(lines) - 1]
    half = len(lines) // 2
    (tmp_path / "one.csv").write_text("\n".join([*lines[:half], "end data"]) + "\n")
    (tmp_path / "two.csv").write_text("\n".join([*head, *lines[half:]]) + "\n")
    for name in ("weather.csv", "radiation.csv"):
        (tmp_path / name).write_text(texts[name])
    paths = [tmp_path / name for name in ("weather.csv", "one.csv", "two.csv", "radiation.csv")]
    np.testing.assert_array_equal(load_weather(paths, location=PLACE)["rain"], greensboro["rain"])


def test_metres_per_second_where_heading_and_rows_say_so(files, greensboro):
    def metric(lines):
        lines = [line.replace("Wind speed,knots", "Wind speed,m/s") for line in lines]
        start = first_row(lines) - 1
        return lines[:start] + [line.replace(",1,4,", ",1,1,", 1) for line in lines[start:]]

    weather = load_weather(files(weather=metric), location=PLACE)
    np.testing.assert_allclose(weather["wind_speed"], greensboro["wind_speed"] / (1852.0 / 3600.0), atol=1e-4)


def test_sums_over_a_day_and_raw_rows_are_left_out(files, greensboro):
    def more(lines):
        row = lines[first_row(lines) + 30].split(",")
        day = ",".join([row[0], "1", "24", "55.0"])
        raw = ",".join([row[0], "0", "1", "9.9"])
        return [*lines[:-1], day, raw, lines[-1]]

    weather = load_weather(files(rain=more), location=PLACE)
    np.testing.assert_array_equal(weather["rain"], greensboro["rain"])
    assert [found["count"] for found in findings(weather, "sums") + findings(weather, "quality version")] == [
        1,
        1,
    ]


def test_queried_values_count_as_missing(files, greensboro):
    line = 9 + 100
    weather = load_weather(
        files(weather=lambda lines: with_cell(line, 5, "40.0")(with_cell(line, 9, "112")(lines))),
        location=PLACE,
    )
    assert findings(weather, "quality flag")[0]["count"] == 1
    assert weather.attrs["interpolated"] == "air_temperature 1"
    assert float(weather["air_temperature"].max()) == float(greensboro["air_temperature"].max())


def test_missing_cells(files):
    weather = load_weather(files(weather=with_cell(200, 5, "NA")), location=PLACE)
    assert weather.attrs["interpolated"] == "air_temperature 1"


def test_an_error_in_the_rain_file_names_that_file(files):
    with pytest.raises(ClimateError, match=r"rain\.csv:200: rain in the hour is impossible .*found '400 mm'"):
        load_weather(files(rain=with_cell(200, 3, "400")), location=PLACE)


def doubled(lines):
    row = lines[first_row(lines) + 10].split(",")
    row[3] = "7.7"
    return [*lines[:-1], ",".join(row), lines[-1]]


@pytest.mark.parametrize(
    ("name", "change", "sentence"),
    [
        (
            "rain",
            lambda lines: lines[:500],
            r"rain\.csv:500: the file is cut off, expected a line 'end data'",
        ),
        ("rain", lambda lines: lines[:5], r"the file is cut off, expected a line 'data'"),
        (
            "rain",
            lambda lines: [*lines[:99], lines[99][:12], *lines[100:]],
            r"rain\.csv:100: the row is cut off",
        ),
        ("rain", doubled, r"two rows of the same hour contradict each other, found '7.7 and .* for rain'"),
        ("rain", lambda lines: [*lines[: first_row(lines) - 1], "end data"], "the file holds no rows"),
        (
            "rain",
            lambda lines: [line.replace("ob_end_time", "when") for line in lines],
            "the file has no column of times",
        ),
        (
            "weather",
            lambda lines: [line.replace("Wind speed,knots", "Wind speed,m/s") for line in lines],
            "heading and rows disagree on the unit of the wind",
        ),
        ("weather", with_cell(200, 2, "1"), "the unit of the wind changes within the file, found '1, 4'"),
        ("weather", with_cell(200, 5, "warm"), r"weather\.csv:200: column 'air_temperature' holds no number"),
    ],
)
def test_refusals(files, name, change, sentence):
    with pytest.raises(ClimateError, match=sentence):
        load_weather(files(**{name: change}), location=PLACE)


def test_files_of_two_stations(files, tmp_path):
    paths = files(rain=lambda lines: [line.replace("51.5,-0.4", "52.5,-0.4") for line in lines])
    with pytest.raises(ClimateError, match="the files are of different stations, found '52.5, -0.4'"):
        load_weather(paths)


def test_a_heading_without_place(tmp_path):
    path = tmp_path / "rain.csv"
    row = ("2001-01-01 01:00:00", "1", "0.0")
    path.write_text(badc("rain", ("ob_end_time", "ob_hour_count", "prcp_amt"), [row], location="here"))
    with pytest.raises(ClimateError, match="does not say where its station is"):
        load_weather(path)
