"""Broken weather files: each is refused with a sentence that says what, where, and what to do."""

import pytest

from hygro.climate import load_weather
from hygro.errors import ClimateError

HEAD = 7  # lines before the first hour


def with_cell(row, column, text):
    """Return a change that puts one text into a cell; `row` counts lines of the file from 1."""

    def change(lines):
        cells = lines[row - 1].split(",")
        cells[column] = text
        lines[row - 1] = ",".join(cells)
        return lines

    return change


def with_column(column, text):
    def change(lines):
        for row in range(HEAD + 1, len(lines) + 1):
            lines = with_cell(row, column, text)(lines)
        return lines

    return change


BROKEN = {
    "cut off in the middle": (
        lambda lines: lines[:5000],
        r":5000: the record is not a whole number of years, found '4993 rows up to 2001-07-28T01:00:00', "
        r"expected 8760 hourly rows .*; the file may be cut off",
    ),
    "last hours missing": (
        lambda lines: lines[:-3],
        r":8764: the record is not a whole number of years, found '8757 rows",
    ),
    "row cut off": (
        lambda lines: [*lines[:100], lines[100][:12], *lines[101:]],
        r":101: the row is cut off or has extra cells, found '1 cells', expected 9 as in the header",
    ),
    "an hour more": (
        lambda lines: [*lines, lines[-1].replace("2002-01-01T00:00Z", "2002-01-01T01:00Z")],
        r":8768: the record is not a whole number of years, found '8761 rows",
    ),
    "hour twice": (
        lambda lines: lines[:100] + [lines[99]] + lines[100:],
        r":101: the hour comes again or goes back in time",
    ),
    "half hours": (
        lambda lines: [*lines[:99], lines[99].replace(":00Z", ":30Z"), *lines[100:]],
        r":100: the row is not a whole number of hours after the one before",
    ),
    "long gap": (
        lambda lines: lines[:100] + lines[104:],
        r"more than 3 rows are missing in a row, found '4 h from 2001-01-04T21:00'",
    ),
    "cells empty for hours": (
        lambda lines: [
            *lines[:100],
            *[with_cell(1, 1, "")([line])[0] for line in lines[100:104]],
            *lines[104:],
        ],
        r"air temperature has gaps of more than 3 hours, found '4 h from 2001-01-04T21:00'",
    ),
    "many short gaps": (
        lambda lines: [
            line if i < HEAD or i % 50 else with_cell(1, 1, "")([line])[0] for i, line in enumerate(lines)
        ],
        r"air temperature is missing in too many hours, found '175 of 8760",
    ),
    "no number": (
        with_cell(100, 1, "warm"),
        r":100: column 'air_temperature_C' holds no number, found 'warm'",
    ),
    "infinite": (
        with_cell(100, 1, "inf"),
        r":100: column 'air_temperature_C' holds no number, found 'inf'",
    ),
    "no time": (
        with_cell(100, 0, "yesterday"),
        r":100: column 'hour_ending_utc' holds no time, found 'yesterday'",
    ),
    "code for missing": (
        with_cell(100, 1, "-9999"),
        r":100: column 'air_temperature_C' holds -9999 in 1 cells, which looks like a "
        r"code for a missing value",
    ),
    "humidity": (with_cell(100, 2, "103"), r":100: relative humidity is impossible .*found '1.03 1'"),
    "gale of a thousand": (with_cell(100, 4, "468.6"), r":100: wind speed .* is impossible"),
    "rain below zero": (with_cell(100, 6, "-1"), r":100: rain in the hour is impossible .*found '-1 mm'"),
    "rain missing": (
        with_cell(100, 6, ""),
        r'rain is missing in some hours .*1 hours, 1 h from 2001-01-04T20:00.*give rain = "file.csv"',
    ),
    "rain all zero": (
        with_column(6, "0.0"),
        r'rain is zero in every hour.*give rain = "file.csv" with hour_ending_utc and rain_mm',
    ),
    "no rain column": (
        lambda lines: [*lines[:6], lines[6].replace("rain_mm", "remark"), *lines[HEAD:]],
        r'the record holds no rain; give rain = "file.csv"',
    ),
    "misspelt column": (
        lambda lines: [*lines[:6], lines[6].replace("solar_global", "solar_gobal"), *lines[HEAD:]],
        r"a column is not known, found 'solar_gobal_W_m2'; did you mean solar_global_W_m2",
    ),
    "no sun": (
        lambda lines: [*lines[:6], lines[6].replace("solar_global_W_m2", "remark"), *lines[HEAD:]],
        r"the record holds no solar global, expected a column solar_global_W_m2",
    ),
    "no humidity": (
        lambda lines: [*lines[:6], lines[6].replace("relative_humidity_percent", "remark"), *lines[HEAD:]],
        r"neither relative humidity nor dew point",
    ),
    "two columns for one": (
        lambda lines: [*lines[:6], lines[6].replace("cloud_okta", "air_temperature_K"), *lines[HEAD:]],
        r"two columns give air_temperature",
    ),
    "column twice": (
        lambda lines: [*lines[:6], lines[6].replace("cloud_okta", "rain_mm"), *lines[HEAD:]],
        r":7: a column name occurs twice, found 'rain_mm'",
    ),
    "no time column": (
        lambda lines: [*lines[:6], lines[6].replace("hour_ending_utc", "when"), *lines[HEAD:]],
        r"the time column is not clear, found 'none'",
    ),
    "no place": (lambda lines: lines[4:], r"the file does not say its latitude, expected a comment line"),
    "impossible place": (
        lambda lines: ["# latitude: 520" if line.startswith("# latitude") else line for line in lines],
        r"the latitude is impossible, found 520.0, expected -90 to 90",
    ),
    "wrong place": (
        lambda lines: ["# longitude: 30" if line.startswith("# longitude") else line for line in lines],
        r"the sun shines while it is below the horizon, found '[0-9]+ hours with more than 5 W/m2'",
    ),
    "direction lost": (
        with_column(5, ""),
        r"the record holds no wind direction",
    ),
    "direction lost in the rain": (
        lambda lines: [
            with_cell(1, 5, "")([line])[0] if i >= HEAD and line.split(",")[6] != "0.0" else line
            for i, line in enumerate(lines)
        ],
        r"too much rain falls while the wind blows without a direction, found .*expected at most 10%",
    ),
    "nothing": (lambda lines: lines[:HEAD], r"the file holds no rows"),
}


