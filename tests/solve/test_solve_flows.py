"""Flows between nodes: slopes against finite differences, continuity at interfaces, signs, and films."""

import numba
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from solver_walls import constant_boundary, film, layer, run, series_boundary, wall
from walls_in_rain import insulated

from hygro.constants import EVAPORATION_ENTHALPY, WATER_HEAT_CAPACITY, ZERO_CELSIUS
from hygro.grid.cells import build_grid
from hygro.materials import load_material
from hygro.materials.tables import LOG_SUCTION, STEPS_PER_DECADE
from hygro.model.wall import PhysicsOptions
from hygro.physics.moist_air import relative_humidity
from hygro.solve import layout
from hygro.solve.flows import face_flow, film_thickness, surface_flow
from hygro.solve.liquid import interface_flow
from hygro.solve.packing import air_array, boundary_array, exponential_array
from hygro.solve.state import interval, node_state

BRICK, CALCIUM, SOFTWOOD = range(3)


def make_tables():
    """Packed curves of three materials, a film that follows humidity, and the air table."""
    model = insulated(1)
    names = ("solid-brick", "calcium-silicate", "softwood")
    model = wall(
        [layer(load_material(name), 0.1) for name in names],
        model.external,
        model.internal,
        [film(1, lambda phi: 3.0 * np.exp(-2.0 * phi)), film(2, 0.4)],
    )
    grid = build_grid(model)
    return grid.tables, grid.film_s_d, air_array(PhysicsOptions()), boundary_array(model.external)


TABLES, FILMS, AIR, CLIMATE = make_tables()
EXPONENTIALS = exponential_array()

# Curves are linear between nodes: slopes jump there. States are put in the middle of an interval, and the
# finite differences stay inside.
X_STEP = 0.1 / STEPS_PER_DECADE
T_STEP = 0.1 / layout.AIR_STEPS

suctions = st.integers(1, len(LOG_SUCTION) - 250).map(lambda k: LOG_SUCTION[k] + 0.5 / STEPS_PER_DECADE)
temperatures = st.integers(50 * 60, 50 * 110).map(lambda k: layout.AIR_LOW + (k + 0.5) / layout.AIR_STEPS)
materials = st.sampled_from([BRICK, CALCIUM, SOFTWOOD])


def state(temperature, x, table, reach=0.0, ice=None):
    return node_state(temperature, x, reach, TABLES, table, AIR, EXPONENTIALS, ice)


def test_a_cell_filled_beyond_its_pores_keeps_its_resistances():
    """Below the table, where condensate collects, only content goes on along the last slope.

    Resistances that went on would fall below zero and let heat flow from cold to warm.
    """
    for table in (BRICK, CALCIUM, SOFTWOOD):
        full, beyond = (state(288.15, x, table, 0.001) for x in (LOG_SUCTION[0], -6.0))
        assert beyond[7] > full[7]
        for k in (4, 11, 14):
            assert beyond[k] == pytest.approx(full[k], rel=1e-9)
        assert beyond[13] == beyond[15] == 0.0


def flow_between(values, left, right, film_row, opening, contact=0.0, ice=None):
    """face_flow for (T_0, x_0, T_1, x_1); cells of 2 and 6 mm, 4 mm from middle to middle."""
    t0, x0, t1, x1 = values
    a, b = state(t0, x0, left, 0.001, ice), state(t1, x1, right, 0.003, ice)
    link = opening / 0.004
    return np.array(
        face_flow(a, b, x0, x1, 0.002, 0.006, TABLES, left, right, FILMS, film_row, link, contact, ice)
    )


@given(
    temperatures,
    suctions,
    temperatures,
    suctions,
    materials,
    materials,
    st.sampled_from([-1, 0, 1]),
    st.booleans(),
)
@settings(max_examples=150, deadline=None, derandomize=True)
def test_slopes_of_face_flow(t0, x0, t1, x1, left, right, film_row, opening):
    """All eight slopes against central differences, within 0.1 %.

    The differences span a tenth of a table interval: what curvature is left there is far below 0.1 %. Left
    out are states with a kink within the difference (the interface's suction crosses a node). Slopes over
    temperature leave out how a humidity-dependent film follows it at equal suction: those are not compared.
    """
    values = np.array([t0, x0, t1, x1])
    opened = float(opening)
    flow = flow_between(values, left, right, film_row, opened)
    water, heat = flow[1:5], flow[6:10]
    for k, h in enumerate((T_STEP, X_STEP, T_STEP, X_STEP)):
        if film_row == 0 and k in (0, 2):
            continue
        up, down = values.copy(), values.copy()
        up[k] += h
        down[k] -= h
        forward, backward = (flow_between(v, left, right, film_row, opened) for v in (up, down))
        if np.sign(forward[0]) != np.sign(backward[0]):  # heat is carried from the other side
            continue
        ends = [(forward[i] - flow[i]) / h for i in (0, 5)], [(flow[i] - backward[i]) / h for i in (0, 5)]
        for analytic, i, one, other in (
            (water[k], 0, *ends[0][:1], *ends[1][:1]),
            (heat[k], 5, ends[0][1], ends[1][1]),
        ):
            rounding = 1e-11 * abs(flow[i]) / h + 1e-13
            if abs(one - other) > 1e-3 * (abs(one) + abs(other)) + rounding:
                continue  # a kink within the difference
            assert analytic == pytest.approx(0.5 * (one + other), rel=1e-3, abs=rounding)


