"""The year that repeats for ever: the same as by marching on, and not claimed where there is none."""

from dataclasses import replace

import numpy as np
import pytest
from solver_walls import film, layer, series_boundary, synthetic_climate, wall, within

from hygro.grid.cells import build_grid
from hygro.materials import load_material
from hygro.physics.moist_air import relative_humidity
from hygro.solve.balance import water_at
from hygro.solve.march import march
from hygro.solve.regrid import carried, suction_of_water
from hygro.solve.repeating import left, march_repeating
from hygro.solve.settings import ACCURACIES, Span
from hygro.solve.yearly_map import Years, difference, layer_capacity, layer_water, secant

WEEK = 168
"""The record of these tests: a year would show the same and take longer."""

LUCKY = 1e-3
"""Contraction that is measured where a leap happens to land where the years lead."""

SAME = 5e-4
"""Hourly humidity against marching on [1]."""


def span(passes, tolerance=1e-3):
    return Span(tuple(range(0, WEEK * (passes + 1), WEEK)), WEEK, tolerance)


def slab(thickness=0.03, humidity=0.9):
    outside, inside = synthetic_climate(WEEK, rain=False)
    return wall([layer(load_material("lime-plaster"), thickness, 283.15, humidity)], outside, inside)


def behind_foils(s_d=60.0):
    """Lime plaster behind films that let a week change a fiftieth of what is left to change."""
    outside, inside = synthetic_climate(WEEK, rain=False)
    return wall(
        [layer(load_material("lime-plaster"), 0.01, 283.15, 0.6)],
        outside,
        inside,
        [film(0, s_d), film(1, s_d)],
    )


def gathering():
    """Mineral wool open to a warm, humid room, with a foil towards the frost: condensate week after week."""
    outside, _ = synthetic_climate(WEEK, rain=False)
    cold = replace(
        outside, temperature=outside.temperature - 15.0, air_temperature=outside.air_temperature - 15.0
    )
    room = series_boundary(
        temperature=293.15, relative_humidity=0.7, heat_coefficient=7.7, vapour_coefficient=1.8e-8, hours=WEEK
    )
    wool = layer(load_material("mineral-wool"), 0.1, 283.15, 0.5)
    return wall([wool], cold, room, [film(0, 1500.0)])


def humidity(solution):
    """Of the last pass, hourly."""
    return relative_humidity(10.0 ** solution.log_suction[-WEEK:], solution.temperature[-WEEK:])


def found(model, passes=10, **rest):
    return march_repeating(model, build_grid(model), span(passes), ACCURACIES["reference"], **rest)


def test_thin_wall_repeats_as_by_brute_force():
    """A slab of plaster: the same week, hour by hour, as after sixty weeks."""
    model = slab()
    solution = found(model)
    brute = march(model, build_grid(model), span(60, None), ACCURACIES["reference"])
    within(np.abs(humidity(solution) - humidity(brute)).max(), SAME, "humidity, 1")
    assert solution.approach.found
    assert solution.steady_year == 2
    assert solution.year_edges.tolist() == [0, WEEK, 2 * WEEK]
    assert solution.hours == 2 * WEEK
    assert solution.approach.years <= 4


@pytest.mark.parametrize(("s_d", "passes"), [(5.0, 60), (20.0, 300), (60.0, 900)])
def test_slow_walls_repeat_as_by_brute_force_in_far_fewer_passes(s_d, passes):
    """Behind films, where a week leaves 0.82, 0.94 and 0.98 of what there is to forget."""
    model = behind_foils(s_d)
    solution = found(model, passes=20)
    brute = march(model, build_grid(model), span(passes, None), ACCURACIES["reference"])
    within(np.abs(humidity(solution) - humidity(brute)).max(), SAME, "humidity, 1")
    assert solution.approach.found
    assert solution.approach.contraction > 0.7
    assert solution.approach.extrapolations > 0
    assert solution.approach.coarse_years + solution.approach.years <= 30


