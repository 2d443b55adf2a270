"""Sources within a wall: heat, air that passes, liquid. Against closed forms and resistances in series."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from solver_walls import CONSTANT_DIFFUSIVITY, fixed_boundary, layer, plain_material, run, wall, within
from test_solve_flows import T_STEP, X_STEP, state, suctions, temperatures
from walls_in_rain import insulated

from hygro.constants import EVAPORATION_ENTHALPY, WATER_HEAT_CAPACITY, ZERO_CELSIUS
from hygro.grid.cells import build_grid
from hygro.model.wall import Source
from hygro.physics.moist_air import saturation_pressure
from hygro.solve import layout
from hygro.solve.packing import source_arrays, source_shares
from hygro.solve.sources import gain


def source(hours, *, place=0, start=0.0, end=0.0, **given_values):
    """A source from numbers or series; what is not named is 0."""
    names = ("heat", "heat_air", "vapour", "vapour_air", "liquid")
    values = {name: np.broadcast_to(np.asarray(given_values.get(name, 0.0), float), hours) for name in names}
    return Source("test", place, start, end, **values)


def air_that_passes(hours, temperature, pressure, heat_air, vapour_air, **place):
    """Air of a temperature [K] and vapour pressure [Pa], as `Source` wants it."""
    vapour = vapour_air * np.asarray(pressure)
    celsius = np.asarray(temperature) - ZERO_CELSIUS
    return source(
        hours,
        heat=heat_air * np.asarray(temperature) + WATER_HEAT_CAPACITY * celsius * vapour,
        heat_air=heat_air,
        vapour=vapour,
        vapour_air=vapour_air,
        **place,
    )


def still(hours, left=293.15, right=293.15, humidity=0.5):
    """A slab of 0.1 m between two given surfaces."""
    ends = (fixed_boundary(temperature=t, relative_humidity=humidity, hours=hours) for t in (left, right))
    slab = layer(plain_material("slab", capacity=1e5), 0.1, left, humidity)
    return wall([slab], *ends, physics=CONSTANT_DIFFUSIVITY)


@given(temperatures, suctions)
@settings(max_examples=60, deadline=None, derandomize=True)
def test_slopes_of_a_gain(temperature, x):
    """Four slopes against central differences within a table interval, as for `face_flow`."""
    parts = (4000.0, 12.0, 3e-6, 4e-9, 2e-6)

    def flow(t, y):
        return np.array(gain(*parts, state(t, y, 0), y))

    here = flow(temperature, x)
    over_t = (flow(temperature + T_STEP, x) - flow(temperature - T_STEP, x)) / (2 * T_STEP)
    over_x = (flow(temperature, x + X_STEP) - flow(temperature, x - X_STEP)) / (2 * X_STEP)
    for value, t_slope, x_slope in ((0, 1, 2), (3, 4, 5)):
        small = 1e-10 * abs(here[value]) + 1e-18
        assert here[t_slope] == pytest.approx(over_t[value], rel=1e-3, abs=small / T_STEP)
        assert here[x_slope] == pytest.approx(over_x[value], rel=1e-3, abs=small / X_STEP)


def test_even_heat_makes_a_parabola():
    """A slab with an even source q between equal faces: T - T_face = q z (d - z) / (2 lambda), Fourier."""
    hours, density = 200, 500.0
    model = replace(still(hours), sources=(source(hours, heat=0.1 * density, end=0.1),))
    result = run(model, scale=0.25)
    z = result.depth
    expected = density * z * (0.1 - z) / (2 * 0.6)
    # Half a cell next to the faces carries the flux of the whole cell: second order in the cell size.
    within(np.abs(result.temperature[-1] - 293.15 - expected).max(), 3e-3 * expected.max(), "rise, K")
    heat = result.solution.flows[-1, layout.F_HEAT_SOURCE]
    assert heat == pytest.approx(0.1 * density * 3600.0, rel=1e-12)
    assert np.abs(result.solution.balance_errors()[1]).max() < 1e-12


def test_air_between_two_layers_is_a_resistance_to_a_third_climate():
    """Steady state of a node with three conductances, for vapour without and for heat with a gradient."""
    hours, vapour_air, pressure = 4000, 2e-9, 2000.0
    model = replace(
        still(hours), sources=(air_that_passes(hours, 293.15, pressure, 5.0, vapour_air, start=0.05),)
    )
    result = run(model)
    middle = int(np.argmax(result.humidity[-1]))
    assert result.depth[middle] == pytest.approx(0.05, abs=0.008)
    permeability = 26.1e-6 / (461.5 * 293.15)
    out = permeability / 10.0 / result.depth[middle]
    inn = permeability / 10.0 / (0.1 - result.depth[middle])
    saturated = float(saturation_pressure(np.array(293.15)))
    outer = 0.5 * saturated
    expected = ((out + inn) * outer + vapour_air * pressure) / (out + inn + vapour_air)
    # Vapour at 293 K and evaporation alters the temperature by what condenses: nothing in the steady state.
    assert result.humidity[-1, middle] * saturated == pytest.approx(expected, rel=2e-4)

    warm = replace(
        still(hours, 273.15, 293.15, 1e-9),
        sources=(air_that_passes(hours, 303.15, 0.0, 5.0, 0.0, start=0.05),),
    )
    result = run(warm)
    out, inn = 0.6 / result.depth[middle], 0.6 / (0.1 - result.depth[middle])
    expected = (out * 273.15 + inn * 293.15 + 5.0 * 303.15) / (out + inn + 5.0)
    assert result.temperature[-1, middle] == pytest.approx(expected, abs=1e-4)


def test_water_given_to_a_closed_slab_stays_there():
    """Vapour and liquid into a slab that lets nothing out: content grows by what is given."""
    hours = 50
    ends = replace(
        still(hours).external, kind="transfer", heat_coefficient=np.full(hours, 8.0),
        vapour_coefficient=np.zeros(hours), vapour_pressure=np.zeros(hours),
    )  # fmt: skip
    model = replace(still(hours), external=ends, internal=ends)
    gift = source(hours, vapour=1e-7, liquid=2e-7, heat=1e-7 * WATER_HEAT_CAPACITY * 20.0, end=0.1)
    result = run(replace(model, sources=(gift,)))
    gained = result.solution.water[-1] - result.solution.water[0]
    assert gained == pytest.approx(3e-7 * 3600.0 * hours, rel=1e-10)
    assert result.solution.flows[:, layout.F_WATER_SOURCE].sum() == pytest.approx(gained, rel=1e-10)
    # What is given as vapour brings its evaporation, which leaves through the faces.
    lost = -result.solution.flows[:, [layout.F_SENSIBLE_EXT, layout.F_SENSIBLE_INT]].sum()
    assert lost == pytest.approx(1e-7 * EVAPORATION_ENTHALPY * 3600.0 * hours, rel=0.02)


def test_full_pores_take_no_liquid():
    """Liquid far beyond what a closed cell holds: it fills to free saturation and runs off, no more."""
    hours = 100
    sealed = plain_material("sealed", resistance=1e6)
    ends = fixed_boundary(temperature=293.15, relative_humidity=0.5, hours=hours)
    model = wall([layer(sealed, 0.1, 293.15, 0.5)], ends, ends, physics=CONSTANT_DIFFUSIVITY)
    result = run(replace(model, sources=(source(hours, liquid=1e-4, end=0.1),)))
    assert result.solution.failure == ""
    assert result.log_suction[-1].min() > -0.01
    water, heat = result.solution.balance_errors()
    within(max(np.abs(water).max(), np.abs(heat).max()), 1e-9, "balance")


def changing_sources(hours):
    """An air flow that comes and goes, heat by day, liquid with the rain of the wall."""
    model = insulated(hours)
    t = np.arange(hours)
    flow = np.where(t % 50 < 20, 1e-4 * (1.0 + 0.5 * np.sin(t)), 0.0)
    room = model.internal
    leak = air_that_passes(
        hours, room.temperature, room.vapour_pressure, 1211.0 * flow, flow / (461.5 * room.temperature),
        place=len(model.layers) - 1,
    )  # fmt: skip
    heat = source(hours, heat=5.0 * (t % 24 > 12), place=0, end=model.layers[0].thickness)
    rain = source(hours, liquid=0.02 * model.external.rain, place=0, start=0.02)
    return replace(model, sources=(leak, heat, rain))


def all_switches(hours):
    """The same with imperfect contact of all layers, and cold enough to freeze."""
    model = changing_sources(hours)
    outside = model.external
    cold = replace(
        outside, temperature=outside.temperature - 8.0, air_temperature=outside.air_temperature - 8.0,
        vapour_pressure=0.6 * outside.vapour_pressure,
    )  # fmt: skip
    layers = (model.layers[0], *(replace(item, contact_resistance=1e10) for item in model.layers[1:]))
    return replace(model, external=cold, layers=layers, physics=replace(model.physics, ice=True))


def test_balances_close_with_sources_that_change_every_hour():
    result = run(changing_sources(400))
    solution = result.solution
    assert solution.failure == ""
    assert np.abs(solution.flows[:, layout.F_WATER_SOURCE]).sum() > 0.01
    water, heat = solution.balance_errors()
    within(max(np.abs(water).max(), np.abs(heat).max()), 1e-9, "balance, share of what is exchanged")


def test_linear_models_that_go_on_take_sources_along():
    """Heat that comes and goes is given in the hour it is due, where no new linear model is taken as well."""
    hours = 300
    heat = 0.5 * (np.arange(hours) % 3 == 0)
    model = insulated(hours)
    model = replace(model, external=replace(model.external, rain=np.zeros(hours)))
    model = replace(model, sources=(source(hours, heat=heat, place=0, end=model.layers[0].thickness),))
    solution = run(model).solution
    assert solution.sweeps < solution.steps, "no hour went on with the last linear model"
    np.testing.assert_allclose(solution.flows[:, layout.F_HEAT_SOURCE], 3600.0 * heat, rtol=1e-9, atol=1e-6)


def test_sources_that_change_every_hour_err_little():
    """At standard accuracy against marches with a hundredth of the tolerance, a mean over time and depth.

    Three times the error without sources at most: there are three of them.
    """
    errors = []
    for model in (changing_sources(300), insulated(300)):
        usual, fine = run(model, field_every=1), run(model, field_every=1, accuracy="reference")
        errors.append(np.abs(usual.humidity - fine.humidity).mean())
    print("mean error of humidity with and without sources:", errors)
    assert errors[0] < 3.0 * errors[1]
    without = replace(changing_sources(300), sources=())
    change = run(without, field_every=1).humidity - run(changing_sources(300), field_every=1).humidity
    assert np.abs(change).max() > 0.03


def test_sources_on_one_cell_add_up():
    model = changing_sources(60)
    thickness = model.layers[0].thickness
    one = source(60, heat=3.0, liquid=1e-8, place=0, end=thickness)
    two = source(60, heat=6.0, liquid=2e-8, place=0, end=thickness)
    twice, once = (run(replace(model, sources=parts)).solution for parts in ((one, one), (two,)))
    np.testing.assert_allclose(twice.temperature, once.temperature, rtol=1e-9)
    np.testing.assert_allclose(twice.flows, once.flows, rtol=1e-6, atol=1e-9)


@pytest.mark.parametrize(("start", "end"), [(0.0, 0.1), (0.02, 0.05), (0.0, 0.0), (0.1, 0.1), (0.033, 0.033)])
def test_shares_lie_where_they_should(start, end):
    """Shares add to 1 and have their centre in the middle of the range; a point goes to one cell."""
    model = insulated(1)
    grid = build_grid(model)
    item = source(1, place=0, start=start, end=end)
    shares = source_shares(grid, item)
    assert shares.sum() == pytest.approx(1.0)
    assert shares[0] == shares[-1] == 0.0
    # A cell that the range covers in part counts at its own middle.
    assert shares @ grid.depth == pytest.approx(0.5 * (start + end), abs=0.5 * grid.size.max())
    if start == end:
        assert np.count_nonzero(shares) == 1
    row_of, node, record, share, records = source_arrays(replace(model, sources=(item,)), grid)
    assert np.array_equal(node, np.flatnonzero(shares))
    assert np.array_equal(row_of[node], np.arange(len(node)))
    assert np.array_equal(share, shares[node])
    assert records.shape == (1, 1, layout.SOURCE_COLUMNS)
    assert not record.any()
