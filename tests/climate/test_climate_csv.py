"""The CSV reader: canonical dataset, columns and units, gaps, clipping, leap days, rain from elsewhere."""

import numpy as np
import pytest
from climate_years import SHARED

from hygro.climate import load_weather, weather_statistics
from hygro.climate.checks import is_leap_day, years_later
from hygro.climate.record import CANONICAL, QUANTITIES


def cell(line, column, text):
    """Return a row with one cell changed, by the inland year's columns."""
    cells = line.split(",")
    cells[column] = text
    return ",".join(cells)


def test_canonical_dataset(inland):
    assert tuple(inland.data_vars) == CANONICAL
    assert inland.sizes == {"time": 8760}
    for name in CANONICAL:
        assert inland[name].dtype == np.float64
        assert inland[name].attrs["units"] == QUANTITIES[name].units
        if name != "wind_direction":
            assert np.isfinite(inland[name]).all()
    time = inland["time"].to_numpy()
    assert time.dtype == np.dtype("datetime64[ns]")
    assert (np.diff(time) == np.timedelta64(1, "h")).all()
    assert time[0] == np.datetime64("2001-01-01T01:00")
    assert inland.attrs["latitude"] == 52.0
    assert inland.attrs["rain"] == "measured"
    assert len(inland.attrs["sha256"]) == 64


def test_dataset_survives_netcdf(inland, tmp_path):
    import xarray as xr

    inland.to_netcdf(tmp_path / "weather.nc")
    with xr.open_dataset(tmp_path / "weather.nc") as again:
        assert again.attrs["modelled"] == inland.attrs["modelled"]
        np.testing.assert_array_equal(again["rain"], inland["rain"])


def test_direction_is_unknown_only_where_calm(inland):
    calm = inland["wind_speed"].to_numpy() == 0.0
    np.testing.assert_array_equal(np.isnan(inland["wind_direction"].to_numpy()), calm)
    assert calm.any()


def test_units_in_column_names(altered, inland):
    def change(lines):
        head = "hour_ending_utc,air_temperature_K,relative_humidity,air_pressure_hPa,wind_speed_knots"
        lines[6] = head + ",wind_direction_deg,rain_tenths_mm,solar_global_kJ_m2,cloud_tenths"
        for i in range(7, len(lines)):
            t, temperature, humidity, pressure, wind, direction, rain, sun, cloud = lines[i].split(",")
            cells = [
                t,
                f"{float(temperature) + 273.15:.4f}",
                f"{float(humidity) / 100:.4f}",
                f"{float(pressure) / 100:.4f}",
                f"{float(wind) / (1852 / 3600):.8f}",
                direction,
                f"{float(rain) * 10:.2f}",
                f"{float(sun) * 3.6:.4f}",
                f"{float(cloud) * 1.25:.4f}",
            ]
            lines[i] = ",".join(cells)
        return lines

    weather = load_weather(altered(change))
    for name in CANONICAL:
        # the fourth decimal was cut off above
        np.testing.assert_allclose(weather[name], inland[name], atol=2e-3, err_msg=name)


def test_column_map_and_ignored_columns(altered, inland):
    def change(lines):
        lines[6] = lines[6].replace("air_temperature_C", "temp") + ",note"
        return lines[:7] + [line + ",x" for line in lines[7:]]

    weather = load_weather(altered(change), columns={"air_temperature_C": "temp"})
    np.testing.assert_array_equal(weather["air_temperature"], inland["air_temperature"])
    assert weather.attrs["ignored_columns"] == "note"


def test_standard_time_with_an_offset(altered, inland):
    path = altered(
        lambda lines: [line.replace("hour_ending_utc", "hour_ending").replace("Z,", ",") for line in lines]
    )
    weather = load_weather(path, utc_offset_hours=0.0)
    np.testing.assert_array_equal(weather["time"], inland["time"])
    # one hour further east at the same stamps, with the sun there to match
    east = load_weather(path, utc_offset_hours=1.0, location=(52.0, 15.0, 80.0))
    assert east["time"].to_numpy()[0] == np.datetime64("2001-01-01T00:00")
    np.testing.assert_array_equal(east["rain"], inland["rain"])


def test_short_gaps_are_interpolated_and_counted(altered, inland):
    def change(lines):
        return lines[:100] + [cell(lines[100], 1, ""), cell(lines[101], 1, "NA")] + lines[102:]

    weather = load_weather(altered(change))
    assert weather.attrs["interpolated"] == "air_temperature 2"
    before, after = inland["air_temperature"].to_numpy()[[92, 95]]
    filled = weather["air_temperature"].to_numpy()[[93, 94]]
    np.testing.assert_allclose(filled, before + (after - before) * np.array([1, 2]) / 3)


def test_missing_rows_are_interpolated_where_rain_is_supplied(altered, inland, invented):
    path = altered(lambda lines: lines[:100] + lines[102:])
    weather = load_weather(path, rain=invented("sheltered-inland"))
    assert weather.attrs["missing_rows"] == 2
    assert weather.attrs["rain"] == "supplied"
    assert "air_temperature 2" in weather.attrs["interpolated"]
    np.testing.assert_array_equal(weather["rain"], inland["rain"])


