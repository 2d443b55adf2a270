"""The measured year that ships: made again from the file that pvlib brings, and held against its figures."""

import hashlib
import tomllib

import numpy as np
import pytest
from climate_years import GREENSBORO_COLUMNS, ROOT
from greensboro_year import PLACE, UTC_OFFSET, canonical_text

from hygro.climate import load_weather, weather_statistics

SHIPPED = ROOT / "climate" / "greensboro-typical.csv"


@pytest.fixture(scope="module")
def shipped():
    return load_weather(SHIPPED)


@pytest.fixture(scope="module")
def entry():
    return tomllib.loads((ROOT / "climate" / "catalogue.toml").read_text())["greensboro-typical"]


def test_the_file_is_the_one_that_pvlib_brings(greensboro_csv):
    assert SHIPPED.read_text(encoding="utf-8") == canonical_text(greensboro_csv)


def test_it_reads_like_the_file_that_pvlib_brings(shipped, greensboro_csv):
    """Through the column map, which knows nothing of how the shipped file was written."""
    original = load_weather(
        greensboro_csv, columns=GREENSBORO_COLUMNS, location=PLACE, utc_offset_hours=UTC_OFFSET
    )
    assert (shipped["time"].to_numpy() == original["time"].to_numpy()).all()
    for name in original.data_vars:
        # both hold the same decimals; 1e-9 leaves room for 0.1 * 3 against 0.3
        np.testing.assert_allclose(shipped[name], original[name], rtol=1e-9, atol=1e-9, err_msg=name)
    for key in ("latitude", "longitude", "altitude", "modelled", "rain", "hours_without_direction"):
        assert shipped.attrs[key] == original.attrs[key]


def test_figures(shipped):
    """Worked out from pvlib's file with other means; half the last digit that was noted."""
    figures = weather_statistics(shipped)
    assert figures["mean_air_temperature_C"] == pytest.approx(14.4, abs=0.05)
    assert figures["mean_relative_humidity_percent"] == pytest.approx(70.0, abs=0.5)
    assert figures["mean_wind_speed_m_s"] == pytest.approx(3.05, abs=0.005)
    assert figures["rain_mm"] == pytest.approx(834.0, abs=0.5)
    assert figures["solar_global_kWh_m2"] == pytest.approx(1566.0, abs=0.5)


def test_the_catalogue_describes_it(shipped, entry):
    assert hashlib.sha256(SHIPPED.read_bytes()).hexdigest() == entry["sha256"]
    assert entry["origin"].startswith("measured")
    place = (entry["latitude"], entry["longitude"], entry["altitude_m"])
    assert place == PLACE == tuple(shipped.attrs[key] for key in ("latitude", "longitude", "altitude"))
    figures = weather_statistics(shipped)
    assert set(figures) == set(entry["statistics"])
    for name, value in entry["statistics"].items():
        assert figures[name] == pytest.approx(value, abs=0.051), name  # one decimal is kept


def test_the_file_says_where_it_comes_from(shipped):
    assert shipped.attrs["source"].startswith("measured")
    assert "723170" in shipped.attrs["source"]
    assert shipped.attrs["rain"] == "measured"
    assert shipped.attrs["modelled"] == "longwave_sky"
