"""Properties that a march must have whatever the numbers.

Closed balances, bounds, mirror, rest, repeatability.
"""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from solver_walls import (
    constant_boundary,
    film,
    fixed_boundary,
    layer,
    mirrored,
    plain_material,
    run,
    synthetic_climate,
    wall,
    within,
)
from walls_in_rain import insulated, rainy_run

from hygro.grid.cells import build_grid
from hygro.materials import list_materials, load_material
from hygro.solve import layout
from hygro.solve import march as march_module
from hygro.solve.march import march
from hygro.solve.settings import ACCURACIES, Span

BALANCE = 1e-9
"""Of an ordinary wall, at the end of a whole day, where state and carried content are brought together."""

ANY_BALANCE = 5e-6
"""Of any wall: the change of humidity at which an iteration ends at a day's end."""


@pytest.mark.parametrize("accuracy", ACCURACIES)
def test_balances_close_in_rain(accuracy):
    """What is stored is what crossed the faces, to 1e-9 of what crossed, at every accuracy on offer."""
    water, heat = rainy_run(accuracy=accuracy).solution.balance_errors()
    within(np.abs(water).max(), BALANCE, "water")
    within(np.abs(heat).max(), BALANCE, "heat")


def test_balance_seen_from_the_layers():
    """The same from the profiles.

    Water gained by the cells is rain and vapour of all hours, to a millionth.
    """
    result = rainy_run()
    stored = (result.water * result.size).sum(axis=1)
    within(abs((stored[-1] - stored[0]) / result.water_in.sum() - 1.0), 1e-6, "water gained, share")
    assert result.rain_in[:, 0].sum() > 10.0  # it did rain


def test_humidity_stays_within_its_bounds():
    result = rainy_run()
    assert result.humidity.min() > 0.0
    assert result.humidity.max() <= 1.0 + 1e-9
    assert np.isfinite(result.solution.temperature).all()
    assert result.solution.temperature.min() > 250.0
    assert result.solution.temperature.max() < 320.0


def test_mirrored_wall():
    """Outside and inside swapped: the same numbers within the error of the time steps.

    Elimination runs from one side to the other, and the last row may follow the climate without a new sweep,
    so steps are not the same on both ways; a tenth of the tolerance brings the two together.
    """
    model = insulated(400)
    differences = []
    for tolerance in (1e-3, 1e-5):
        a, b = (run(m, accuracy="reference", tolerance=tolerance) for m in (model, mirrored(model)))
        flip = slice(None, None, -1)
        differences.append(np.abs(a.humidity[-1] - b.humidity[-1, flip]).max())
        within(np.abs(a.temperature[-1] - b.temperature[-1, flip]).max(), 10.0 * tolerance, "temperature, K")
        within(differences[-1], tolerance, "humidity, 1")
        within(np.abs(a.water_in - b.water_in[:, flip]).max(), tolerance, "hourly water, kg/m2")
    assert differences[1] < 0.2 * differences[0]


def test_layer_in_two_pieces():
    """A cut through brick refines the cells beside it and changes nothing else.

    0.3 % RH, the error of the cells.
    """
    outside, inside = synthetic_climate(600)
    brick = load_material("solid-brick")
    whole = run(wall([layer(brick, 0.2, 283.15, 0.8)], outside, inside))
    cut = run(wall([layer(brick, 0.08, 283.15, 0.8), layer(brick, 0.12, 283.15, 0.8)], outside, inside))
    at = np.interp(whole.depth, cut.depth, cut.humidity[-1])
    within(np.abs(at - whole.humidity[-1]).max(), 0.003, "humidity, 1")
    at = np.interp(whole.depth, cut.depth, cut.temperature[-1])
    within(np.abs(at - whole.temperature[-1]).max(), 0.05, "temperature, K")
    within(abs(cut.water_in.sum() / whole.water_in.sum() - 1.0), 0.01, "water gained, share")


def at_rest(hours=500):
    """Three materials and a foil at 20 degC and 70 % between airs of the same."""
    air = constant_boundary(
        hours=hours, temperature=293.15, relative_humidity=0.7, heat_coefficient=8.0, vapour_coefficient=5e-8
    )
    names = ("solid-brick", "calcium-silicate", "softwood")
    layers = [layer(load_material(name), 0.05, 293.15, 0.7) for name in names]
    return wall(layers, air, air, [film(1, 2.0)])


def test_equilibrium_stays_at_rest():
    """Nothing moves.

    1e-9 is what tabulated saturation pressure and the exact one of the air may differ by.
    """
    result = run(at_rest())
    within(np.abs(result.humidity - 0.7).max(), 1e-6, "humidity, 1")
    within(np.abs(result.temperature - 293.15).max(), 1e-5, "temperature, K")
    within(np.abs(result.water_in).max(), 1e-6, "water in an hour, kg/m2")


