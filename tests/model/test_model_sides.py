"""Prescribed boundaries: constants, fixed surfaces, hourly files."""

from __future__ import annotations

import numpy as np
import pytest
from small_case import TEXT

from hygro.errors import CaseError, ClimateError
from hygro.model.build import build_wall
from hygro.model.series import read_series
from hygro.physics.moist_air import relative_humidity, saturation_pressure

FIXED = 'kind = "fixed"\ntemperature_C = 30\nrelative_humidity_percent = 95\n'
AIR = (
    'kind = "constant"\ntemperature_C = 0\nvapour_pressure_Pa = 500\nheat_coefficient_W_m2K = 25\n'
    "vapour_coefficient_kg_m2sPa = 1.8e-7\nrain_kg_m2s = 1e-5\n"
)
HOURS = "[run]\nhours = 48\n"


def only(case):
    (variant,) = case.variants()
    return build_wall(case, variant)


@pytest.fixture
def series(weather_folder):
    """Return a function that writes a boundary series beside the case."""

    def write(header: str, *rows: str, name: str = "side.csv") -> str:
        (weather_folder / name).write_text("\n".join((header, *rows)) + "\n")
        return f'kind = "series"\nfile = "{name}"\n'

    return write


def test_fixed_surface_and_constant_air_for_the_hours_of_the_run(prescribed):
    model = only(prescribed(FIXED, AIR, HOURS))
    assert model.external.kind == "fixed"
    assert model.external.temperature.tolist() == [303.15] * 48
    assert relative_humidity(model.external.suction, 303.15) == pytest.approx([0.95] * 48)
    assert model.internal.kind == "transfer"
    assert model.internal.vapour_pressure.tolist() == [500.0] * 48
    assert model.internal.rain.tolist() == [1e-5] * 48
    assert model.start == np.datetime64("2001-01-01T00")


def test_constants_without_hours_make_a_year_to_repeat(prescribed):
    assert len(only(prescribed(FIXED, AIR)).external.temperature) == 8760


def test_hourly_file_with_coefficients_from_the_case(prescribed, series):
    side = series(
        "hour_ending_utc,temperature_C,relative_humidity_percent,rain_kg_m2s",
        "2020-03-01T01:00Z,5,80,0",
        "2020-03-01T02:00Z,6,90,1e-4",
    )
    coefficients = "heat_coefficient_W_m2K = 20\nvapour_coefficient_kg_m2sPa = 1e-7\n"
    model = only(prescribed(side + coefficients, FIXED, "[run]\nhours = 2\n"))
    assert model.external.temperature.tolist() == [278.15, 279.15]
    assert model.external.vapour_pressure == pytest.approx(
        [0.8 * saturation_pressure(278.15), 0.9 * saturation_pressure(279.15)]
    )
    assert model.external.heat_coefficient.tolist() == [20.0, 20.0]
    assert model.external.rain.tolist() == [0.0, 1e-4]
    assert len(model.internal.temperature) == 2
    assert model.start == np.datetime64("2020-03-01T00")


def test_fixed_surface_from_a_file(prescribed, series):
    series("temperature_C,relative_humidity_percent", "10,50", "11,60")
    model = only(prescribed('kind = "fixed"\nfile = "side.csv"\n', FIXED, "[run]\nhours = 2\n"))
    assert relative_humidity(model.external.suction, model.external.temperature) == pytest.approx([0.5, 0.6])


def test_logged_room_beside_recorded_weather(read_in_weather, series):
    rows = [f"{20 + (hour >= 4380)},50" for hour in range(8760)]
    side = series("temperature_C,relative_humidity_percent", *rows)
    text = TEXT.replace(
        '[room]\nclimate = "EN 15026 normal"\n',
        f"[internal]\n{side}heat_coefficient_W_m2K = 7.7\nvapour_coefficient_kg_m2sPa = 2.5e-8\n",
    )
    case = read_in_weather(text)
    model = build_wall(case, case.variants()[0])
    changes = np.flatnonzero(np.diff(model.internal.temperature))
    assert model.internal.temperature[0] == pytest.approx(294.15)  # October is in the second half of the year
    assert len(changes) == 2


@pytest.mark.parametrize(
    ("header", "rows", "words"),
    [
        (
            "temperatur_C,vapour_pressure_Pa",
            ["5,800"],
            "unknown column 'temperatur_C'.*did you mean 'temperature_C'",
        ),
        (
            "temperature_C,vapour_pressure_Pa",
            ["5,800", "6,"],
            ":3: column 'vapour_pressure_Pa' has no value",
        ),
        (
            "temperature_C,vapour_pressure_Pa",
            ["5,warm"],
            ":2: column 'vapour_pressure_Pa' holds no number",
        ),
        (
            "hour_ending_utc,temperature_C,vapour_pressure_Pa",
            ["2020-01-01T01:00Z,5,800", "2020-01-01T03:00Z,5,800"],
            ":3: the hours of a boundary series do not follow one another",
        ),
        ("temperature_C,vapour_pressure_Pa", ["5,800"], "the boundary has no heat coefficient"),
        ("vapour_pressure_Pa", ["800"], "the boundary has no temperature"),
    ],
)
def test_files_that_cannot_be_used(prescribed, series, header, rows, words):
    case = prescribed(series(header, *rows), FIXED, "[run]\nhours = 1\n")
    with pytest.raises(ClimateError, match=words):
        only(case)


def test_a_value_given_twice(prescribed, series):
    side = series("temperature_C,vapour_pressure_Pa,heat_coefficient_W_m2K", "5,800,20")
    case = prescribed(side + "heat_coefficient_W_m2K = 20\n", FIXED, "[run]\nhours = 1\n")
    with pytest.raises(ClimateError, match="heat coefficient is given both in the file and in the case file"):
        only(case)


def test_a_run_longer_than_its_series(prescribed, series):
    side = series(
        "temperature_C,vapour_pressure_Pa,heat_coefficient_W_m2K,vapour_coefficient_kg_m2sPa", "5,800,20,1e-7"
    )
    with pytest.raises(CaseError, match=r"the run is longer than \[external\] of 1 h, found 2"):
        only(prescribed(side, FIXED, "[run]\nhours = 2\n"))
    with pytest.raises(CaseError, match=r"\[external\] cannot be repeated year by year, found '1 h'"):
        only(prescribed(side, FIXED, "[run]\nyears = 2\n"))


def test_series_of_two_lengths(prescribed, series):
    columns = "temperature_C,vapour_pressure_Pa,heat_coefficient_W_m2K,vapour_coefficient_kg_m2sPa"
    one = series(columns, "5,800,20,1e-7")
    two = series(columns, "5,800,20,1e-7", "5,800,20,1e-7", name="other.csv")
    with pytest.raises(CaseError, match=r"differ in length, found '\[external\] 1 h, \[internal\] 2 h'"):
        only(prescribed(one, two, "[run]\nhours = 1\n"))


def test_series_read_alone(weather_folder, series):
    series("temperature_C,air_temperature_C,vapour_coefficient_kg_m2sPa", "5,4,1e-7")
    values = read_series(weather_folder / "side.csv")
    assert values.start is None
    assert {name: array.tolist() for name, array in values.values.items()} == {
        "temperature": [278.15],
        "air_temperature": [277.15],
        "vapour_coefficient": [1e-7],
    }
