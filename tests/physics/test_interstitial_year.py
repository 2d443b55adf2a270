"""Twelve months of condensation: balances by hand, start, verdict, and many small steps against one."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hygro.physics.interstitial import VAPOUR_PERMEABILITY, Layers, plane_temperatures, vapour_line
from hygro.physics.interstitial_year import MONTH_SECONDS, MonthlyClimate, yearly_balance
from hygro.physics.moist_air import saturation_pressure

# Brick, insulation, plaster, from outside to inside: condensation on the cold side of the insulation.
WALL = Layers(np.array([0.3, 2.0, 0.02]), np.array([2.0, 0.3, 0.1]))


def climate(cold, *, external=(0.0, 20.0), internal=(1100.0, 1100.0), humidity=0.8):
    """Two kinds of month: temperatures outdoors and vapour pressures of the room, cold and warm."""
    cold = np.isin(np.arange(12), cold)
    outdoors = np.where(cold, *external) + 273.15
    return MonthlyClimate(
        external_temperature=outdoors,
        external_pressure=humidity * saturation_pressure(outdoors),
        internal_temperature=np.full(12, 293.15),
        internal_pressure=np.where(cold, *internal).astype(float),
    )


def rate_by_hand(layers, month, plane, conditions):
    """The difference of the two flows at a wet plane, straight from the formula."""
    temperatures = plane_temperatures(
        layers, conditions.external_temperature[month], conditions.internal_temperature[month]
    )
    saturation = saturation_pressure(temperatures[plane])
    inward = (conditions.internal_pressure[month] - saturation) / layers.s_d[plane:].sum()
    outward = (saturation - conditions.external_pressure[month]) / layers.s_d[:plane].sum()
    return 2e-10 * (inward - outward)


def test_one_plane_by_hand():
    conditions = climate([10, 11, 0, 1])
    found = yearly_balance(WALL, conditions)
    assert found.first == 10
    assert found.order == [10, 11, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9]
    winter = rate_by_hand(WALL, 0, 1, conditions)
    assert winter > 0.0
    assert found.rate[[10, 11, 0, 1], 1] == pytest.approx(winter)
    days = np.array([30, 61, 92, 120])
    assert found.amount[[10, 11, 0, 1], 1] == pytest.approx(winter * days * 86400)
    assert found.greatest[1] == pytest.approx(winter * 120 * 86400)
    # One warm month takes away more than gathered; its mean rate is what was there.
    assert -rate_by_hand(WALL, 2, 1, conditions) * 31 * 86400 > found.greatest[1]
    assert found.amount[2, 1] == 0.0
    assert found.rate[2, 1] * 31 * 86400 == pytest.approx(-found.greatest[1])
    assert not np.any(found.rate[3:10])
    assert found.verdict == "evaporates"
    assert not np.any(found.left)


def test_months_of_the_standard_year():
    assert MONTH_SECONDS.sum() == 365 * 86400
    assert MONTH_SECONDS[1] == 28 * 86400


def test_a_drier_room_keeps_the_wall_dry():
    found = yearly_balance(WALL, climate([0, 1], internal=(550.0, 1000.0)))
    assert found.verdict == "no condensation"
    assert found.first == 0
    assert not np.any(found.rate) and not np.any(found.amount)


def test_a_tight_skin_outside_accumulates():
    tight = Layers(WALL.resistance, np.array([500.0, 0.3, 0.1]))
    found = yearly_balance(tight, climate([11, 0, 1], external=(0.0, 5.0), internal=(1100.0, 1000.0)))
    assert found.verdict == "accumulates"
    assert found.left[1] > 0.0
    assert found.left[1] == found.amount[found.first - 1, 1]


def test_condensation_all_year_starts_in_january():
    found = yearly_balance(WALL, climate(range(12)))
    assert found.first == 0
    assert found.verdict == "accumulates"
    assert found.left[1] == pytest.approx(found.rate[0, 1] * 365 * 86400)


def test_the_start_follows_the_longest_dry_run():
    # Condensation in March alone and from October on: seven months without before October, two before March.
    assert yearly_balance(WALL, climate([2, 9, 10, 11])).first == 9
    # And the other way round.
    assert yearly_balance(WALL, climate([2, 3, 4, 8])).first == 2


def test_dew_on_the_internal_surface_is_told():
    found = yearly_balance(WALL, climate([0], external=(0.0, 5.0), internal=(2400.0, 1000.0)))
    assert found.surface_dew.tolist() == [True] + [False] * 11


def test_mirrored():
    there = climate([10, 11, 0, 1])
    back = MonthlyClimate(
        there.internal_temperature,
        there.internal_pressure,
        there.external_temperature,
        there.external_pressure,
    )
    mirrored = Layers(
        WALL.resistance[::-1], WALL.s_d[::-1], WALL.internal_resistance, WALL.external_resistance
    )
    found, expected = yearly_balance(mirrored, back), yearly_balance(WALL, there)
    np.testing.assert_allclose(found.amount[:, ::-1], expected.amount, rtol=1e-9, atol=1e-12)


# Two planes: a membrane-like skin outside, a retarding layer in the middle, and a wet room.
TWO = Layers(np.array([0.4, 0.8, 0.4]), np.array([4.0, 1.0, 0.2]))


def test_two_planes_gather_and_dry_in_their_own_time():
    found = yearly_balance(TWO, climate([11, 0, 1], external=(-10.0, 15.0), internal=(1900.0, 1100.0)))
    winter = found.amount[1]
    assert np.flatnonzero(winter).tolist() == [1, 2]
    assert np.all(found.amount >= 0.0)
    dry = [[found.amount[m, plane] == 0.0 for m in range(2, 11)].index(True) for plane in (1, 2)]
    assert dry[1] < dry[0]  # the warm one first
    assert found.verdict == "evaporates"


def test_what_a_plane_that_dries_up_no_longer_gives_its_neighbour():
    conditions = climate([11, 0, 1], external=(-10.0, 15.0), internal=(1900.0, 1100.0))
    found = yearly_balance(TWO, conditions)
    april, seconds = 3, 30 * 86400
    assert found.amount[april - 1, 2] > 0.0 and found.amount[april, 2] == 0.0
    temperatures = plane_temperatures(
        TWO, conditions.external_temperature[april], conditions.internal_temperature[april]
    )
    _, outer, inner, _ = saturation_pressure(temperatures)
    outdoors, room = conditions.external_pressure[april], conditions.internal_pressure[april]
    until_dry = found.amount[april - 1, 2] / 2e-10 / ((inner - room) / 0.2 + (inner - outer) / 1.0)
    assert until_dry < 0.3 * seconds
    fed = 2e-10 * ((inner - outer) / 1.0 - (outer - outdoors) / 4.0)
    alone = 2e-10 * ((room - outer) / 1.2 - (outer - outdoors) / 4.0)
    expected = found.amount[april - 1, 1] + fed * until_dry + alone * (seconds - until_dry)
    assert found.amount[april, 1] == pytest.approx(expected)


SITES = st.tuples(
    st.lists(st.floats(-10.0, 25.0), min_size=12, max_size=12),
    st.lists(st.floats(600.0, 2000.0), min_size=12, max_size=12),
    st.lists(st.floats(0.05, 1.0), min_size=4, max_size=4),
    st.lists(st.floats(0.1, 10.0), min_size=4, max_size=4),
)


def drawn(site):
    outdoors = np.array(site[0]) + 273.15
    layers = Layers(np.array(site[2]), np.array(site[3]))
    pressures = 0.85 * saturation_pressure(outdoors)
    return layers, MonthlyClimate(outdoors, pressures, np.full(12, 293.15), np.array(site[1]))


def many_steps(layers, saturation, external, internal, held, seconds, count):
    """The month in many equal steps: the plain way, which overshoots by a step where a plane dries up."""
    crossed = 0.0
    for _ in range(count):
        line = vapour_line(layers.s_d, saturation, external, internal, held > 0.0)
        crossed += np.diff(line.pressure)[-1] / layers.s_d[-1] - np.diff(line.pressure)[0] / layers.s_d[0]
        held = np.maximum(held + line.rate * seconds / count, 0.0)
    return held, VAPOUR_PERMEABILITY * crossed * seconds / count


@settings(max_examples=25, deadline=None)
@given(SITES)
def test_a_month_is_what_many_small_steps_make_of_it(site):
    layers, conditions = drawn(site)
    found = yearly_balance(layers, conditions)
    held, count = np.zeros(5), 400
    for month in found.order:
        external, internal = conditions.external_temperature[month], conditions.internal_temperature[month]
        saturation = saturation_pressure(plane_temperatures(layers, external, internal))
        pressures = conditions.external_pressure[month], conditions.internal_pressure[month]
        seconds = MONTH_SECONDS[month]
        stepped, crossed = many_steps(layers, saturation, *pressures, held, seconds, count)
        # Rates are below 2e-10 * 3000 Pa / 0.1 m a side; each of three planes may be off by one step of that,
        # and the others meanwhile by the same.
        step = 2 * 2e-10 * 3000 / 0.1 * seconds / count
        np.testing.assert_allclose(found.amount[month], stepped, atol=3 * step)
        # What crossed the two surfaces is what is there more.
        assert np.sum(found.amount[month] - held) == pytest.approx(crossed, abs=3 * step)
        assert np.all(found.amount[month] >= 0.0)
        np.testing.assert_allclose(found.rate[month] * seconds, found.amount[month] - held, atol=1e-15)
        held = found.amount[month]


@pytest.mark.parametrize("values", [np.full(11, 280.0), np.full(12, np.nan)])
def test_twelve_finite_means_are_needed(values):
    whole = np.full(12, 280.0)
    with pytest.raises(ValueError, match="internal_pressure needs twelve finite values"):
        MonthlyClimate(whole, whole, whole, values)
