"""A wall that grows: nothing is lost when a coat goes on, and drying begins as fast as the air takes it."""

import numpy as np
import pytest
from scipy.optimize import brentq
from solver_walls import constant_boundary, layer, synthetic_climate, wall

from hygro.constants import EVAPORATION_ENTHALPY, WATER_HEAT_CAPACITY, ZERO_CELSIUS
from hygro.decide.coats_march import DAY, GrowingWall
from hygro.materials import load_film, load_material
from hygro.materials.tables import LOG_SUCTION
from hygro.model.initial import suction_from_water_content
from hygro.model.wall import Film
from hygro.physics.moist_air import relative_humidity, saturation_pressure
from hygro.solve.settings import ACCURACIES

BRICK, PLASTER = load_material("solid-brick"), load_material("insulating-lime-plaster")
LIME = load_material("lime-plaster")
STANDARD = ACCURACIES["standard"]
FRESH = 350.0
COEFFICIENT = 2.5e-8


def air(temperature=293.15, humidity=0.55, hours=8760):
    return constant_boundary(
        hours=hours,
        temperature=temperature,
        relative_humidity=humidity,
        heat_coefficient=7.7,
        vapour_coefficient=COEFFICIENT,
    )


def brick(external=None, internal=None, hour=0, settings=STANDARD):
    outside = external or air()
    model = wall([layer(BRICK, 0.225, humidity=0.6)], outside, internal or air())
    return GrowingWall(model, hour, 1.0, settings)


def coat(temperature=293.15, thickness=0.025, water=FRESH):
    pull = suction_from_water_content(PLASTER.table(), water)
    return layer(PLASTER, thickness, temperature, suction=pull)


def sums(grown):
    return float(grown.water().sum()), grown.heat()


def test_a_coat_brings_its_water_and_its_heat_and_changes_nothing_else():
    grown = brick(internal=air(humidity=0.8))
    for _ in range(3):
        grown.day()
    before = sums(grown), grown.state[0].copy(), grown.state[1].copy()
    grown.put_up(coat(temperature=291.15))
    (water, heat), temperature, log_suction = before
    brought = FRESH * 0.025
    dry = PLASTER.density * PLASTER.specific_heat * 0.025
    wet = (dry + WATER_HEAT_CAPACITY * brought) * (291.15 - ZERO_CELSIUS)
    # The suction of the fresh water is read off a table and put back into it: round-off.
    assert sums(grown) == pytest.approx((water + brought, heat + wet), rel=1e-11)
    kept = len(temperature) - 1
    assert np.array_equal(grown.state[0][:kept], temperature[:kept])
    assert np.array_equal(grown.state[1][:kept], log_suction[:kept])


def test_several_coats_close_their_balance_in_rain_and_sun():
    """What was there, what was brought and what crossed the faces add up, to the error of the steps."""
    outside, inside = synthetic_climate(30 * DAY)
    grown = brick(outside, inside)
    held = float(grown.water().sum())
    for _ in range(3):
        grown.put_up(coat(grown.room_temperature(), 0.015))
        for _ in range(8):
            grown.day()
    gained = float(grown.water().sum()) - held
    error = gained - 3 * FRESH * 0.015 + grown.to_room + grown.to_outside
    # docs/solver.md: balances at standard accuracy close to some 1e-5 of what moves.
    assert abs(error) < 1e-4 * (3 * FRESH * 0.015 + abs(grown.to_room) + abs(grown.to_outside))
    assert grown.water()[1:] == pytest.approx(grown.water()[1:].clip(min=0.0))


def test_a_film_and_another_room_leave_the_state_alone():
    grown = brick()
    grown.put_up(coat())
    grown.day()
    before = sums(grown)
    s_d = load_film("vapour-open-paint").s_d
    grown.cover(Film("paint", 0, s_d, False))
    grown.move_in(air(humidity=0.9))
    assert sums(grown) == before
    assert grown.model.films[0].position == 2