def test_a_leap_that_lands_well_does_not_make_a_wall_fast(monkeypatch):
    """The third measurement says that a week leaves next to nothing; the wall leaves 0.82."""
    real, measured = Years.contraction, []

    def lucky(self, most=2, first=0):
        measured.append(LUCKY if len(measured) == 2 else real(self, most, first))
        return measured[-1]

    monkeypatch.setattr(Years, "contraction", lucky)
    approach = found(behind_foils(5.0), passes=60).approach
    assert LUCKY in measured
    assert approach.contraction > 0.7


def test_what_years_on_the_grid_itself_leave_is_remembered(monkeypatch):
    """However fast the coarse grid was: what is left is reckoned with what these years showed."""
    monkeypatch.setattr(Years, "contraction", lambda *_, **__: LUCKY)
    approach = found(behind_foils(5.0), passes=120).approach
    assert approach.found
    assert approach.contraction == LUCKY
    assert approach.remaining > 3.0 * approach.change  # 0.82 leaves 5.6 times the change of a week


def test_creeping_is_not_taken_for_repeating():
    """The same wall passes the naive test while it is far from where it will end; the estimate knows."""
    model, tolerance = behind_foils(), 2e-3
    naive = march(model, build_grid(model), span(100, tolerance), ACCURACIES["reference"])
    assert naive.steady_year == 2
    solution = march_repeating(model, build_grid(model), span(20, tolerance), ACCURACIES["reference"])
    assert np.abs(humidity(naive) - humidity(solution)).max() > 20 * tolerance
    assert solution.approach.remaining < tolerance


def test_balances_close_and_the_kept_passes_follow_each_other():
    solution = found(behind_foils(), passes=20)
    water, heat = solution.balance_errors()
    within(np.abs(water).max(), 1e-6, "water")
    within(np.abs(heat).max(), 1e-9, "heat")
    rows = WEEK // 24
    assert len(solution.field_temperature) == 2 * rows + 1
    middle = solution.field_log_suction[rows]
    assert np.array_equal(middle, solution.log_suction[WEEK - 1])
    grid = solution.grid
    assert water_at(grid, middle) @ grid.size == pytest.approx(solution.water[1], rel=1e-12)


