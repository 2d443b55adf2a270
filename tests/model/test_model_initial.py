"""Initial suction from humidity and from water content."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_case import simple_material

from hygro.errors import MaterialError
from hygro.materials.tables import LOG_SUCTION
from hygro.model.initial import suction_from_humidity, suction_from_water_content
from hygro.physics import moist_air

TABLE = simple_material("brick").table()


def test_kelvin_relation_at_20_degrees_and_half_humidity():
    """1000 kg/m3 x 461.5 J/(kg K) x 293.15 K x ln 2."""
    assert suction_from_humidity(0.5, 293.15) == pytest.approx(
        1000.0 * 461.5 * 293.15 * np.log(2.0), rel=1e-12
    )


@given(st.floats(1e-6, 0.9999), st.floats(250.0, 320.0))
def test_humidity_comes_back(humidity, temperature):
    suction = suction_from_humidity(humidity, temperature)
    assert moist_air.relative_humidity(suction, temperature) == pytest.approx(humidity, rel=1e-9)


def test_full_humidity_is_free_saturation_and_no_more():
    suction = suction_from_humidity(1.0, 293.15)
    water = np.interp(np.log10(suction), LOG_SUCTION, TABLE.water_content)
    assert water == pytest.approx(200.0, rel=1e-3)


@given(st.floats(0.5, 299.0))
def test_water_content_comes_back(water):
    """Linear in log suction between nodes, as the solver reads the table."""
    suction = suction_from_water_content(TABLE, water)
    assert np.interp(np.log10(suction), LOG_SUCTION, TABLE.water_content) == pytest.approx(water, rel=1e-9)


def test_more_water_is_less_suction():
    suctions = [suction_from_water_content(TABLE, water) for water in (1.0, 20.0, 100.0, 190.0, 250.0)]
    assert np.all(np.diff(suctions) < 0.0)
    assert suctions[-1] < 1.0 < suctions[-2]


@pytest.mark.parametrize("water", [-1.0, 301.0, float("nan")])
def test_water_that_the_pores_cannot_hold(water):
    with pytest.raises(MaterialError, match="cannot start with this water content"):
        suction_from_water_content(TABLE, water)
