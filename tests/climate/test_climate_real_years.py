"""Statistics of real years, against figures worked out from the files themselves by other means."""

import csv

import numpy as np
import pytest
from climate_years import GREENSBORO_COLUMNS, SHARED

from hygro.climate import load_weather, weather_statistics

# mean T, RH %, wind, rain, wet hours, sun, index SW W S N E; rounded to the digit given, or cut off after it
FIGURES = {
    "vlissingen_coast_2023.csv": (12.4, 80, 6.62, 938, 1120, 1190, 1177, 770, 1079, 153, 198),
    "arcen_sheltered_2023.csv": (12.0, 79, 2.38, 1091, 1224, 1092, 379, 321, 294, 71, 111),
}
NAMES = (
    "mean_air_temperature_C",
    "mean_relative_humidity_percent",
    "mean_wind_speed_m_s",
    "rain_mm",
    "wet_hours",
    "solar_global_kWh_m2",
    "airfield_index_SW_l_m2",
    "airfield_index_W_l_m2",
    "airfield_index_S_l_m2",
    "airfield_index_N_l_m2",
    "airfield_index_E_l_m2",
)
TOLERANCES = (
    0.05,
    0.5,
    0.005,
    0.5,
    0,
    0.5,
    1,
    1,
    1,
    1,
    1,
)  # half the last digit; whole where figures were cut off


@pytest.mark.parametrize("name", FIGURES)
def test_figures_of_measured_years(measured, name):
    figures = weather_statistics(measured(name))
    for key, expected, tolerance in zip(NAMES, FIGURES[name], TOLERANCES, strict=True):
        assert figures[key] == pytest.approx(expected, abs=tolerance + 1e-9), key


def test_coast_gets_three_times_the_rain_of_inland(measured):
    coast = weather_statistics(measured("vlissingen_coast_2023.csv"))["airfield_index_SW_l_m2"]
    inland = weather_statistics(measured("arcen_sheltered_2023.csv"))["airfield_index_SW_l_m2"]
    assert coast / inland == pytest.approx(3.1, abs=0.05)


def test_what_is_modelled_is_said(measured):
    assert measured("vlissingen_coast_2023.csv").attrs["modelled"] == (
        "air_pressure, solar_direct_normal, solar_diffuse, longwave_sky"
    )
    assert measured("arcen_sheltered_2023.csv").attrs["modelled"].endswith("longwave_sky, cloud")


@pytest.mark.parametrize("name", FIGURES)
@pytest.mark.parametrize("hours", [-1.0, 1.0])
def test_a_time_zone_one_hour_off_is_found(measured, name, hours):
    from hygro.errors import ClimateError

    with pytest.raises(
        ClimateError, match="the sun shines while it is below the horizon, found '[0-9]+ hours"
    ):
        measured(name, columns={"hour_ending": "hour_ending_utc"}, utc_offset_hours=hours)


def test_cloud_estimated_from_the_sun_gives_nearly_the_measured_cloud_s_sky(measured, tmp_path):
    """Long-wave worked out with oktas and without: no measured long-wave is at hand to hold both against.

    Kasten and Czeplak's relation scatters widely hour by hour; the yearly mean should agree to 3 %, 10 W/m2,
    since cloud moves the sky by 15 % from clear to overcast and mean cloud should come out within two oktas.
    """
    name = "vlissingen_coast_2023.csv"
    whole = measured(name)
    path = tmp_path / name
    with (SHARED / name).open() as source, path.open("w", newline="") as target:
        rows = csv.DictReader(source)
        keep = [column for column in rows.fieldnames if column != "cloud_okta"]
        writer = csv.DictWriter(target, keep, extrasaction="ignore")
        writer.writeheader()
        writer.writerows(rows)
    without = load_weather(path, location=(51.453, 3.570, 8.0))
    assert "cloud" in without.attrs["modelled"]
    assert float(without["longwave_sky"].mean()) == pytest.approx(
        float(whole["longwave_sky"].mean()), abs=10.0
    )