def test_last_pass_ends_where_it_began():
    solution = found(slab())
    states = [(solution.field_temperature[k], solution.field_log_suction[k]) for k in (WEEK // 24, -1)]
    change = difference(solution.grid, *states)
    assert change == pytest.approx(solution.approach.change)
    assert change <= solution.approach.remaining <= 1e-3


def test_wall_that_gathers_water_is_told_apart():
    """No repeating year is claimed; the layer is named, and what is kept is the plain march, bit for bit."""
    model = gathering()
    solution = found(model, passes=6)
    plain = march(model, build_grid(model), span(6, None), ACCURACIES["reference"])
    assert not solution.approach.found
    assert solution.steady_year == 0
    assert "layer 'mineral-wool' gains" in solution.approach.reason
    assert "initial moisture" in solution.approach.sentence()
    assert np.array_equal(solution.log_suction, plain.log_suction)
    assert np.array_equal(solution.flows, plain.flows)
    assert solution.steps > plain.steps  # the search is in the account


def test_search_that_ends_too_early_says_so():
    solution = found(behind_foils(), passes=2)
    assert not solution.approach.found
    assert solution.approach.reason.startswith("after 2 years a year still changed the wall by")
    assert solution.hours == 2 * WEEK


def test_search_counts_its_hours():
    told = []
    solution = found(slab(), progress=lambda done, most: told.append((done, most)))
    hours = [done for done, _ in told]
    assert hours == sorted(hours)
    assert hours[-1] == WEEK * (solution.approach.years + solution.approach.coarse_years)
    assert all(done <= most for done, most in told)


def test_same_search_same_bits():
    a, b = found(behind_foils(), passes=20), found(behind_foils(), passes=20)
    assert np.array_equal(a.log_suction, b.log_suction)
    assert np.array_equal(a.flows, b.flows)


def three_layers():
    outside, inside = synthetic_climate(WEEK)
    names, sizes = ("solid-brick", "wood-fibre-rigid", "lime-plaster"), (0.2, 0.05, 0.01)
    return wall(
        [layer(load_material(n), d, 283.15, 0.8) for n, d in zip(names, sizes, strict=True)],
        outside,
        inside,
        [film(1, 5.0)],
    )


@pytest.mark.parametrize(("old", "new"), [(4.0, 1.0), (1.0, 4.0), (1.0, 0.5)])
def test_water_of_every_layer_stays_on_another_grid(old, new):
    model = three_layers()
    source, target = build_grid(model, old), build_grid(model, new)
    end = march(model, source, Span((0, WEEK), WEEK))
    t, x = end.temperature[-1], end.log_suction[-1]
    moved_t, moved_x = carried(source, target, t, x)
    held = [layer_water(grid, s) * layer_capacity(grid)[0] for grid, s in ((source, x), (target, moved_x))]
    np.testing.assert_allclose(held[1], held[0], rtol=1e-9)
    assert moved_t.min() >= t.min()
    assert moved_t.max() <= t.max()
    assert moved_x.min() >= x.min() - 0.5
    assert moved_x.max() <= x.max() + 0.5


def test_same_grid_changes_nothing():
    model = three_layers()
    grid = build_grid(model)
    end = march(model, grid, Span((0, WEEK), WEEK))
    _, x = carried(grid, grid, end.temperature[-1], end.log_suction[-1])
    assert np.abs(x - end.log_suction[-1]).max() < 1e-6


def test_suction_of_water_inverts_the_table_and_beyond():
    """Condensate lies on the line through the last two points, as `water_at` has it."""
    grid = build_grid(three_layers())
    for x in (-20.0, -0.5, 3.3, 6.0, 8.2):
        wanted = np.full(grid.nodes, x)
        back = suction_of_water(grid, water_at(grid, wanted), np.full(grid.nodes, 7.0))
        inner = grid.size > 0.0
        np.testing.assert_allclose(water_at(grid, back)[inner], water_at(grid, wanted)[inner], rtol=1e-10)
        assert (back[~inner] == 7.0).all()


def test_extrapolation_stays_within_what_the_material_holds():
    """However far the years lead."""
    grid = build_grid(three_layers())
    years = Years(grid)
    t = np.full(grid.nodes, 283.15)
    states = [(t, np.full(grid.nodes, x)) for x in (6.5, 5.5, 4.6, 3.75)]
    for a, b in zip(states[:-1], states[1:], strict=True):
        years.add(a, b)
    _, moved = years.extrapolated(years.pairs())
    assert np.isfinite(moved).all()
    assert (water_at(grid, moved) <= grid.tables[grid.table, 0, 0] * (1 + 1e-12)).all()
    assert (water_at(grid, moved) >= grid.tables[grid.table, -1, 0] - 1e-12).all()


def test_secant_solves_a_linear_map_from_as_many_changes_as_it_has_slow_modes():
    """F(s) = A s + b with two slow modes: two changes are enough."""
    rng = np.random.default_rng(3)
    basis = np.linalg.qr(rng.standard_normal((6, 6)))[0]
    a = basis @ np.diag([0.95, 0.6, 0.0, 0.0, 0.0, 0.0]) @ basis.T
    b = rng.standard_normal(6)
    starts = [rng.standard_normal(6)]
    for _ in range(3):
        starts.append(a @ starts[-1] + b)
    ends = [a @ s + b for s in starts]
    residuals = [e - s for s, e in zip(starts, ends, strict=True)]
    pairs = [(residuals[k] - residuals[k - 1], ends[k] - ends[k - 1]) for k in (3, 2)]
    np.testing.assert_allclose(
        ends[-1] - secant(pairs, residuals[-1]), np.linalg.solve(np.eye(6) - a, b), atol=1e-8
    )


@pytest.mark.parametrize(
    ("change", "factor", "rest"), [(1e-3, 0.0, 1e-3), (1e-3, 0.9, 1e-2), (1e-3, 1.0, np.inf)]
)
def test_what_is_left_is_the_geometric_series(change, factor, rest):
    assert left(change, factor) == pytest.approx(rest)