def test_walls_forget_their_start():
    """Wet and dry starts between constant airs end in the same state, 1e-6 RH, which is what a steady state
    is.
    """
    airs = [
        constant_boundary(
            hours=24 * 900,
            temperature=t,
            relative_humidity=phi,
            heat_coefficient=10.0,
            vapour_coefficient=5e-8,
        )
        for t, phi in ((278.15, 0.8), (293.15, 0.5))
    ]
    ends = [
        run(wall([layer(load_material("lime-plaster"), 0.05, 283.15, phi)], *airs), field_every=24)
        for phi in (0.3, 0.95)
    ]
    within(np.abs(ends[0].humidity[-1] - ends[1].humidity[-1]).max(), 1e-6, "humidity, 1")


def test_same_input_same_bits():
    model = insulated(300)
    a, b = run(model), run(model)
    assert np.array_equal(a.solution.temperature, b.solution.temperature)
    assert np.array_equal(a.solution.log_suction, b.solution.log_suction)
    assert np.array_equal(a.solution.flows, b.solution.flows)


@pytest.mark.parametrize("portion", [1, 17, 100_000])
def test_results_do_not_depend_on_the_progress_portion(portion, monkeypatch):
    """How often progress is reported is no part of the numerics: same bits."""
    model = insulated(200)
    before = run(model, field_every=7)
    monkeypatch.setattr(march_module, "PORTION", portion)
    after = run(model, field_every=7)
    assert np.array_equal(before.solution.temperature, after.solution.temperature)
    assert np.array_equal(before.solution.flows, after.solution.flows)
    assert np.array_equal(before.solution.field_log_suction, after.solution.field_log_suction)


def test_progress_is_told(monkeypatch):
    monkeypatch.setattr(march_module, "PORTION", 30)
    model = at_rest(100)
    told = []
    march(
        model, build_grid(model), Span((0, 100), 100), progress=lambda done, most: told.append((done, most))
    )
    assert told == [(30, 100), (60, 100), (90, 100), (100, 100)]


def test_record_repeats(monkeypatch):
    """A record of 50 hours run for 150 goes through the same climate three times, in whatever portions.

    With balances and new linear models in the same hours the numbers are the same.
    """
    monkeypatch.setattr(march_module, "PORTION", 20)
    model = insulated(50)
    triple = {
        side: replace(
            getattr(model, side),
            **{
                name: np.tile(getattr(getattr(model, side), name), 3)
                for name in ("temperature", "air_temperature", "vapour_pressure", "heat_coefficient")
                + ("vapour_coefficient", "rain", "suction")
            },
        )
        for side in ("external", "internal")
    }
    often = {"balance_every": 50, "fresh_every": 50}
    a = run(model, hours=150, **often)
    b = run(replace(model, **triple), **often)
    assert a.solution.hours == b.solution.hours == 150
    assert np.array_equal(a.water[-1], b.water[-1])


def test_snapshots_fall_on_their_hours():
    result = run(insulated(100), field_every=24)
    assert result.solution.field_hours.tolist() == [0, 24, 48, 72, 96]
    nodes = np.arange(result.grid.nodes)
    assert np.array_equal(result.solution.watched, nodes)
    for row, hour in enumerate(result.solution.field_hours[1:], start=1):
        assert np.array_equal(result.solution.field_temperature[row], result.solution.temperature[hour - 1])


def test_watched_nodes_only():
    """A history of some nodes is that part of the history of all."""
    model = insulated(60)
    grid = build_grid(model)
    every = march(model, grid, Span((0, 60), 60))
    some = march(model, grid, Span((0, 60), 60), watched=np.array([0, 5, grid.nodes - 1]))
    assert np.array_equal(some.temperature, every.temperature[:, [0, 5, grid.nodes - 1]])
    assert np.array_equal(some.log_suction, every.log_suction[:, [0, 5, grid.nodes - 1]])


def test_steady_year_is_found():
    """A plaster slab under a record of a week repeats itself soon; the march stops there and says so."""
    outside, inside = synthetic_climate(168, rain=False)
    model = wall([layer(load_material("lime-plaster"), 0.03, 283.15, 0.6)], outside, inside)
    edges = tuple(range(0, 168 * 41, 168))
    solution = march(model, build_grid(model), Span(edges, 168, steady_tolerance=1e-4))
    assert 2 <= solution.steady_year < 40
    assert solution.hours == 168 * solution.steady_year
    assert len(solution.year_edges) == solution.steady_year + 1
    per_week = solution.field_log_suction[1:].reshape(solution.steady_year, 7, -1)
    assert np.abs(per_week[-1] - per_week[-2]).max() < 0.01
    assert np.abs(per_week[1] - per_week[0]).max() > np.abs(per_week[-1] - per_week[-2]).max()


SUCKING = [name for name in list_materials() if load_material(name).table().flux_potential.any()]