@pytest.fixture(scope="module")
def new_york(tmp_path_factory):
    """Reanalysis of 2018 in hygro's columns."""
    source = SHARED / "newyork_era5land_2018.csv"
    if not source.exists():
        pytest.skip("the real year of New York does not lie beside the project in ../shared/weather")
    path = tmp_path_factory.mktemp("new_york") / "newyork.csv"
    with source.open() as file, path.open("w", newline="") as target:
        rows = list(csv.DictReader(file))
        columns = [name for name in rows[0] if name not in ("Year", "Month", "Day", "Hour", "Minute")]
        writer = csv.DictWriter(target, ["time", *columns], extrasaction="ignore")
        writer.writeheader()
        for row in rows:
            date = f"{row['Year']}-{int(row['Month']):02d}-{int(row['Day']):02d}"
            writer.writerow({**row, "time": f"{date}T{int(row['Hour']):02d}:00Z"})
    columns = {
        "hour_ending_utc": "time",
        "air_temperature_C": "Temperature",
        "relative_humidity_percent": "Relative Humidity",
        "air_pressure_hPa": "Pressure",
        "wind_speed_m_s": "Wind Speed",
        "wind_direction_deg": "Wind Direction",
        "rain_mm": "Precipitation",
        "solar_global_W_m2": "GHI",
        "solar_direct_normal_W_m2": "DNI",
        "solar_diffuse_W_m2": "DHI",
        "longwave_sky_W_m2": "IR",
    }
    return load_weather(path, columns=columns, location=(40.7128, -74.0060, 10.0))


def test_reanalysis_is_clipped_and_says_so(new_york):
    assert "solar_global" in new_york.attrs["clipped"]
    assert "relative_humidity" in new_york.attrs["clipped"]
    assert float(new_york["solar_global"].min()) == 0.0
    assert float(new_york["relative_humidity"].max()) == 1.0
    assert new_york.attrs["modelled"] == ""


def test_indices_of_the_reanalysis(new_york):
    figures = weather_statistics(new_york)
    # worked out with pandas from the file
    for name, expected in {"SW": 624.7, "W": 637.1, "NW": 562.6, "N": 433.3}.items():
        assert figures[f"airfield_index_{name}_l_m2"] == pytest.approx(expected, abs=0.1)


def test_longwave_formula_against_the_reanalysis(new_york, tmp_path):
    """Long-wave from the data dictionary's formula and cloud from the sun, against that of the reanalysis.

    Published tests of such formulas give yearly biases of up to 10 W/m2 and hourly deviations of 20 to 40
    W/m2 (common knowledge, no source at hand), so 15 and 40 W/m2 are asked for.
    """
    from hygro.climate.record import Record
    from hygro.climate.sky import cloud_from_sun, dew_point
    from hygro.physics.surfaces import sky_radiation

    end = new_york["time"].to_numpy().astype("datetime64[s]")
    values = {"solar_global": new_york["solar_global"].to_numpy()}
    begin = end - np.timedelta64(3600, "s")
    record = Record(tmp_path, begin, np.arange(len(end)), values, 40.7128, -74.0060, 10.0, 0.0)
    celsius = new_york["air_temperature"].to_numpy()
    point = dew_point(celsius, new_york["relative_humidity"].to_numpy())
    ours = sky_radiation(celsius + 273.15, point + 273.15, cloud_from_sun(record))
    difference = ours - new_york["longwave_sky"].to_numpy()
    assert abs(difference.mean()) < 15.0
    assert np.sqrt((difference**2).mean()) < 40.0


def test_greensboro_through_a_column_map(greensboro_csv):
    weather = load_weather(
        greensboro_csv, columns=GREENSBORO_COLUMNS, location=(36.1, -79.95, 273.0), utc_offset_hours=-5.0
    )
    figures = weather_statistics(weather)
    assert figures["mean_air_temperature_C"] == pytest.approx(14.4, abs=0.05)
    assert figures["mean_relative_humidity_percent"] == pytest.approx(70.0, abs=0.5)
    assert figures["mean_wind_speed_m_s"] == pytest.approx(3.05, abs=0.01)
    assert figures["rain_mm"] == pytest.approx(834.0, abs=0.5)
    assert figures["solar_global_kWh_m2"] == pytest.approx(1566.0, abs=0.5)
    assert weather.attrs["modelled"] == "longwave_sky"
    assert str(weather["time"].to_numpy()[0]).startswith("2001-01-01T06:00")  # 01:00 at UTC-5