def test_a_march_in_pieces_follows_the_weather_from_where_it_was():
    """A wall that is touched every day without any change meets the same hours as one that is let alone."""
    outside, inside = synthetic_climate(20 * DAY, rain=False)
    alone, touched = brick(outside, inside, hour=15 * DAY), brick(outside, inside, hour=15 * DAY)
    for _ in range(8):  # across the end of the record
        alone.day()
        touched.move_in(inside)
        touched.day()
    assert touched.hour == alone.hour == 23 * DAY
    # Each start begins with short steps: the difference is the error of steps.
    assert touched.to_room == pytest.approx(alone.to_room, rel=1e-3)
    assert touched.water() == pytest.approx(alone.water(), rel=1e-3)


def wet_rate(grown, room, humidity, outdoors):
    """Evaporation from a wet surface whose heat comes from the air on both sides [kg/(m2 s)].

    Balance of the surface: what the room and the wall behind bring, the vapour carries away; vapour pressure
    at the surface is that of saturation. Lewis' wet bulb with a wall behind it, as moist as it is.
    """
    grid = grown.grid
    brick_lambda, lime_lambda = (
        np.interp(grown.state[1], LOG_SUCTION, each.table().conductivity) for each in (BRICK, LIME)
    )
    conductivity = np.where(grid.layer == 0, brick_lambda, lime_lambda)
    resistance = 1.0 / 7.7 + float((grid.size / conductivity).sum())
    pressure = humidity * saturation_pressure(room)

    def rate(t):
        return COEFFICIENT * (saturation_pressure(t) - pressure)

    def left_over(t):
        return 7.7 * (room - t) + (outdoors - t) / resistance - rate(t) * EVAPORATION_ENTHALPY

    return rate(brentq(left_over, 270.0, 300.0))


@pytest.mark.parametrize(("humidity", "outdoors"), [(0.4, 293.15), (0.4, 283.15), (0.6, 293.15)])
def test_a_fresh_coat_dries_as_fast_as_a_wet_surface(humidity, outdoors):
    """First stage of drying: the surface stays wet, and heat decides (wet-bulb balance).

    10 %: pores at the surface pull a little by then, and the wall still cools towards its steady state.
    """
    sealed = constant_boundary(
        hours=8760,
        temperature=outdoors,
        relative_humidity=0.5,
        heat_coefficient=7.7,
        vapour_coefficient=0.0,
    )
    grown = brick(sealed, air(humidity=humidity))
    # The brick beneath is as wet as can be, and lime plaster sucks well: the surface stays wet.
    grown._state = (grown.state[0], np.full_like(grown.state[1], 2.0))
    pull = suction_from_water_content(LIME.table(), 270.0)
    grown.put_up(layer(LIME, 0.01, suction=pull))
    for _ in range(5):
        grown.day()
    first = grown.to_room
    grown.day()
    expected = wet_rate(grown, 293.15, humidity, outdoors) * 86400.0
    assert grown.to_room - first == pytest.approx(expected, rel=0.10)


def test_a_dry_brick_drinks_from_the_coat_and_a_wet_one_does_not():
    taken = []
    for suction in (6.0, 2.0):
        grown = brick()
        grown._state = (grown.state[0], np.full_like(grown.state[1], suction))
        before = grown.water()[0]
        grown.put_up(coat())
        for _ in range(2):
            grown.day()
        taken.append(grown.water()[0] - before + grown.to_outside)
    dry, wet = taken
    assert dry > 1.0
    assert wet < 0.3 * dry


def test_humid_air_dries_more_slowly():
    left = []
    for humidity in (0.4, 0.6, 0.85):
        grown = brick(internal=air(humidity=humidity))
        grown.put_up(coat())
        for _ in range(10):
            grown.day()
        left.append(float(grown.water()[1]))
    assert left == sorted(left)
    assert left[2] > 1.5 * left[0]


def test_a_coat_left_alone_comes_to_the_humidity_of_the_air():
    grown = brick()
    grown.put_up(coat(thickness=0.01))
    for _ in range(300):
        grown.day()
    surface = relative_humidity(10.0 ** grown.state[1][-1], grown.state[0][-1])
    assert surface == pytest.approx(0.55, abs=0.005)
    assert grown.water()[1] / 0.01 == pytest.approx(float(PLASTER.water_content(0.55)), rel=0.05)
