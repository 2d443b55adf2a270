"""Water that freezes: where, how much, what it takes, and what it blocks."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from solver_walls import constant_boundary, fixed_boundary, layer, run, wall, within
from test_solve_flows import BRICK, CALCIUM, T_STEP, TABLES, X_STEP, flow_between, state, suctions
from walls_in_rain import insulated

from hygro.constants import FUSION_ENTHALPY, WATER_HEAT_CAPACITY
from hygro.materials import Material, load_material
from hygro.materials.tables import LOG_SUCTION, STEPS_PER_DECADE
from hygro.model.wall import PhysicsOptions
from hygro.solve import layout
from hygro.solve.balance import contents, ice_at, water_at

ICE = PhysicsOptions(ice=True)
COLD = 268.15


@pytest.mark.parametrize(("radius_nm", "kelvin"), [(50.0, 2.5), (1000.0, 0.12), (10000.0, 0.012)])
def test_freezing_point_falls_with_suction(radius_nm, kelvin):
    """Suction 2 sigma / r of a pore lowers its freezing point by s T_m / (rho L): 120 K nm over the radius.

    With sigma of water and air, 0.0756 N/m at 0 degC; pores are full of ice below that and hold none above.
    """
    suction = 2.0 * 0.0756 / (radius_nm * 1e-9)
    x = float(np.log10(suction))
    depression = suction * 273.15 / (1000.0 * FUSION_ENTHALPY)
    assert depression == pytest.approx(kelvin, rel=0.06)
    assert state(273.15 - 0.98 * depression, x, BRICK, 0.001, True)[24] == 0.0
    assert state(273.15 - 1.02 * depression, x, BRICK, 0.001, True)[24] > 0.0
    colder = [state(273.15 - k * depression, x, BRICK, 0.001, True)[24] for k in (2.0, 4.0, 8.0)]
    assert colder[0] < colder[1] < colder[2] < state(COLD, x, BRICK)[7]


def frozen_slab(suction, hours=300):
    """100 mm of brick behind vapour-tight faces, cooled from 5 to -5 degC by air on both sides."""
    air = constant_boundary(
        hours=hours, temperature=COLD, relative_humidity=0.8, heat_coefficient=20.0, vapour_coefficient=0.0
    )
    return wall([layer(load_material("solid-brick"), 0.1, 278.15, suction=suction)], air, air, physics=ICE)


@pytest.mark.parametrize("suction", [1e2, 1e4, 1e5, 1e6])
def test_calorimetry_of_a_wet_slab(suction):
    """Heat taken from +5 to -5 degC: that of the dry brick and of its water, and fusion of what freezes.

    What stays liquid at -5 degC is what the brick holds at a suction of rho L 5/273.15 = 6.1 MPa.
    """
    model = frozen_slab(suction)
    brick = load_material("solid-brick")
    held = np.interp(
        np.log10([suction, 1000.0 * FUSION_ENTHALPY * 5.0 / 273.15]), LOG_SUCTION, brick.table().water_content
    )
    per_volume = (brick.density * brick.specific_heat + WATER_HEAT_CAPACITY * held[0]) * 10.0
    expected = 0.1 * (per_volume + FUSION_ENTHALPY * max(held[0] - held[1], 0.0))
    solution = run(model, accuracy="reference").solution
    assert solution.failure == ""
    taken = solution.heat[0] - solution.heat[-1]
    # Water moves a little towards the faces while they freeze first; the end is reached within 1e-4 K.
    assert taken == pytest.approx(expected, rel=2e-3)
    assert -solution.flows[:, [layout.F_HEAT_EXT, layout.F_HEAT_INT]].sum() == pytest.approx(taken, rel=1e-9)
    without = run(replace(model, physics=PhysicsOptions())).solution
    if suction < 1e5:
        assert taken > 2.0 * (without.heat[0] - without.heat[-1])


def test_freezing_delays_the_cold():
    """The middle of a wet slab takes more than twice as long to -3 degC, with the heat of fusion on top."""
    model = frozen_slab(1e3, 100)
    hours = []
    for physics in (ICE, PhysicsOptions()):
        result = run(replace(model, physics=physics), field_every=1)
        hours.append(int(np.argmax(result.temperature[:, len(result.depth) // 2] < 270.15)))
    print("hours to -3 degC with and without ice:", hours)
    assert hours[0] > 2 * hours[1] > 0


def test_frozen_pores_pass_no_liquid():
    """Between two frozen cells at one temperature nothing liquid flows, whatever water they hold."""
    values = (COLD, 3.0, COLD, 5.0)
    thawed = flow_between(values, BRICK, BRICK, -1, 1.0)[0]
    vapour = flow_between(values, BRICK, BRICK, -1, 0.0)[0]
    frozen = flow_between(values, BRICK, BRICK, -1, 1.0, 0.0, True)[0]
    assert frozen == pytest.approx(vapour, rel=1e-12)
    assert thawed > 100.0 * frozen
    warm = (278.15, 3.0, 278.15, 5.0)
    assert np.array_equal(
        flow_between(warm, BRICK, BRICK, -1, 1.0, 0.0, True), flow_between(warm, BRICK, BRICK, -1, 1.0)
    )


cold = st.integers(50 * 60, 50 * 73).map(lambda k: layout.AIR_LOW + (k + 0.5) / layout.AIR_STEPS)


@given(cold, suctions, cold, suctions, st.sampled_from([(BRICK, BRICK), (BRICK, CALCIUM)]))
@settings(max_examples=150, deadline=None, derandomize=True)
def test_slopes_of_face_flow_with_ice(t0, x0, t1, x1, pair):
    """All slopes of water and heat against central differences, kinks within the difference left out."""
    values = np.array([t0, x0, t1, x1])

    def flow_at(v):
        return flow_between(v, *pair, -1, 1.0, 0.0, True)

    flow = flow_at(values)
    for k, h in enumerate((0.1 * T_STEP, X_STEP, 0.1 * T_STEP, X_STEP)):
        up, down = values.copy(), values.copy()
        up[k] += h
        down[k] -= h
        forward, backward = flow_at(up), flow_at(down)
        if np.sign(forward[0]) != np.sign(backward[0]):
            continue
        for i in (0, 5):
            one, other = (forward[i] - flow[i]) / h, (flow[i] - backward[i]) / h
            rounding = 1e-10 * abs(flow[i]) / h + 1e-13
            if abs(one - other) > 1e-2 * (abs(one) + abs(other)) + rounding:
                continue
            assert flow[i + 1 + k] == pytest.approx(0.5 * (one + other), rel=1e-2, abs=rounding)


@given(cold, suctions)
@settings(max_examples=100, deadline=None, derandomize=True)
def test_slopes_of_ice(t, x):
    """Ice over temperature and suction, within an interval of the table."""
    here = state(t, x, BRICK, 0.001, True)
    for slope, up, down, h in (
        (here[25], state(t + 1e-5, x, BRICK, 0.001, True), state(t - 1e-5, x, BRICK, 0.001, True), 1e-5),
        (
            here[26],
            state(t, x + X_STEP, BRICK, 0.001, True),
            state(t, x - X_STEP, BRICK, 0.001, True),
            X_STEP,
        ),
    ):
        one, other = (up[24] - here[24]) / h, (here[24] - down[24]) / h
        if abs(one - other) > 1e-2 * (abs(one) + abs(other)) + 1e-6:
            continue
        assert slope == pytest.approx(0.5 * (one + other), rel=1e-2, abs=1e-5)
    assert STEPS_PER_DECADE == 100
    assert TABLES.shape[2] == 8


def test_balances_close_while_a_wall_in_rain_freezes_and_thaws():
    """A wall in rain, 6 K colder: ice comes and goes, water and heat are kept."""
    model = insulated(400)
    outside = model.external
    colder = replace(
        outside, temperature=outside.temperature - 6.0, air_temperature=outside.air_temperature - 6.0,
        vapour_pressure=0.65 * outside.vapour_pressure, rain=0.1 * outside.rain,
    )  # fmt: skip
    result = run(replace(model, external=colder, physics=ICE), field_every=1)
    solution = result.solution
    assert solution.failure == ""
    ice = ice_at(result.grid, solution.field_temperature, solution.field_log_suction) @ result.grid.size
    assert ice.max() > 0.005
    assert ice[np.argmax(ice) :].min() < 0.001
    assert ice[0] == 0.0
    water, heat = solution.balance_errors()
    within(max(np.abs(water).max(), np.abs(heat).max()), 1e-8, "balance, share of what is exchanged")


@pytest.mark.parametrize("interval", [0.02, 0.05])
def test_heat_of_the_state_is_the_heat_that_was_taken(interval):
    """Hour by hour, while a front goes through a slab of an invented material that freezes
    evenly over a small interval below 0 degC [K].

    An iteration ends with the content of a cell within a tenth of the tolerance, which is 0.1 of what the
    cell holds at free saturation: ice may differ by a hundredth of all water.
    """
    full, empty = 200.0, interval * 1000.0 * FUSION_ENTHALPY / 273.15

    def storage(suction):
        return full * np.clip(1.0 - suction / empty, 1e-6, 1.0)

    ground = Material.from_curves(
        name="invented", density=1600.0, specific_heat=1000.0, conductivity_dry=1.5, porosity=0.4,
        free_saturation=full, storage=storage, vapour=1e9,
    )  # fmt: skip
    hours = 48
    cold = fixed_boundary(temperature=263.15, suction=1.0, hours=hours)
    warm = fixed_boundary(temperature=278.15, suction=1.0, hours=hours)
    model = wall([layer(ground, 0.4, 278.15, suction=1.0)], cold, warm, physics=ICE)
    result = run(model, scale=0.25, field_every=1)
    solution, grid = result.solution, result.grid
    assert solution.failure == ""
    temperature, x = solution.field_temperature, solution.field_log_suction
    ice = ice_at(grid, temperature, x) * grid.size
    held = [
        contents(grid, t, w, i)[1].sum()
        for t, w, i in zip(temperature, water_at(grid, x) * grid.size, ice, strict=True)
    ]
    taken = solution.flows[:, [layout.F_HEAT_EXT, layout.F_HEAT_INT]].sum(axis=1).cumsum()
    off = np.abs(np.diff(held).cumsum() - taken).max()
    assert ice[-1].sum() > 0.3 * full * 0.4
    within(off / (FUSION_ENTHALPY * full * 0.4), 0.01, "heat of the state, share of fusion")
