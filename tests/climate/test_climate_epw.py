"""The EPW reader on real values: a typical year laid out here, and whole files that a package brings."""

import importlib.util
from pathlib import Path

import numpy as np
import pytest

from hygro.climate import load_weather, weather_statistics
from hygro.errors import ClimateError

HEADER = [
    "LOCATION,GREENSBORO,NC,USA,TMY3,723170,36.100,-79.950,-5.0,273",
    "DESIGN CONDITIONS,0",
    "TYPICAL/EXTREME PERIODS,0",
    "GROUND TEMPERATURES,0",
    "HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0",
    "COMMENTS 1,values of Greensboro's typical year as pvlib brings it",
    "COMMENTS 2,infrared left out",
    "DATA PERIODS,1,1,Data,Sunday,1/1,12/31",
]


def epw_row(row):
    """Return one hour of the typical year as an EPW row of 35 fields."""
    month, day, year = row["Date (MM/DD/YYYY)"].split("/")
    fields = ["0"] * 35
    fields[0:5] = [year, month.lstrip("0"), day.lstrip("0"), str(int(row["Time (HH:MM)"][:2])), "0"]
    fields[6] = row["Dry-bulb (C)"]
    fields[7] = row["Dew-point (C)"]
    fields[8] = row["RHum (%)"]
    fields[9] = str(int(row["Pressure (mbar)"]) * 100)
    fields[12] = "9999"
    fields[13:16] = [row["GHI (W/m^2)"], row["DNI (W/m^2)"], row["DHI (W/m^2)"]]
    fields[20], fields[21] = row["Wdir (degrees)"], row["Wspd (m/s)"]
    fields[22], fields[23] = row["TotCld (tenths)"], row["OpqCld (tenths)"]
    fields[33], fields[34] = f"{float(row['Lprecip depth (mm)']) / 10:.1f}", "1"
    return ",".join(fields)


@pytest.fixture(scope="module")
def epw_lines(greensboro_rows):
    return HEADER + [epw_row(row) for row in greensboro_rows]


@pytest.fixture
def epw(epw_lines, tmp_path):
    """Return a function that writes the EPW file with changed lines."""

    def write(change=lambda lines: lines):
        path = tmp_path / "greensboro.epw"
        path.write_text("\n".join(change(list(epw_lines))) + "\n")
        return path

    return write


def field(line, number, text):
    def change(lines):
        fields = lines[line - 1].split(",")
        fields[number] = text
        lines[line - 1] = ",".join(fields)
        return lines

    return change


def every(number, text):
    def change(lines):
        for line in range(9, len(lines) + 1):
            lines = field(line, number, text)(lines)
        return lines

    return change


def test_typical_year(epw):
    weather = load_weather(epw())
    figures = weather_statistics(weather)
    assert figures["mean_air_temperature_C"] == pytest.approx(14.4, abs=0.05)
    assert figures["rain_mm"] == pytest.approx(834.0, abs=0.5)
    assert figures["solar_global_kWh_m2"] == pytest.approx(1566.0, abs=0.5)
    assert weather.attrs["nominal_year"] == "months of several years laid on 2001"
    assert weather.attrs["modelled"] == "longwave_sky"
    assert weather.attrs["altitude"] == 273.0
    assert weather.attrs["source"] == "EPW, GREENSBORO, USA, TMY3"
    # a calm is written as direction 0, which is no north wind
    calm = weather["wind_speed"].to_numpy() == 0.0
    assert calm.sum() > 500
    np.testing.assert_array_equal(np.isnan(weather["wind_direction"].to_numpy()), calm)


def test_hours_end_at_the_stamp_in_standard_time(epw):
    time = load_weather(epw())["time"].to_numpy()
    assert time[0] == np.datetime64("2001-01-01T06:00")  # hour 1 ends at 01:00, UTC-5
    assert time[-1] == np.datetime64("2002-01-01T05:00")
    assert (np.diff(time) == np.timedelta64(1, "h")).all()


def test_same_as_through_csv(epw, greensboro_csv):
    from climate_years import GREENSBORO_COLUMNS

    by_csv = load_weather(
        greensboro_csv, columns=GREENSBORO_COLUMNS, location=(36.1, -79.95, 273.0), utc_offset_hours=-5.0
    )
    by_epw = load_weather(epw())
    for name in by_csv.data_vars:
        if name != "longwave_sky":  # the EPW file has a dew point, rounded to 0.1 K; the other works it out
            np.testing.assert_allclose(by_epw[name], by_csv[name], atol=1e-9, err_msg=name)
    # 0.1 K of dew point is 0.2 W/m2; in a few hours of the file dew point and humidity contradict each other
    difference = np.abs(by_epw["longwave_sky"].to_numpy() - by_csv["longwave_sky"].to_numpy())
    assert difference.mean() < 0.4
    assert (difference > 4.0).sum() < 9


def test_infrared_of_the_file_is_taken(epw):
    weather = load_weather(epw(every(12, "311")))
    assert (weather["longwave_sky"] == 311.0).all()
    assert weather.attrs["modelled"] == ""