@given(temperatures, suctions, st.sampled_from([0.0, 3e-4]))
@settings(max_examples=100, deadline=None, derandomize=True)
def test_slopes_of_surface_flow(temperature, x, rain):
    """Slopes of water, heat, rain and sensible heat at a surface, wet range included."""
    climate = CLIMATE.copy()
    climate[0, layout.B_RAIN] = rain

    def flow(t, y):
        return np.array(surface_flow(climate, 0, state(t, y, BRICK), y))

    here = flow(temperature, x)
    up, down = flow(temperature + T_STEP, x), flow(temperature - T_STEP, x)
    right, left = flow(temperature, x + X_STEP), flow(temperature, x - X_STEP)
    for value, t_slope, x_slope in ((0, 1, 2), (3, 4, 5), (6, None, 7), (8, 9, None)):
        small = 1e-11 * abs(here[value])
        if t_slope is not None and np.sign(up[0] - up[6]) == np.sign(down[0] - down[6]):
            numeric = (up[value] - down[value]) / (2 * T_STEP)
            assert here[t_slope] == pytest.approx(numeric, rel=1e-4, abs=small / T_STEP + 1e-15)
        if x_slope is not None and np.sign(right[0] - right[6]) == np.sign(left[0] - left[6]):
            numeric = (right[value] - left[value]) / (2 * X_STEP)
            assert here[x_slope] == pytest.approx(numeric, rel=1e-3, abs=small / X_STEP + 1e-15)


def test_rain_between_dry_and_wet():
    """Whole above 10 Pa, none below 1 Pa, in between by the logarithm of suction."""
    climate = CLIMATE.copy()
    climate[0, layout.B_RAIN] = 1e-4
    taken = [surface_flow(climate, 0, state(283.15, x, BRICK), x)[6] for x in (2.0, 1.0, 0.5, 0.0, -0.5)]
    assert taken == pytest.approx([1e-4, 1e-4, 0.5e-4, 0.0, 0.0], abs=1e-18)


@given(suctions, suctions, st.floats(1e-5, 0.05), st.floats(1e-5, 0.05))
@settings(max_examples=150, deadline=None, derandomize=True)
def test_interface_passes_the_same_flux_on_both_sides(x_left, x_right, reach_left, reach_right):
    """With the suction at the interface found apart (by bisection), both half cells carry the flux
    returned.
    """
    potentials = {table: TABLES[table, :, 2] for table in (BRICK, SOFTWOOD)}
    theta = {
        table: np.interp(x, LOG_SUCTION, potentials[table])
        for table, x in ((BRICK, x_left), (SOFTWOOD, x_right))
    }
    flow, share_left, share_right = interface_flow(
        TABLES, BRICK, SOFTWOOD, x_left, x_right, theta[BRICK], theta[SOFTWOOD], 2.0 * reach_left,
        2.0 * reach_right,
    )  # fmt: skip

    def left(x):
        return (theta[BRICK] - np.interp(x, LOG_SUCTION, potentials[BRICK])) / reach_left

    def right(x):
        return (np.interp(x, LOG_SUCTION, potentials[SOFTWOOD]) - theta[SOFTWOOD]) / reach_right

    low, high = min(x_left, x_right), max(x_left, x_right)
    for _ in range(80):
        middle = 0.5 * (low + high)
        if left(middle) < right(middle):
            low = middle
        else:
            high = middle
    largest = abs(theta[BRICK]) / reach_left + abs(theta[SOFTWOOD]) / reach_right
    assert flow == pytest.approx(left(low), rel=1e-9, abs=1e-12 * largest)
    assert flow == pytest.approx(right(low), rel=1e-9, abs=1e-12 * largest)
    assert share_left + share_right == pytest.approx(1.0) or share_left == share_right == 0.0


