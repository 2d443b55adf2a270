"""Time zones, daylight saving, stamps that begin or end the hour, years that go on over New Year."""

import numpy as np
import pytest

from hygro.climate import load_weather
from hygro.climate.daylight import daylight_saving_marks, local_to_utc
from hygro.errors import ClimateError

HOUR = np.timedelta64(1, "h")


def clock_of(zone_rules, year):
    """UTC stamps of a year and what the clock showed: rules are (offset, begin, end of summer in UTC)."""
    offset, begin, end = zone_rules
    utc = np.datetime64(f"{year}-01-01T00:00", "s") + np.arange(8760) * HOUR
    summer = (utc >= np.datetime64(begin)) & (utc < np.datetime64(end))
    return utc, utc + (offset + summer) * HOUR


# last Sundays of March and October at 01:00 UTC (EU); second of March, first of November at 2:00 local (US)
ZONES = {
    "Europe/Amsterdam": (1, "2023-03-26T01:00", "2023-10-29T01:00"),
    "Europe/London": (0, "2023-03-26T01:00", "2023-10-29T01:00"),
    "America/New_York": (-5, "2023-03-12T07:00", "2023-11-05T06:00"),
}


@pytest.mark.parametrize("zone", ZONES)
def test_clock_to_utc(zone):
    utc, local = clock_of(ZONES[zone], 2023)
    np.testing.assert_array_equal(local_to_utc(local, zone, "file"), utc)


@pytest.mark.parametrize("zone", ZONES)
def test_marks_of_a_clock(zone):
    _, local = clock_of(ZONES[zone], 2023)
    holes, repeats = daylight_saving_marks(local)
    assert (len(holes), len(repeats)) == (1, 1)
    assert np.diff(local)[holes[0] - 1] == 2 * HOUR
    assert np.diff(local)[repeats[0] - 1] == 0 * HOUR


def test_a_missing_row_on_another_day_is_no_clock():
    utc, _ = clock_of(ZONES["Europe/London"], 2023)
    assert daylight_saving_marks(np.delete(utc, 24 * 40)) == ([], [])  # a Friday in February
    sunday_noon = int(np.flatnonzero(utc == np.datetime64("2023-03-26T12:00"))[0])
    assert daylight_saving_marks(np.delete(utc, sunday_noon)) == ([], [])


def test_standard_time_taken_for_a_clock_is_refused():
    utc, _ = clock_of(ZONES["Europe/London"], 2023)
    with pytest.raises(
        ClimateError, match="not those of a clock in Europe/London, found '.*'.*offset from UTC"
    ):
        local_to_utc(utc, "Europe/London", "file")


@pytest.mark.parametrize("zone", ["Europe/Atlantis", "../../etc/passwd", ""])
def test_unknown_zone(zone):
    with pytest.raises(ClimateError, match="the time zone is not known, found"):
        local_to_utc(np.array(["2023-01-01T00:00"], dtype="datetime64[s]"), zone, "file")


def restamp(lines, name, shift):
    """Rename the time column and move its stamps."""
    rows = []
    for line in lines[7:]:
        stamp, rest = line.split(",", 1)
        rows.append(f"{np.datetime64(stamp.removesuffix('Z')) + shift},{rest}")
    return [*lines[:6], lines[6].replace("hour_ending_utc", name), *rows]


@pytest.mark.parametrize(
    ("name", "shift", "options"),
    [
        ("hour_beginning_utc", -1, {}),
        ("hour_ending", 2, {"utc_offset_hours": 2.0}),
        ("hour_beginning", -6, {"utc_offset_hours": -5.0}),
    ],
)
def test_beginning_and_ending(altered, inland, name, shift, options):
    path = altered(lambda lines: restamp(lines, name, shift * HOUR))
    weather = load_weather(path, **options)
    np.testing.assert_array_equal(weather["time"], inland["time"])
    np.testing.assert_array_equal(weather["rain"], inland["rain"])


def test_offset_of_half_an_hour(altered, inland):
    path = altered(lambda lines: restamp(lines, "hour_ending", np.timedelta64(330, "m")))
    np.testing.assert_array_equal(load_weather(path, utc_offset_hours=5.5)["time"], inland["time"])


def test_beginning_taken_for_ending_is_found(altered):
    """Stamps that begin the hour, called ending: the sun rises an hour before it does."""
    path = altered(lambda lines: restamp(lines, "hour_ending_utc", -HOUR))
    with pytest.raises(ClimateError, match="the sun rises and sets at the wrong time, found '1.0 h early'"):
        load_weather(path)


def test_offsets_within_the_stamps(altered, inland):
    def change(lines):
        shifted = restamp(lines, "hour_ending_utc", 2 * HOUR)
        return shifted[:7] + [line.replace(",", "+02:00,", 1) for line in shifted[7:]]

    np.testing.assert_array_equal(load_weather(altered(change))["time"], inland["time"])

    def broken(lines):
        lines = change(lines)
        lines[50] = lines[50].replace("+02:00", "")
        return lines

    with pytest.raises(ClimateError, match=":51: column 'hour_ending_utc' holds no time"):
        load_weather(altered(broken))


def test_order_of_day_and_month_is_not_guessed(altered):
    path = altered(lambda lines: [line.replace("2001-01-04T05:00Z", "04/01/2001 05:00") for line in lines])
    with pytest.raises(ClimateError, match="holds no time, found '04/01/2001 05:00'.*not guessed"):
        load_weather(path)


def test_zone_and_offset_exclude_each_other(invented):
    with pytest.raises(ClimateError, match="both a time zone and an offset from UTC are given"):
        load_weather(invented("sheltered-inland"), time_zone="Europe/London", utc_offset_hours=1.0)


def test_zone_does_not_go_with_epw(tmp_path):
    with pytest.raises(ClimateError, match="a time zone with daylight saving does not go with EPW"):
        load_weather(tmp_path / "a.epw", time_zone="Europe/London")
