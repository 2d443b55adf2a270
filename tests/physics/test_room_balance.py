"""Moisture balance of a room against what can be worked out by hand, and against a fine march of the same."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from hygro.climate.room import EXCESS_COLD
from hygro.constants import GAS_CONSTANT_VAPOUR
from hygro.errors import ClimateError
from hygro.physics.moist_air import saturation_pressure
from hygro.physics.room_balance import (
    BUFFER_CONDUCTANCE,
    TEST_TEMPERATURE,
    Buffer,
    buffer_capacity,
    buffer_value,
    room_air,
    steady_excess,
)
from hygro.physics.room_leakage import LEAKAGE_PRESSURE, combined_flow, leakage_area, leakage_flow
from hygro.physics.surfaces import AIR_DENSITY

VOLUME, T_20 = 200.0, 293.15
BUFFERS = (Buffer(4e-6, 3.0), Buffer(2e-7, 20.0))


def steady(hours, **changed):
    """Return an even forcing: 0.5 air changes, 20 degC, 800 Pa outdoors, 10 kg a day."""
    values = {"exchange": 0.5 * VOLUME / 3600.0, "temperature": T_20, "outdoor_pressure": 800.0}
    values |= {"source": 10.0 / 86400.0} | changed
    return {"volume": VOLUME} | {name: np.broadcast_to(value, hours) for name, value in values.items()}


def uneven(hours, seed=1):
    """Return a forcing that jumps from hour to hour and from day to day, and never saturates."""
    random = np.random.default_rng(seed)
    hour = np.arange(hours)
    return {
        "volume": VOLUME,
        "exchange": random.uniform(0.2, 2.0, hours) * VOLUME / 3600.0,
        "temperature": T_20 + 2.0 * np.sin(2 * np.pi * hour / 24.0),
        "outdoor_pressure": random.uniform(500.0, 900.0, hours),
        "source": random.uniform(0.0, 1.5e-4, hours),
    }


# Table of a building-physics lecture (ch. 17, read second-hand): room 20 degC, outdoors -5 degC and 80 %;
# source [kg/(m3 h)], relative humidity [%] at 0.4, 0.6, 1.0, 2.0 and 4.0 air changes.
TABLE = {
    0.001: (28.2, 23.4, 19.5, 16.6, 15.2),
    0.002: (42.7, 33.1, 25.3, 19.5, 16.6),
    0.004: (71.7, 52.4, 36.9, 25.3, 19.5),
    0.006: (100.7, 71.7, 48.5, 31.1, 22.4),
}


@pytest.mark.parametrize("source", TABLE)
def test_steady_humidity_of_the_lecture_table(source):
    """With the saturation pressures of the table, 401 and 2335.3 Pa; it is rounded to 0.1."""
    changes = np.array([0.4, 0.6, 1.0, 2.0, 4.0])
    excess = steady_excess(source * VOLUME / 3600.0, changes * VOLUME / 3600.0, T_20)
    humidity = 100.0 * (0.8 * 401.0 + excess) / 2335.3
    np.testing.assert_allclose(humidity, TABLE[source], atol=0.1)


@pytest.mark.parametrize(("number", "limit"), EXCESS_COLD.items())
def test_room_at_the_limit_of_a_class_of_iso_13788(number, limit):
    """G = limit n V holds a room at the limit of its class: 2, 4, 6, 8 g/m3 in winter."""
    forcing = steady(48, source=limit * 0.5 * VOLUME / 3600.0)
    air = room_air(**forcing)
    excess = (air.vapour_pressure - 800.0) / (GAS_CONSTANT_VAPOUR * T_20)
    np.testing.assert_allclose(excess, 2e-3 * number, rtol=1e-9)


def test_buffers_do_not_change_the_steady_state():
    bare, buffered = room_air(**steady(48)), room_air(**steady(48), buffers=BUFFERS)
    np.testing.assert_allclose(buffered.vapour_pressure, bare.vapour_pressure, rtol=1e-8)
    expected = 800.0 + steady_excess(10.0 / 86400.0, 0.5 * VOLUME / 3600.0, T_20)
    np.testing.assert_allclose(bare.pressure_at_end, expected, rtol=1e-9)  # how far a record settles


def test_excess_decays_with_the_air_changes():
    """p - p_e falls as exp(-n t); the mean of an hour is (1 - exp(-n))/n of its begin, from calculus."""
    air = room_air(**steady(12, source=0.0), start=(1800.0, 0.5))
    hour = np.arange(12)
    np.testing.assert_allclose(air.pressure_at_end - 800.0, 1000.0 * np.exp(-0.5 * (hour + 1)), rtol=1e-10)
    mean = 1000.0 * np.exp(-0.5 * hour) * (1.0 - np.exp(-0.5)) / 0.5
    np.testing.assert_allclose(air.vapour_pressure - 800.0, mean, rtol=1e-10)


def test_closed_room_rises_in_a_straight_line():
    air = room_air(**steady(3, exchange=0.0, source=1e-5), start=(800.0, 0.4))
    slope = 3600.0 * 1e-5 / (VOLUME / (GAS_CONSTANT_VAPOUR * T_20))
    np.testing.assert_allclose(air.pressure_at_end, 800.0 + slope * np.arange(1, 4), rtol=1e-9)
    np.testing.assert_allclose(air.vapour_pressure, 800.0 + slope * (np.arange(3) + 0.5), rtol=1e-9)


def test_each_hour_is_exact():
    """The same equations by a Runge-Kutta method with a tolerance of 1e-10, hour by hour."""
    forcing = uneven(30)
    air = room_air(**forcing, buffers=BUFFERS, start=(900.0, 0.45))
    state = np.array([900.0, 0.45, 0.45, 0.0])
    capacity = VOLUME / (GAS_CONSTANT_VAPOUR * T_20)
    for hour in range(30):
        exchange, kelvin, outdoor, source = (
            forcing[name][hour] for name in ("exchange", "temperature", "outdoor_pressure", "source")
        )

        def rate(_, y, exchange=exchange, kelvin=kelvin, outdoor=outdoor, source=source):
            into = [
                b.conductance * (y[0] - phi * saturation_pressure(kelvin))
                for b, phi in zip(BUFFERS, y[1:3], strict=True)
            ]
            gain = exchange / (GAS_CONSTANT_VAPOUR * kelvin) * (outdoor - y[0]) + source - sum(into)
            return [gain / capacity, *(i / b.capacity for i, b in zip(into, BUFFERS, strict=True)), y[0]]

        state[3] = 0.0
        state = solve_ivp(rate, (0.0, 3600.0), state, rtol=1e-10, atol=1e-12, method="LSODA").y[:, -1]
        assert air.pressure_at_end[hour] == pytest.approx(state[0], rel=1e-7)
        assert air.vapour_pressure[hour] == pytest.approx(state[3] / 3600.0, rel=1e-7)


def stored(air):
    pressure = np.concatenate([air.pressure_at_end[-1:], air.pressure_at_end])
    return np.diff(pressure) / 3600.0 * VOLUME / (GAS_CONSTANT_VAPOUR * T_20)


def test_water_is_neither_made_nor_lost():
    """Flows come from means and states apart: only rounding may lie between (1e-4 kg/s are made)."""
    forcing = uneven(24 * 20)
    air = room_air(**forcing, buffers=BUFFERS)
    rest = forcing["source"] - air.carried_out - air.buffered.sum(axis=1) - air.condensed - stored(air)
    assert np.abs(rest).max() < 1e-15
    assert (air.condensed == 0.0).all()


def test_record_starts_as_it_ends():
    forcing = uneven(24 * 20)
    once = room_air(**forcing, buffers=BUFFERS)
    twice = room_air(
        **{key: np.tile(value, 2) if np.ndim(value) else value for key, value in forcing.items()},
        buffers=BUFFERS,
    )
    np.testing.assert_allclose(twice.vapour_pressure, np.tile(once.vapour_pressure, 2), rtol=1e-6)
    assert np.abs(once.buffered.sum(axis=0)).max() < 1e-9


def test_air_holds_no_more_than_saturation_and_the_rest_is_counted():
    forcing = steady(48, source=100.0 / 86400.0)
    air = room_air(**forcing)
    limit = saturation_pressure(T_20)
    np.testing.assert_allclose(air.vapour_pressure, limit)
    # made, less what the air can carry at saturation
    expected = 100.0 / 86400.0 - 0.5 * VOLUME / 3600.0 * (limit - 800.0) / (GAS_CONSTANT_VAPOUR * T_20)
    np.testing.assert_allclose(air.condensed, expected, rtol=1e-9)


def test_a_room_without_any_exchange_never_settles():
    forcing = steady(48, exchange=1e-12, source=np.zeros(48))
    forcing["outdoor_pressure"] = 800.0 + np.arange(48.0)
    with pytest.raises(ClimateError, match="does not come to repeat itself"):
        room_air(**forcing | {"source": np.full(48, 1e-9)}, buffers=[Buffer(1e-9, 1e6)])


@pytest.mark.parametrize("value", [0.2, 0.5, 1.0, 2.0])
def test_a_store_shows_its_moisture_buffer_value(value):
    """Class limits of Rode et al. 2005 in g/(m2 %): 8 h at 75 %, 16 h at 33 %, 23 degC, until days repeat.

    The air changes so often that it is as outdoors, which leaves 1e-4 of the step.
    """
    capacity = buffer_capacity(0.1 * value)
    hours = 24
    saturation = saturation_pressure(TEST_TEMPERATURE)
    humid = np.where(np.arange(hours) < 8, 0.75, 0.33)
    air = room_air(
        volume=1.0,
        exchange=np.full(hours, 1e3),
        temperature=np.full(hours, TEST_TEMPERATURE),
        outdoor_pressure=humid * saturation,
        source=np.zeros(hours),
        buffers=[Buffer(BUFFER_CONDUCTANCE, capacity)],
    )
    taken = air.buffered[:8, 0].sum() * 3600.0
    assert 1000.0 * taken / 42.0 == pytest.approx(value, rel=1e-3)
    assert buffer_value(capacity) == pytest.approx(0.1 * value, rel=1e-9)


@pytest.mark.parametrize("value", [0.0, -1.0, 1.1])
def test_no_surface_takes_up_more_than_its_boundary_layer_lets_pass(value):
    with pytest.raises(ClimateError, match="no surface has such a moisture buffer value"):
        buffer_capacity(value)


def test_a_store_damps_the_swing_of_the_day():
    source = np.where(np.arange(24) < 8, 3.0, 0.5) * 1e-4
    swings = [
        np.ptp(room_air(**steady(24, source=source), buffers=buffers).vapour_pressure)
        for buffers in ((), (Buffer(4e-6, 3.0),), (Buffer(4e-6, 30.0),))
    ]
    assert swings[0] > swings[1] > 2.0 * swings[2]


def test_leakage_area_is_a_hole_that_leaks_as_much_at_4_pascal():
    area = leakage_area(10.0, 250.0)
    through = area * np.sqrt(2.0 * LEAKAGE_PRESSURE / AIR_DENSITY)
    assert through == pytest.approx(2500.0 / 3600.0 * (4.0 / 50.0) ** 0.65, rel=1e-12)


def test_leakage_worked_by_hand():
    """500 cm2, 20 K, 4 m/s, two storeys, shelter class 3: 500 (2.9e-4 20 + 2.31e-4 16)^0.5 = 48.7 l/s."""
    flow = leakage_flow(0.05, 20.0, 4.0, storeys=2, shelter=3)
    assert flow == pytest.approx(0.0487, abs=5e-5)
    assert leakage_flow(0.05, -20.0, 4.0, storeys=2, shelter=3) == flow


def test_leakage_is_near_the_rule_of_thumb():
    """A twentieth of n50 in the mean (Sherman 1987, from memory); within a third of it at 12 K, 3 m/s."""
    area = leakage_area(10.0, 250.0)
    changes = leakage_flow(area, 12.0, 3.0, storeys=2, shelter=3) * 3600.0 / 250.0
    assert changes == pytest.approx(0.5, rel=1.0 / 3.0)


def test_more_shelter_less_leakage_more_storeys_more():
    flows = [leakage_flow(0.05, 10.0, 4.0, storeys=2, shelter=shelter) for shelter in range(1, 6)]
    assert flows == sorted(flows, reverse=True)
    flows = [leakage_flow(0.05, 10.0, 4.0, storeys=storeys, shelter=3) for storeys in (1, 2, 3)]
    assert flows == sorted(flows)


def test_fans_that_extract_add_to_leaks_in_quadrature():
    flow = combined_flow(np.array([1.0]), np.array([3.0]), np.array([4.0]))
    assert flow == pytest.approx([6.0])