def test_interface_between_liquid_and_none():
    """Against a material without liquid nothing liquid passes."""
    model = insulated(1)
    layers = [layer(load_material(name), 0.1) for name in ("solid-brick", "mineral-wool")]
    tables = build_grid(wall(layers, model.external, model.internal)).tables
    theta = np.interp(3.0, LOG_SUCTION, tables[0, :, 2])
    flow, _, _ = interface_flow(tables, 0, 1, 3.0, 6.0, theta, 0.0, 0.02, 0.02)
    assert abs(flow) < 1e-9 * theta / 0.01


def test_flows_run_from_wet_to_dry_and_warm_to_cold():
    wet, dry = 4.0, 7.0
    forward = flow_between((288.0, wet, 288.0, dry), BRICK, BRICK, -1, 1.0)
    backward = flow_between((288.0, dry, 288.0, wet), BRICK, BRICK, -1, 1.0)
    assert forward[0] > 0.0 > backward[0]
    warm = flow_between((293.0, dry, 283.0, dry), BRICK, BRICK, -1, 1.0)
    assert warm[5] > warm[10] > 0.0  # conduction, and vapour with its heat on top
    assert warm[5] == pytest.approx(
        warm[10] + warm[0] * (EVAPORATION_ENTHALPY + WATER_HEAT_CAPACITY * (293.0 - ZERO_CELSIUS)), rel=2e-2
    )


def test_equal_states_pass_nothing():
    flow = flow_between((288.0, 6.0, 288.0, 6.0), BRICK, BRICK, -1, 1.0)
    assert flow[0] == flow[5] == flow[10] == 0.0


def test_film_only_hinders_vapour():
    """A closed film passes less than none; an open one leaves the liquid part as it is."""
    free = flow_between((293.0, 5.5, 285.0, 7.5), BRICK, CALCIUM, -1, 1.0)[0]
    vapour = flow_between((293.0, 5.5, 285.0, 7.5), BRICK, CALCIUM, -1, 0.0)[0]
    behind = flow_between((293.0, 5.5, 285.0, 7.5), BRICK, CALCIUM, 0, 0.0)[0]
    both = flow_between((293.0, 5.5, 285.0, 7.5), BRICK, CALCIUM, 0, 1.0)[0]
    assert 0.0 < behind < vapour < free
    assert both - behind == pytest.approx(free - vapour, rel=1e-12)


def test_film_thickness_follows_its_table():
    for phi in (0.0, 0.004, 0.5, 0.999, 1.0, 1.2, -0.1):
        s_d, slope = film_thickness(FILMS, 0, phi)
        assert s_d == pytest.approx(np.interp(phi, np.linspace(0, 1, 101), FILMS[0]), rel=1e-12)
        assert slope < 0.0


def test_interval_holds_its_point():
    for x in (-1.0, -0.999, 0.0, 3.14159, 9.999, 10.0):
        k, d = interval(x, len(LOG_SUCTION))
        assert 0 <= k <= len(LOG_SUCTION) - 2
        assert LOG_SUCTION[k] + d == pytest.approx(x, abs=1e-12)
    assert interval(-5.0, len(LOG_SUCTION))[0] == 0
    assert interval(15.0, len(LOG_SUCTION))[0] == len(LOG_SUCTION) - 2


@pytest.mark.parametrize("compiled", [False, True])
def test_interval_of_no_number(compiled):
    """NaN is not lost and does not raise, in plain Python either, where int(NaN) would."""
    find = numba.njit(interval) if compiled else interval
    k, d = find(np.nan, len(LOG_SUCTION))
    assert 0 <= k <= len(LOG_SUCTION) - 2
    assert np.isnan(d)


@pytest.mark.parametrize(("temperature", "x"), [(np.nan, 5.0), (283.15, np.nan), (np.nan, np.nan)])
def test_no_number_goes_on_as_none(temperature, x):
    """A node whose state is NaN passes NaN to its neighbour, through films and across contacts as well."""
    here = state(temperature, x, BRICK)
    assert np.isnan(here[1])
    assert np.isnan(here[7]) == np.isnan(x)
    for right, row, contact in ((BRICK, -1, 0.0), (SOFTWOOD, 0, 0.0), (CALCIUM, -1, 1e9)):
        flow = flow_between((temperature, x, 283.15, 6.0), BRICK, right, row, 1.0, contact)
        assert np.isnan(flow[[0, 5]]).all()


