"""Boundaries made from numbers and arrays."""

from __future__ import annotations

import numpy as np
import pytest

from hygro.errors import ClimateError
from hygro.model.boundary import constant_boundary, fixed_boundary, series_boundary
from hygro.physics.moist_air import relative_humidity, saturation_pressure

AIR = {"temperature": 293.15, "heat_coefficient": 8.0, "vapour_coefficient": 2.5e-8}


def test_constant_air_is_the_same_in_every_hour():
    boundary = constant_boundary(hours=5, relative_humidity=0.5, **AIR)
    assert boundary.kind == "transfer"
    assert boundary.temperature.tolist() == [293.15] * 5
    assert boundary.air_temperature.tolist() == [293.15] * 5
    assert boundary.vapour_pressure == pytest.approx([0.5 * saturation_pressure(293.15)] * 5)
    assert boundary.rain.tolist() == [0.0] * 5
    assert {array.shape for array in vars(boundary).values() if isinstance(array, np.ndarray)} == {(5,)}


def test_series_and_single_numbers_go_together():
    boundary = series_boundary(
        temperature=[290.0, 300.0],
        air_temperature=[280.0, 285.0],
        vapour_pressure=1000.0,
        heat_coefficient=[10.0, 20.0],
        vapour_coefficient=1e-7,
        rain=[0.0, 1e-4],
    )
    assert boundary.temperature.tolist() == [290.0, 300.0]
    assert boundary.air_temperature.tolist() == [280.0, 285.0]
    assert boundary.vapour_pressure.tolist() == [1000.0, 1000.0]
    assert boundary.rain.tolist() == [0.0, 1e-4]


def test_humidity_of_a_series_is_that_of_the_air_not_of_the_equivalent_temperature():
    boundary = series_boundary(
        temperature=[310.0],
        air_temperature=[280.0],
        relative_humidity=0.8,
        heat_coefficient=20.0,
        vapour_coefficient=1e-7,
    )
    assert boundary.vapour_pressure[0] == pytest.approx(0.8 * saturation_pressure(280.0))


def test_arrays_are_copies():
    given = np.array([290.0, 291.0])
    boundary = series_boundary(
        temperature=given, vapour_pressure=900.0, heat_coefficient=8.0, vapour_coefficient=1e-8
    )
    given[0] = 0.0
    assert boundary.temperature[0] == 290.0


def test_fixed_surface_holds_suction_and_the_vapour_pressure_above_it():
    boundary = fixed_boundary(temperature=303.15, relative_humidity=0.95, hours=3)
    assert boundary.kind == "fixed"
    assert relative_humidity(boundary.suction, boundary.temperature) == pytest.approx([0.95] * 3)
    assert boundary.vapour_pressure == pytest.approx([0.95 * saturation_pressure(303.15)] * 3)


def test_fixed_surface_by_suction():
    boundary = fixed_boundary(temperature=[293.15, 294.0], suction=[1e6, 0.0])
    assert boundary.suction.tolist() == [1e6, 1.0]  # 1 Pa stands for free saturation


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (
            {"temperature": 20.0},
            r"temperature of a boundary is impossible, found 20\.0, expected 200 to 400 K",
        ),
        ({"relative_humidity": 50.0}, "relative humidity .* expected .* 1, not %"),
        ({"relative_humidity": 0.0}, "relative humidity of a boundary is impossible"),
        ({"heat_coefficient": 0.0}, "heat coefficient of a boundary is impossible"),
        ({"vapour_coefficient": -1e-9}, "vapour coefficient of a boundary is impossible"),
        ({"rain": 2.0}, "rain of a boundary is impossible"),
        ({"temperature": float("nan")}, "temperature of a boundary is impossible"),
        ({"hours": 0}, "has no hours"),
        ({"vapour_pressure": 900.0}, "either a vapour pressure or a relative humidity"),
        ({"relative_humidity": None}, "either a vapour pressure or a relative humidity"),
    ],
)
def test_what_cannot_be_is_refused(change, words):
    with pytest.raises(ClimateError, match=words):
        constant_boundary(**({"hours": 2, "relative_humidity": 0.5} | AIR | change))


def test_the_hour_that_is_wrong_is_named():
    with pytest.raises(ClimateError, match="hour 3: vapour pressure"):
        series_boundary(vapour_pressure=[900.0, 900.0, -1.0], **AIR)


def test_lengths_must_agree():
    with pytest.raises(ClimateError, match="no common length"):
        series_boundary(**AIR | {"temperature": [290.0, 291.0]}, vapour_pressure=[900.0] * 3)
    with pytest.raises(ClimateError, match="no common length"):
        series_boundary(**AIR, vapour_pressure=900.0)
    with pytest.raises(ClimateError, match="either a relative humidity or a suction"):
        fixed_boundary(temperature=290.0, hours=2)