@pytest.mark.parametrize("name", SUCKING)
def test_sucking_materials_stand_seventeen_wet_days(name):
    """Every library material that conducts liquid, bare in the rain.

    No failure, closed balance, humidity in bounds.
    """
    outside, inside = synthetic_climate(1500)
    result = run(wall([layer(load_material(name), 0.2, 283.15, 0.8)], outside, inside), hours=17 * 24)
    assert result.solution.failure == ""
    assert result.humidity.min() > 0.0
    assert result.humidity.max() <= 1.0 + 1e-9
    water, heat = result.solution.balance_errors()
    within(abs(water[0]), ANY_BALANCE, "water")
    within(abs(heat[0]), ANY_BALANCE, "heat")


@given(
    st.lists(
        st.sampled_from(
            ["solid-brick", "limestone", "lime-mortar", "lime-plaster", "hemp-lime", "gypsum-plaster"]
        ),
        min_size=1,
        max_size=4,
    ),
    st.lists(st.floats(0.005, 0.3), min_size=4, max_size=4),
    st.integers(0, 1000),
    st.floats(0.3, 0.97),
)
@settings(max_examples=12, deadline=None, derandomize=True)
def test_any_wall_keeps_its_books(names, thicknesses, seed, humidity):
    """Random build-ups in random weather: marched to the end, balances closed."""
    outside, inside = synthetic_climate(120, seed)
    layers = [layer(load_material(n), d, 283.15, humidity) for n, d in zip(names, thicknesses, strict=False)]
    result = run(wall(layers, outside, inside))
    assert result.solution.failure == ""
    assert result.solution.hours == 120
    water, heat = result.solution.balance_errors()
    assert abs(water[0]) < ANY_BALANCE
    assert abs(heat[0]) < ANY_BALANCE


def test_condensate_against_a_foil():
    """Warm moist air behind cold mineral wool that a foil closes: water piles up there and the march goes on.

    Pores in front of the foil are full long before the end; content then goes on rising, and mass is kept.
    """
    wool = load_material("mineral-wool")
    hours = 24 * 365
    outside = constant_boundary(
        hours=hours, temperature=263.15, relative_humidity=0.8, heat_coefficient=25.0, vapour_coefficient=0.0
    )
    inside = constant_boundary(
        hours=hours, temperature=293.15, relative_humidity=0.6, heat_coefficient=8.0, vapour_coefficient=6e-8
    )
    back = plain_material("board", resistance=50.0)
    layers = [layer(back, 0.02, 278.15, 0.5), layer(wool, 0.1, 278.15, 0.5)]
    result = run(wall(layers, outside, inside, [film(1, 800.0)]))
    assert result.solution.failure == ""
    cold = int(np.flatnonzero(result.grid.layer[1:-1] == 1)[0])
    assert result.water[-1, cold] > wool.saturation
    assert np.all(np.diff(result.water[30:, cold]) > 0.0)
    water, heat = result.solution.balance_errors()
    within(abs(water[0]), BALANCE, "water")
    within(abs(heat[0]), BALANCE, "heat")
    gained = ((result.water[-1] - result.water[0]) * result.size).sum()
    within(abs(gained / result.water_in[:, 1].sum() - 1.0), BALANCE, "water kept, share")


def test_accuracy_by_name_is_an_order():
    """Tighter tolerances come nearer to the tightest: humidity of the interfaces in rain."""
    finest = rainy_run(400, "reference", tolerance=1e-5)
    errors = [
        np.abs(rainy_run(400, name).solution.log_suction - finest.solution.log_suction).mean()
        for name in ("draft", "standard", "reference")
    ]
    print("mean error of log10 suction:", errors)
    assert errors[0] > errors[1] > errors[2]


def test_flows_are_positive_into_the_wall():
    """Warm and moist inside, cold and dry outside: heat and vapour enter from the room and leave outdoors."""
    outside = fixed_boundary(temperature=273.15, relative_humidity=0.5, hours=24 * 60)
    inside = fixed_boundary(temperature=293.15, relative_humidity=0.5, hours=24 * 60)
    result = run(wall([layer(plain_material("slab"), 0.1, 283.15, 0.5)], outside, inside))
    last = result.solution.flows[-1]
    assert last[layout.F_SENSIBLE_INT] > 0.0 > last[layout.F_SENSIBLE_EXT]
    assert last[layout.F_WATER_INT] > 0.0 > last[layout.F_WATER_EXT]
    assert last[layout.F_RAIN_EXT] == 0.0


def test_settings_reach_the_march():
    """A coarser tolerance takes fewer steps; histories have the length asked for."""
    few = rainy_run(400, "draft").solution
    many = march(insulated(400), build_grid(insulated(400)), Span((0, 400), 400), ACCURACIES["reference"])
    assert few.steps < many.steps
    assert few.hours == many.hours == 400