@pytest.mark.parametrize("opening", [0.0, 1.0])
@pytest.mark.parametrize(("x0", "x1"), [(5.5, 7.5), (7.5, 5.5)])
def test_water_carries_the_heat_of_the_node_it_leaves(x0, x1, opening):
    """Heat less conduction and evaporation is c_w (T - T_0) times the water, T of the wet side."""
    t0, t1 = 293.0, 292.0
    vapour = flow_between((t0, x0, t1, x1), BRICK, CALCIUM, -1, 0.0)[0]
    flow = flow_between((t0, x0, t1, x1), BRICK, CALCIUM, -1, opening)
    sensible = flow[5] - flow[10] - EVAPORATION_ENTHALPY * vapour
    upstream = t0 if flow[0] > 0.0 else t1
    assert (flow[0] > 0.0) == (x0 < x1)
    assert sensible == pytest.approx(WATER_HEAT_CAPACITY * (upstream - ZERO_CELSIUS) * flow[0], rel=1e-9)


@pytest.mark.parametrize(("pressure", "rain"), [(2000.0, 0.0), (300.0, 0.0), (300.0, 1e-4)])
def test_heat_that_comes_with_water_at_a_surface(pressure, rain):
    """Vapour and rain arrive at air temperature, vapour leaves at that of the surface."""
    climate = CLIMATE.copy()
    climate[0, layout.B_PRESSURE], climate[0, layout.B_RAIN] = pressure, rain
    surface, air = 288.0, climate[0, layout.B_AIR]
    here = state(surface, 5.0, BRICK)
    flow = surface_flow(climate, 0, here, 5.0)
    vapour = climate[0, layout.B_VAPOUR] * (pressure - here[1])
    source = air if vapour > 0.0 else surface
    expected = climate[0, layout.B_HEAT] * (climate[0, layout.B_TEMPERATURE] - surface)
    assert flow[8] == pytest.approx(expected, rel=1e-12)
    expected += (EVAPORATION_ENTHALPY + WATER_HEAT_CAPACITY * (source - ZERO_CELSIUS)) * vapour
    expected += WATER_HEAT_CAPACITY * (air - ZERO_CELSIUS) * rain
    assert flow[0] == pytest.approx(vapour + rain, rel=1e-12)
    assert flow[3] == pytest.approx(expected, rel=1e-12)


def test_dew_that_cannot_go_inward_runs_off():
    """A painted face 1.5 K below humid air stays at 100 %, the wall gains next to nothing, books close."""
    climate = CLIMATE.copy()
    climate[0, layout.B_PRESSURE], climate[0, layout.B_RAIN] = 2000.0, 0.0
    wet = surface_flow(climate, 0, state(288.0, -2.0, BRICK), -2.0)
    dry = surface_flow(climate, 0, state(288.0, 0.0, BRICK), 0.0)
    assert wet[0] < dry[0]  # water leaves once the face is past 100 %
    assert wet[6] == 0.0
    hours = 48
    outside = series_boundary(
        temperature=278.5,
        air_temperature=280.0,
        relative_humidity=0.99,
        heat_coefficient=15.0,
        vapour_coefficient=1e-7,
        hours=hours,
    )
    inside = constant_boundary(
        hours=hours, temperature=280.0, relative_humidity=0.8, heat_coefficient=8.0, vapour_coefficient=2e-8
    )
    layers = [layer(load_material("solid-brick"), 0.2, 280.0, 0.8)]
    result = run(wall(layers, outside, inside, [film(0, 50.0)]))
    assert result.solution.failure == ""
    assert result.solution.log_suction[-1, 0] < 0.0
    assert np.abs(result.water_in[:, 0]).max() < 1e-3
    water, heat = result.solution.balance_errors()
    assert abs(water[0]) < 1e-9
    assert abs(heat[0]) < 1e-9


def test_humidity_of_a_node():
    """Tables and short series against the closed form (Kelvin's equation), from soaked to dust-dry."""
    for temperature in (260.0, 283.15, 312.34):
        for x in np.linspace(-1.0, 10.0, 1237):
            phi = state(temperature, x, BRICK)[4]
            exact = float(relative_humidity(10.0**x, temperature))
            assert 0.0 < phi <= 1.0
            # The inverse of temperature is tabulated: 1e-9 in the exponent.
            assert phi == pytest.approx(exact, rel=1e-10 + 2e-9 * -np.log(exact))
    assert state(283.15, -40.0, BRICK)[4] == pytest.approx(1.0, abs=1e-8)
