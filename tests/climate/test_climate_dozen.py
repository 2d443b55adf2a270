"""Twelve ways in which weather files come broken: each is read with a note, or refused with a sentence."""

import json
import random

import numpy as np
import pytest

from hygro.climate import load_weather
from hygro.climate.weather import inspect_weather
from hygro.errors import ClimateError

HEAD = 7  # lines before the first hour


def rows_of(change):
    """Change the rows, leave the heading."""
    return lambda lines: lines[:HEAD] + change(lines[HEAD:])


def column(number, change):
    def apply(row):
        cells = row.split(",")
        cells[number] = change(cells[number])
        return ",".join(cells)

    return rows_of(lambda rows: [apply(row) for row in rows])


def shuffled(rows):
    random.Random(5).shuffle(rows)
    return rows


def stamped(rows, stamps):
    return [f"{stamp}Z,{row.split(',', 1)[1]}" for stamp, row in zip(stamps, rows, strict=True)]


def clock(hours_ahead, keep_repeated):
    """Stamps of a clock that is moved one hour forward from the last Sunday of March to that of October."""

    def change(rows):
        end = np.datetime64("2001-01-01T00:00") + np.arange(1, 8761) * np.timedelta64(1, "h")
        summer = (end > np.datetime64("2001-03-25T01:00")) & (end <= np.datetime64("2001-10-28T01:00"))
        local = end + (hours_ahead + summer) * np.timedelta64(1, "h")
        changed = stamped(rows, local)
        again = int(np.flatnonzero(np.diff(summer.astype(int)) == -1)[0]) + 1
        return changed if keep_repeated else changed[:again] + changed[again + 1 :]

    return change


def later_year(rows, hours):
    """The same rows again from the start of the next year, as many as asked for."""
    start = np.datetime64("2002-01-01T00:00")
    return rows + stamped(rows[:hours], [start + np.timedelta64(i + 1, "h") for i in range(hours)])


def leap_year(rows, year):
    """Rows of 366 days that start on 1 January of a year."""
    rows = rows + rows[-24:]
    start = np.datetime64(f"{year}-01-01T00:00")
    return stamped(rows, [start + np.timedelta64(i + 1, "h") for i in range(len(rows))])


def place(key, value):
    return lambda lines: [f"# {key}: {value}" if line.startswith(f"# {key}") else line for line in lines]


