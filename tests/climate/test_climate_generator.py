"""The invented years: made again, held against the files that ship and what such climates are like."""

import hashlib
import tomllib

import numpy as np
import pytest
from climate_years import ROOT

from hygro.climate import load_weather, weather_statistics
from hygro.climate.generator import HEADER, PLACES, invented_year, write_invented_year
from hygro.climate.table import read_table

NAMES = [place.name for place in PLACES]
STEPS = {"air_pressure_Pa": 10.0, "air_temperature_C": 0.1, "wind_speed_m_s": 0.1, "rain_mm": 0.1}


@pytest.fixture(scope="module")
def catalogue():
    return tomllib.loads((ROOT / "climate" / "catalogue.toml").read_text())


@pytest.fixture(scope="module", params=PLACES, ids=NAMES)
def place(request):
    return request.param


def test_shipped_file_is_what_the_generator_makes(place):
    """Within one step of rounding and nearly always the same: processors may differ in a last digit."""
    table = read_table(ROOT / "climate" / f"{place.name}.csv")
    made = invented_year(place)
    assert tuple(table.columns) == HEADER
    for name in HEADER[1:]:
        shipped = table.numbers(name)
        if name == "wind_direction_deg":
            turn = np.abs(np.mod(made[name] - shipped + 180.0, 360.0) - 180.0)
            difference = np.nan_to_num(turn)
            step = 10.0
        else:
            difference = np.abs(made[name] - shipped)
            step = STEPS.get(name, 1.0)
        assert difference.max() <= step * 1.001, name
        assert (difference > 1e-9).mean() < 1e-3, name


def test_catalogue_describes_the_file(place, catalogue):
    entry = catalogue[place.name]
    path = ROOT / "climate" / entry["file"]
    assert hashlib.sha256(path.read_bytes()).hexdigest() == entry["sha256"]
    assert entry["origin"].startswith("invented")
    assert entry["licence"] == "CC0-1.0"
    figures = weather_statistics(load_weather(path))
    assert set(figures) == set(entry["statistics"])
    for name, value in entry["statistics"].items():
        assert figures[name] == pytest.approx(value, abs=0.051), name  # one decimal is kept


def test_every_file_is_in_the_catalogue(catalogue):
    files = {path.name for path in (ROOT / "climate").glob("*.csv")}
    assert files == {entry["file"] for entry in catalogue.values()}


def test_the_file_says_that_it_is_invented(place):
    weather = load_weather(ROOT / "climate" / f"{place.name}.csv")
    assert "INVENTED" in weather.attrs["source"]
    assert f"seed {place.seed}" in weather.attrs["source"]
    assert weather.attrs["modelled"] == "solar_direct_normal, solar_diffuse, longwave_sky"


def test_writing_is_repeatable(place, tmp_path):
    first = write_invented_year(place, tmp_path).read_bytes()
    assert write_invented_year(place, tmp_path).read_bytes() == first
    assert [path.name for path in tmp_path.iterdir()] == [f"{place.name}.csv"]


def test_another_seed_is_another_year_of_the_same_climate(place):
    from dataclasses import replace

    one, other = invented_year(place), invented_year(replace(place, seed=1))
    assert np.abs(one["air_temperature_C"] - other["air_temperature_C"]).mean() > 1.0
    assert one["air_temperature_C"].mean() == pytest.approx(other["air_temperature_C"].mean(), abs=0.5)
    assert one["rain_mm"].sum() == pytest.approx(other["rain_mm"].sum(), rel=0.25)


# what such places are like, in round numbers; common knowledge of maritime climates, no published source
CLIMATE = {
    "sheltered-inland": {
        "mean_air_temperature_C": (9.5, 11.5),
        "mean_relative_humidity_percent": (77, 85),
        "mean_wind_speed_m_s": (2.0, 3.0),
        "rain_mm": (600, 800),
        "wet_hours": (800, 1300),
        "solar_global_kWh_m2": (900, 1150),
        "airfield_index_SW_l_m2": (200, 500),
    },
    "exposed-coast": {
        "mean_air_temperature_C": (10.0, 12.0),
        "mean_relative_humidity_percent": (79, 88),
        "mean_wind_speed_m_s": (6.0, 7.0),
        "rain_mm": (1000, 1200),
        "wet_hours": (1000, 1600),
        "solar_global_kWh_m2": (900, 1150),
        "airfield_index_SW_l_m2": (900, 1800),
    },
}


def test_figures_are_plausible(place, inland, coast):
    figures = weather_statistics({"sheltered-inland": inland, "exposed-coast": coast}[place.name])
    for name, (low, high) in CLIMATE[place.name].items():
        assert low < figures[name] < high, name


def test_wet_weather_is_windy_cloudy_damp_and_from_the_south_west(coast):
    wet = coast["rain"].to_numpy() > 0.0
    assert coast["wind_speed"].to_numpy()[wet].mean() > 1.2 * coast["wind_speed"].to_numpy()[~wet].mean()
    assert coast["relative_humidity"].to_numpy()[wet].mean() > 0.9
    direction = np.radians(coast["wind_direction"].to_numpy()[wet])
    mean = np.degrees(np.arctan2(np.nanmean(np.sin(direction)), np.nanmean(np.cos(direction)))) % 360.0
    assert 200.0 < mean < 260.0
    figures = weather_statistics(coast)
    assert figures["airfield_index_SW_l_m2"] > 5.0 * figures["airfield_index_NE_l_m2"]


def test_rain_comes_in_spells(inland):
    """If hours were wet by chance, a spell would last 1.13 hours on average; fronts last some hours."""
    wet = inland["rain"].to_numpy() > 0.0
    spells = (wet[1:] & ~wet[:-1]).sum()
    assert 2.0 < wet.sum() / spells < 6.0


def test_seasons_and_days(inland):
    time = inland["time"].to_numpy()
    month = time.astype("datetime64[M]").astype(int) % 12
    celsius = inland["air_temperature"].to_numpy()
    monthly = np.array([celsius[month == m].mean() for m in range(12)])
    assert np.ptp(monthly) > 9.0
    assert np.argmax(monthly) + 1 in (6, 7, 8)
    assert np.argmax(celsius.reshape(-1, 24).mean(axis=0)) + 1 in (14, 15, 16)
    sun = inland["solar_global"].to_numpy().reshape(-1, 24).mean(axis=0)
    assert sun[0] == 0.0
    assert np.argmax(sun) + 1 in (12, 13)
