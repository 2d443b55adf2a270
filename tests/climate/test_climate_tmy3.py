"""TMY3 files that pvlib brings: one revised, one not."""

import json

import numpy as np
import pytest
from climate_years import GREENSBORO

from hygro.climate import load_weather
from hygro.climate.options import ReadOptions
from hygro.climate.weather import inspect_weather
from hygro.errors import ClimateError

SAND_POINT = GREENSBORO.parent / "703165TY.csv"


def test_same_as_the_year_that_ships(invented):
    weather, shipped = load_weather(GREENSBORO), load_weather(invented("greensboro-typical"))
    np.testing.assert_array_equal(weather["time"], shipped["time"])
    for name in shipped.data_vars:
        if name != "longwave_sky":  # from the file's dew point, rounded to 0.1 K, here
            np.testing.assert_allclose(weather[name], shipped[name], atol=1e-9, err_msg=name)
    assert float(weather["rain"].sum()) == pytest.approx(834.5, abs=0.05)


def test_tenths_of_a_millimetre_are_said():
    found = json.loads(load_weather(GREENSBORO).attrs["findings"])
    assert any("read as tenths of a millimetre" in entry["text"] for entry in found)
    assert any(entry["kind"] == "month without rain" and entry["times"] == ["2001-02"] for entry in found)


def test_unrevised_rain_is_no_rain_of_the_hour():
    found = inspect_weather(SAND_POINT, ReadOptions())
    assert found.weather is None
    assert any("only 268 of 8760 hours state the rain of that hour" in entry.text for entry in found.findings)
    with pytest.raises(ClimateError, match="the record holds no rain"):
        load_weather(SAND_POINT)


def test_unrevised_year_without_rain():
    weather = load_weather(SAND_POINT, rain="none")
    # mean of the file's own dry-bulb column, by awk
    assert float(weather["air_temperature"].mean()) == pytest.approx(4.42, abs=0.01)
    stuck = [e for e in json.loads(weather.attrs["findings"]) if e["kind"] == "stuck sensor"]
    assert any(entry["quantity"] == "air_pressure" and entry["count"] == 8760 for entry in stuck)


@pytest.fixture
def greensboro_lines():
    return GREENSBORO.read_text().splitlines()


def with_rain(lines, scale):
    column = lines[1].split(",").index("Lprecip depth (mm)")
    changed = []
    for line in lines[2:]:
        cells = line.split(",")
        cells[column] = f"{float(cells[column]) * scale:.0f}"
        changed.append(",".join(cells))
    return lines[:2] + changed


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (
            lambda lines: [*lines[:99], lines[99][:40], *lines[100:]],
            r"GREEN.csv:100: the row is cut off or has",
        ),
        (lambda lines: lines[:5000], r"GREEN.csv:5000: the record is not a whole number of years"),
        (
            lambda lines: with_rain(lines, 0.1),
            "not clear whether rain stands in millimetres or tenths of them",
        ),
        (
            lambda lines: [lines[0], lines[1].replace("Wspd (m/s)", "Wind"), *lines[2:]],
            "the file can't be read as TMY3",
        ),
    ],
)
def test_refusals(greensboro_lines, tmp_path, change, sentence):
    path = tmp_path / "GREEN.csv"
    path.write_text("\n".join(change(greensboro_lines)) + "\n")
    with pytest.raises(ClimateError, match=sentence):
        load_weather(path)


def test_a_column_map_settles_the_unit_of_the_rain(greensboro_lines, tmp_path):
    path = tmp_path / "GREEN.csv"
    path.write_text("\n".join(with_rain(greensboro_lines, 0.1)) + "\n")
    total = {
        known: float(load_weather(path, columns={known: "Lprecip depth (mm)"})["rain"].sum())
        for known in ("rain_mm", "rain_tenths_mm")
    }
    assert total["rain_mm"] == pytest.approx(834.5, abs=179.0)  # 358 hours, each rounded by up to 0.5 mm
    assert total["rain_tenths_mm"] == pytest.approx(total["rain_mm"] / 10.0)


def test_place_is_fixed():
    with pytest.raises(ClimateError, match="the place is fixed in TMY3"):
        load_weather(GREENSBORO, location=(36.1, -79.95, 273.0))