@pytest.mark.parametrize("name", BROKEN)
def test_broken_csv(altered, name):
    change, sentence = BROKEN[name]
    path = altered(change)
    with pytest.raises(ClimateError, match=sentence) as caught:
        load_weather(path)
    assert str(path) in str(caught.value)
    assert caught.value.exit_code == 3


def test_no_file(tmp_path):
    with pytest.raises(ClimateError, match="nowhere.csv: the file cannot be read, found 'No such file"):
        load_weather(tmp_path / "nowhere.csv")


def test_no_text(tmp_path):
    path = tmp_path / "picture.csv"
    path.write_bytes(b"\x89PNG\xff\xfe")
    with pytest.raises(ClimateError, match="the file is not UTF-8 text"):
        load_weather(path)


def test_unknown_format(tmp_path):
    with pytest.raises(
        ClimateError, match=r"the format of the weather file is not known, expected \.csv, \.parquet, \.epw"
    ):
        load_weather(tmp_path / "weather.xlsx")


def test_unknown_quantity_in_the_column_map(invented):
    with pytest.raises(
        ClimateError, match="unknown quantity, found 'air_temprature_C'.*did you mean air_temperature_C"
    ):
        load_weather(invented("sheltered-inland"), columns={"air_temprature_C": "T"})


def test_column_map_to_nowhere(invented):
    with pytest.raises(
        ClimateError, match="there is no column 'T', expected hour_ending_utc, air_temperature_C"
    ):
        load_weather(invented("sheltered-inland"), columns={"air_temperature_C": "T"})


def test_local_time_without_a_zone(altered):
    path = altered(lambda lines: [line.replace("hour_ending_utc", "hour_ending") for line in lines])
    with pytest.raises(
        ClimateError, match="their time zone is not given, found 'hour_ending'; give the offset of its times"
    ):
        load_weather(path)


def rain_file(tmp_path, text):
    path = tmp_path / "rain.csv"
    path.write_text(text)
    return path


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("hour_ending_utc,rain\n2001-01-01T01:00Z,0\n", "there is no column 'rain_mm'"),
        (
            "hour_ending_utc,rain_mm\n2001-01-01T01:00Z,0.2\n",
            "the times do not match those of the weather, found '8759 of 8760 hours missing",
        ),
        (
            "hour_ending_utc,rain_mm\n2001-01-01T01:00Z,0.2\n2001-01-01T01:00Z,0.2\n",
            ":3: the hour comes again or goes back in time",
        ),
    ],
)
def test_broken_rain_file(invented, tmp_path, text, sentence):
    with pytest.raises(ClimateError, match=sentence):
        load_weather(invented("sheltered-inland"), rain=rain_file(tmp_path, text))


def test_supplied_rain_with_a_hole(invented, tmp_path):
    lines = ["hour_ending_utc,rain_mm"]
    lines += [
        f"{line.split(',')[0]},0.0" for line in invented("exposed-coast").read_text().splitlines()[HEAD:]
    ]
    lines[500] = lines[500].replace(",0.0", ",")
    with pytest.raises(ClimateError, match=":501: rain in the hour is missing or impossible, found ''"):
        load_weather(invented("sheltered-inland"), rain=rain_file(tmp_path, "\n".join(lines) + "\n"))