REFUSED = {
    "cut off": (
        lambda lines: lines[:5000],
        r"altered.csv:5000: the record is not a whole number of years, found '4993 rows up to "
        r"2001-07-28T01:00:00', expected 8760 hourly rows from 2001-01-01T01:00:00 to 2002-01-01T00:00:00; "
        r"the file may be cut off; give whole years, hour by hour\.$",
    ),
    "shuffled": (
        rows_of(shuffled),
        r"altered.csv:\d+: the rows are not in the order of time \(\d+ go back\), found "
        r"'.*', expected a time "
        r"after .*; sort the file by its times; if it was sorted, day and month may have changed places\.$",
    ),
    "kelvin for degrees": (
        column(1, lambda cell: f"{float(cell) + 273.15:.1f}"),
        r"altered.csv:8: air temperature is impossible \(8760 such values\), found '276.6 "
        r"degC', expected -70 to "
        r"60 degC; all values would fit as air_temperature_K\.$",
    ),
    "hectopascal for pascal": (
        column(3, lambda cell: f"{float(cell) / 100.0:.1f}"),
        r"air pressure at the site is impossible .*; all values would fit as air_pressure_hPa\.$",
    ),
    "share for percent": (
        column(2, lambda cell: f"{float(cell) / 100.0:.3f}"),
        r"altered.csv: relative humidity is too low all the time, found 'at most 1 %', "
        r"expected more than 5% in "
        r"some hours; shares of 1 stand in a column of percent: name it relative_humidity\.$",
    ),
    "daylight saving": (
        rows_of(clock(0, keep_repeated=True)),
        r"altered.csv:\d+: the times follow daylight saving, found 'the hour to "
        r"2001-03-25T02:00:00 is left out "
        r"and the hour to 2001-10-28T02:00:00 comes twice', expected UTC, or standard time all year; give "
        r"time_zone, such as Europe/London, with hour_ending_local\.$",
    ),
    "daylight saving, repeated hour lost": (
        rows_of(clock(0, keep_repeated=False)),
        r"the times follow daylight saving, .*; the hour that comes twice in autumn was "
        r"thrown away and is lost",
    ),
    "no rain": (
        column(6, lambda cell: "0.0"),
        r"altered.csv: rain is zero in every hour, which is no dry year but a record "
        r"without rain; give rain = "
        r'"file.csv" with hour_ending_utc and rain_mm, or rain = "none" on purpose\.$',
    ),
    "thirteen months": (
        rows_of(lambda rows: later_year(rows, 744)),
        r"altered.csv:9511: the record is not a whole number of years, found '9504 rows up to "
        r"2002-02-01T00:00:00', expected 8760 hourly rows .*; cut the rest off, or name "
        r"the calendar years to take\.$",
    ),
    "code for missing": (
        column(1, lambda cell: "-9999" if cell == "8.0" else cell),
        r"altered.csv:\d+: column 'air_temperature_C' holds -9999 in \d+ cells, which "
        r"looks like a code for a "
        r"missing value, expected an empty cell or NA; name the code, in a line '# "
        r"missing: -9999' before the "
        r"header or beside the file name\.$",
    ),
    "366 days in a common year": (
        rows_of(lambda rows: leap_year(rows, 2001)),
        r"altered.csv:8791: the record is not a whole number of years, found '8784 rows up to 2002-01-02",
    ),
    "local time": (
        rows_of(lambda rows: stamped(rows, np.datetime64("2001-01-01T03:00") + np.arange(8760))),
        r"altered.csv: the sun shines while it is below the horizon, found '\d+ hours "
        r"with more than 5 W/m2', "
        r"expected at most 10; it would fit with stamps \+2 h from UTC, not \+0 h: the time zone, or whether "
        r"stamps begin or end the hour, is wrong\.$",
    ),
    "wrong hemisphere": (
        place("latitude", -52),
        r"altered.csv: the sun shines while it is below the horizon, found '\d+ hours .*; it would fit at "
        r"latitude 52: the sign is wrong\.$",
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_refused_with_one_sentence(altered, name):
    change, sentence = REFUSED[name]
    if name == "local time":  # hours, not days, after the first
        change = rows_of(
            lambda rows: stamped(
                rows, np.datetime64("2001-01-01T03:00") + np.arange(8760) * np.timedelta64(1, "h")
            )
        )
    path = altered(change)
    with pytest.raises(ClimateError, match=sentence) as caught:
        load_weather(path)
    assert caught.value.exit_code == 3
    assert "\n" not in str(caught.value)
    if name == "code for missing":  # found while the file is read
        return
    found = inspect_weather(path)
    assert found.weather is None
    assert found.findings[-1].text == str(caught.value)


def notes(weather):
    return [entry["text"] for entry in json.loads(weather.attrs["findings"]) if entry["kind"] == "format"]


def test_byte_order_mark(invented, inland, tmp_path):
    path = tmp_path / "bom.csv"
    path.write_bytes(b"\xef\xbb\xbf" + invented("sheltered-inland").read_bytes())
    weather = load_weather(path)
    np.testing.assert_array_equal(weather["rain"], inland["rain"])
    assert notes(weather) == ["The file starts with a byte order mark, which is left out."]


@pytest.mark.parametrize("mark", [";", "\t"])
def test_semicolons_and_decimal_commas(altered, inland, mark):
    path = altered(
        lambda lines: [
            line if line.startswith("#") else line.replace(",", mark).replace(".", ",") for line in lines
        ]
    )
    weather = load_weather(path)
    for name in inland.data_vars:
        np.testing.assert_array_equal(weather[name], inland[name])
    assert "decimals written with a comma" in notes(weather)[0]


def test_semicolons_and_decimal_points(altered, inland):
    path = altered(lambda lines: [line.replace(",", ";") for line in lines])
    weather = load_weather(path)
    np.testing.assert_array_equal(weather["rain"], inland["rain"])
    assert notes(weather) == ["Cells are separated by semicolons, and decimals written with a point."]


def test_a_named_code_for_missing(altered, inland):
    def change(lines):
        lines[100] = lines[100].replace(lines[100].split(",")[1], "-9999", 1)
        return ["# missing: -9999", *lines]

    weather = load_weather(altered(change))
    assert weather.attrs["interpolated"] == "air_temperature 1"
    without_comment = altered(lambda lines: change(lines)[1:], "second.csv")
    again = load_weather(without_comment, missing=("-9999",))
    np.testing.assert_array_equal(again["air_temperature"], weather["air_temperature"])


def test_366_days_of_a_leap_year_lose_the_leap_day(altered):
    weather = load_weather(altered(rows_of(lambda rows: leap_year(rows, 2004))))
    assert weather.sizes["time"] == 8760
    assert "29 February dropped (24 hours)." in weather.attrs["findings"]


def test_the_same_clock_with_its_zone_is_read(altered, inland):
    def change(lines):
        lines = rows_of(clock(0, keep_repeated=True))(lines)
        return [line.replace("hour_ending_utc", "hour_ending_local").replace("Z,", ",") for line in lines]

    weather = load_weather(altered(change), time_zone="Europe/London")
    np.testing.assert_array_equal(weather["time"], inland["time"])
    np.testing.assert_array_equal(weather["rain"], inland["rain"])
    with pytest.raises(ClimateError, match="follow daylight saving and their time zone is not given"):
        load_weather(altered(change))


def test_thirteen_months_cut_to_the_year_asked_for(altered, inland):
    path = altered(rows_of(lambda rows: later_year(rows, 744)))
    weather = load_weather(path, years=(2001, 2001))
    np.testing.assert_array_equal(weather["rain"], inland["rain"])
    with pytest.raises(ClimateError, match="nothing of the years asked for, found '2001 to 2002'"):
        load_weather(path, years=(1999, 2000))


def test_local_time_with_its_offset_is_read(altered, inland):
    def change(lines):
        rows = stamped(
            lines[HEAD:], np.datetime64("2001-01-01T03:00") + np.arange(8760) * np.timedelta64(1, "h")
        )
        lines = lines[:HEAD] + rows
        return [line.replace("hour_ending_utc", "hour_ending").replace("Z,", ",") for line in lines]

    weather = load_weather(altered(change), utc_offset_hours=2.0)
    np.testing.assert_array_equal(weather["time"], inland["time"])


def test_wrong_sign_of_the_longitude_is_named(tmp_path, invented):
    text = invented("greensboro-typical").read_text().replace("# longitude: -79.95", "# longitude: 79.95")
    path = tmp_path / "east.csv"
    path.write_text(text)
    with pytest.raises(ClimateError, match=r"it would fit at longitude -79.95: the sign is wrong"):
        load_weather(path)