@pytest.mark.parametrize(("number", "name"), [(14, "solar_direct_normal"), (15, "solar_diffuse")])
def test_direct_from_diffuse_and_the_other_way(epw, number, name):
    """The file's three suns were modelled together, by the sun at mid-hour, so the third follows from two.

    All three are rounded to 1 W/m2, which a low sun blows up in the division: yearly sums to 2 %,
    and half the sunny hours to 5 W/m2.
    """
    whole, without = load_weather(epw()), load_weather(epw(every(number, "9999")))
    assert name in without.attrs["modelled"]
    assert float(without[name].sum()) == pytest.approx(float(whole[name].sum()), rel=0.02)
    sunny = whole["solar_global"].to_numpy() > 100.0
    assert np.median(np.abs(without[name] - whole[name]).to_numpy()[sunny]) < 5.0


def test_short_gap_in_codes_is_interpolated(epw):
    weather = load_weather(epw(lambda lines: field(101, 6, "99.9")(field(100, 8, "999")(lines))))
    assert weather.attrs["interpolated"] == "air_temperature 1, relative_humidity 1"


def test_months_of_a_leap_year_lose_their_leap_day(epw, epw_lines):
    def change(lines):
        first = next(i for i, line in enumerate(lines) if i >= 8 and line.split(",")[1] == "3")
        leap = [
            ",".join([*line.split(",")[:2], "29", *line.split(",")[3:]]) for line in lines[first - 24 : first]
        ]
        return lines[:first] + leap + lines[first:]

    assert load_weather(epw(change)).sizes["time"] == 8760


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (every(33, "999"), r'the record holds no rain; give rain = "file.csv"'),
        (every(33, "0"), r"rain is zero in every hour"),
        (field(2000, 33, "999"), r"rain is missing in some hours and is not made up, found '1 hours"),
        (
            lambda lines: every(34, "6")(lines),
            r":\d+: rain is summed over more than an hour \(\d+ such rows\), found '[0-9.]+ mm in 6 h'",
        ),
        (
            lambda lines: lines[:3000],
            r":3000: the record is not a whole number of years, found '2992 rows",
        ),
        (lambda lines: lines[:-2], r":8766: the record is not a whole number of years, found '8758 rows"),
        (
            lambda lines: [*lines[:200], lines[200][:40], *lines[201:]],
            r":201: the row is cut off .*expected 35",
        ),
        (field(300, 6, "cold"), r":300: field 'temp_air' holds no number, found 'cold'"),
        (field(300, 6, "71"), r":300: air temperature is impossible .*found '71 degC'"),
        (field(300, 3, "7.5x"), r"header or date can't be read as EPW"),
        (lambda lines: lines[1:], r":1: the file is no EPW file, expected a line LOCATION"),
        (lambda lines: lines[:8], r"the file holds no hours"),
        (field(1, 8, "east"), r"header or date can't be read as EPW"),
        (field(1, 8, "-6.0"), r"the sun shines while it is below the horizon"),
        (field(1, 8, "-4.0"), r"the sun shines while it is below the horizon"),
    ],
)
def test_broken_epw(epw, change, sentence):
    path = epw(change)
    with pytest.raises(ClimateError, match=sentence) as caught:
        load_weather(path)
    assert str(path) in str(caught.value)


def test_sums_of_dry_hours_are_no_sums(epw):
    """Some makers write the true period, and 0 or 99 for none: only wet sums are refused."""
    for period in ("0", "99", "1"):
        assert load_weather(epw(every(34, period))).attrs["rain"] == "measured"


def test_place_is_fixed(epw):
    with pytest.raises(ClimateError, match="the place is fixed in EPW; leave out latitude"):
        load_weather(epw(), location=(0.0, 0.0, 0.0))


def package_file(name):
    """Return a whole EPW file out of a test package, found without importing the package."""
    spec = importlib.util.find_spec("diyepw")
    path = Path(spec.origin).parent / "data" / "tmy_epw_files" / name if spec and spec.origin else None
    if path is None or not path.exists():
        pytest.skip("the package diyepw, which brings whole EPW files, is not installed")
    return path


def test_chicago():
    weather = load_weather(package_file("USA_IL_Chicago.OHare.Intl.AP.725300_TMY3.epw"))
    figures = weather_statistics(weather)
    assert figures["rain_mm"] == pytest.approx(620.0, abs=0.5)
    assert figures["mean_wind_speed_m_s"] == pytest.approx(4.6, abs=0.05)
    assert weather.attrs["modelled"] == ""


def test_mount_shasta_has_its_sun_an_hour_late():
    """A real file whose sun shines after dusk all year: refused, and read with the zone one hour off."""
    path = package_file("USA_CA_Mount.Shasta.725957_TMYx.epw")
    with pytest.raises(ClimateError, match="found '151 hours with more than 5 W/m2'"):
        load_weather(path)
    weather = load_weather(path, utc_offset_hours=-7.0)
    figures = weather_statistics(weather)
    assert figures["rain_mm"] == pytest.approx(946.0, abs=0.5)
    assert figures["mean_air_temperature_C"] == pytest.approx(9.7, abs=0.05)
    assert figures["mean_wind_speed_m_s"] == pytest.approx(2.1, abs=0.05)