def test_rounding_beyond_bounds_is_clipped_and_counted(altered):
    def change(lines):
        lines[50] = cell(lines[50], 2, "101.5")
        lines[51] = cell(lines[51], 6, "-0.1")
        lines[7] = cell(lines[7], 7, "-0.4")
        return lines

    weather = load_weather(altered(change))
    assert weather.attrs["clipped"] == "rain 1, relative_humidity 1, solar_global 1"
    assert float(weather["relative_humidity"].max()) == 1.0
    assert float(weather["rain"].min()) == 0.0


def test_rain_none_on_purpose(invented):
    weather = load_weather(invented("sheltered-inland"), rain="none")
    assert weather.attrs["rain"] == "none"
    assert not weather["rain"].any()


def test_rain_from_elsewhere(altered, invented, inland, coast):
    path = altered(lambda lines: lines[:7] + [cell(line, 6, "0.0") for line in lines[7:]])
    weather = load_weather(path, rain=invented("exposed-coast"))
    np.testing.assert_array_equal(weather["rain"], coast["rain"])
    np.testing.assert_array_equal(weather["wind_speed"], inland["wind_speed"])
    assert weather.attrs["rain_source"].endswith("exposed-coast.csv")


def test_dew_point_stands_in_for_humidity(measured, tmp_path):
    import csv

    whole = measured("arcen_sheltered_2023.csv")
    path = tmp_path / "dry.csv"
    with (SHARED / "arcen_sheltered_2023.csv").open() as source, path.open("w", newline="") as target:
        rows = csv.DictReader(source)
        keep = [name for name in rows.fieldnames if name != "RH_pct"]
        writer = csv.DictWriter(target, keep, extrasaction="ignore")
        writer.writeheader()
        writer.writerows(rows)
    weather = load_weather(path, location=(51.498, 6.197, 19.0))
    assert "relative_humidity" in weather.attrs["modelled"]
    difference = (weather["relative_humidity"] - whole["relative_humidity"]).to_numpy()
    # dew point and temperature are rounded to 0.1 K (0.7 % each), humidity to 1 % (0.5 %); formulas differ
    assert np.abs(difference).max() < 0.025
    assert abs(difference.mean()) < 0.005


def leap_year(lines):
    """The inland year stamped 2004, with 28 February again as the 29th."""
    head, rows = lines[:7], lines[7:]
    rows = rows[: 59 * 24] + rows[58 * 24 : 59 * 24] + rows[59 * 24 :]
    start = np.datetime64("2004-01-01T00:00")
    stamped = [f"{start + np.timedelta64(i + 1, 'h')}Z,{row.split(',', 1)[1]}" for i, row in enumerate(rows)]
    return head + stamped


def test_leap_day_is_dropped_and_said(altered, inland):
    weather = load_weather(altered(leap_year))
    assert weather.sizes["time"] == 8760
    assert weather.attrs["leap_policy"] == "29 February dropped (24 hours)"
    np.testing.assert_array_equal(weather["rain"], inland["rain"])
    time = weather["time"].to_numpy()
    assert np.diff(time).max() == np.timedelta64(25, "h")
    assert not is_leap_day(time - np.timedelta64(1, "h")).any()


def test_leap_year_without_its_leap_day_is_whole(altered):
    def change(lines):
        lines = leap_year(lines)
        return lines[: 7 + 59 * 24] + lines[7 + 60 * 24 :]

    weather = load_weather(altered(change))
    assert weather.sizes["time"] == 8760
    assert weather.attrs["leap_policy"] == "no 29 February in the record"


def test_several_years_keep_their_leap_day(altered, inland):
    def change(lines):
        first = leap_year(lines)
        start = np.datetime64("2005-01-01T00:00")
        rows = [
            f"{start + np.timedelta64(i + 1, 'h')}Z,{r.split(',', 1)[1]}" for i, r in enumerate(lines[7:])
        ]
        return first + rows

    weather = load_weather(altered(change))
    assert weather.sizes["time"] == 8784 + 8760
    assert "kept" in weather.attrs["leap_policy"]
    # indices and sums are per year
    expected = weather_statistics(inland)["airfield_index_SW_l_m2"]
    assert weather_statistics(weather)["airfield_index_SW_l_m2"] == pytest.approx(expected, rel=0.02)


def test_years_later():
    assert years_later(np.datetime64("2003-07-01T05:00"), 1) == np.datetime64("2004-07-01T05:00")
    assert years_later(np.datetime64("2004-02-29T00:00"), 1) == np.datetime64("2005-03-01T00:00")


def test_pressure_falls_with_altitude(invented):
    low = load_weather(invented("sheltered-inland"), location=(52.0, 0.0, 0.0))
    # the column is station pressure and is not touched
    np.testing.assert_array_equal(
        low["air_pressure"], load_weather(invented("sheltered-inland"))["air_pressure"]
    )


def test_missing_pressure_is_that_of_the_standard_atmosphere(altered):
    path = altered(lambda lines: lines[:7] + [cell(line, 3, "") for line in lines[7:]])
    weather = load_weather(path, location=(52.0, 0.0, 1000.0))
    # ISO 2533 at 1000 m: 89 875 Pa; the power law is rounded
    assert float(weather["air_pressure"].mean()) == pytest.approx(89875.0, abs=15.0)
    assert "air_pressure" in weather.attrs["modelled"]
