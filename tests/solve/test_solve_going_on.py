"""Linear models that go on from step to step, in part, and what they get wrong at the surfaces."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad
from solver_walls import run, within
from walls_in_rain import insulated

from hygro.grid.cells import build_grid
from hygro.physics.moist_air import relative_humidity, saturation_pressure
from hygro.solve import elimination, kernels, layout, solves, surfaces
from hygro.solve.packing import air_array, exponential_array, settings_array
from hygro.solve.settings import Settings

HOURS, DAYS = 48, 4


@pytest.fixture
def plain(monkeypatch):
    """Kernels undecorated, so that parts of them can be replaced."""
    monkeypatch.setattr("hygro.solve.march.cpu_march", lambda: kernels.march)
    return monkeypatch


def test_what_is_renewed_in_part_is_as_good_as_the_whole(plain):
    """With every node swept at every turn, and with those that have drifted: 0.1 %RH apart at most.

    That is half of what standard accuracy may be off at an interface. Looked at behind the masonry: the face
    in the weather may dry a little sooner or later within an hour.
    """
    here = run(insulated(HOURS), field_every=1)
    calls = []

    def whole(work, settings, control):
        calls.append(1)
        return work.shape[0] - 1

    plain.setattr(kernels, "innermost_drifted", whole)
    there = run(insulated(HOURS), field_every=1)
    assert len(calls) > HOURS
    assert there.solution.sweeps > here.solution.sweeps
    off = np.abs(here.humidity - there.humidity)[:, here.solution.grid.layer[1:-1] > 0].max()
    within(off, 1e-3, "humidity")
    assert off > 0.0


def test_changes_that_need_no_restraint_are_the_same_with_it(plain):
    """Every node by the way of those that move far or freeze: the same bits."""
    here = run(insulated(HOURS), field_every=1)
    plain.setattr(solves, "USUAL", -1.0)
    there = run(insulated(HOURS), field_every=1)
    assert np.array_equal(here.temperature, there.temperature)
    assert np.array_equal(here.log_suction, there.log_suction)
    assert np.array_equal(here.solution.flows, there.solution.flows)


def test_a_guess_that_is_not_expected_to_do_makes_no_sweep(plain):
    """After a step that took more than its guess, the first sweep is that of the next iteration."""
    taken, swept = [], []
    iterate, sweep = kernels.iterate, kernels.sweep

    def counted(*arguments):
        swept.append(arguments)
        return sweep(*arguments)

    def watched(*arguments):
        control, iterations = arguments[-2], arguments[-8]
        guesses = iterations == 0 and control[layout.K_LAST] > 0.0
        taken.append((guesses, control[layout.K_TOOK], len(swept)))
        found = iterate(*arguments)
        taken[-1] = (*taken[-1][:2], len(swept) - taken[-1][2])
        return found

    plain.setattr(kernels, "sweep", counted)
    plain.setattr(kernels, "iterate", watched)
    run(insulated(HOURS))
    after = {took: [made for guesses, before, made in taken if guesses and (before > 1.0) == took]
             for took in (False, True)}  # fmt: skip
    assert after[True]
    assert sum(after[True]) == 0
    assert sum(after[False]) > 0


@pytest.mark.parametrize(("record", "hours"), [(8760, 120), (8784, 24), (50, 10), (7, 1)])
def test_whole_models_are_new_in_the_same_hours_of_each_pass(record, hours):
    assert settings_array(Settings(), record, record)[layout.S_FRESH_EVERY] == hours


def test_what_surfaces_get_wrong_is_made_up_for(plain):
    """Water of the wall against that of steps of five minutes: nearer with what is owed than without.

    Not all that a step gets wrong is of second order in the state of the surface.
    """
    model = insulated(DAYS * 24)
    model = replace(model, external=replace(model.external, rain=np.zeros(DAYS * 24)))
    owed = run(model, field_every=24)
    fine = run(model, field_every=24, accuracy="reference", longest_step=300.0, tolerance=1e-3)
    plain.setattr(kernels, "owe", lambda *_: None)
    kept = run(model, field_every=24)
    errors = [abs(one.solution.water[-1] - fine.solution.water[-1]) for one in (owed, kept)]
    print("error of the water in the wall, kg/m2:", errors)
    assert errors[0] < 0.8 * errors[1]


@pytest.mark.parametrize(("warmer", "drier"), [(2.0, 0.0), (-2.0, 0.0), (0.0, 0.06), (2.0, -0.04)])
def test_what_is_owed_is_the_integral_over_a_straight_path(warmer, drier):
    """Tangent less vapour pressure, integrated from the point of the tangent (scipy), but for third order.

    Terms of third order are those of second times the change over the scale of the curve, some tenth.
    """
    model = insulated(1)
    grid = build_grid(model)
    work = np.zeros((3, layout.WORK_COLUMNS))
    edges = np.zeros((2, layout.EDGE_COLUMNS))
    climate = np.zeros((1, layout.BOUNDARY_COLUMNS))
    beta, step, t, x = 7e-8, 1800.0, 283.15, 7.0

    def pressure(share):
        there = t + share * warmer
        return float(relative_humidity(10.0 ** (x + share * drier), there) * saturation_pressure(there))

    h = 1e-4
    slope = (pressure(h) - pressure(-h)) / (2.0 * h)
    climate[0, layout.B_VAPOUR] = beta
    # The mean of the path is half of it, and the last solution leads to its end.
    work[0, layout.SUM_T], work[0, layout.SUM_X] = 0.5 * warmer, 0.5 * drier
    work[0, layout.Q_T], work[0, layout.Q_X] = warmer, drier
    edges[0, layout.E_PRESSURE] = pressure(0.0)
    total = slope
    if warmer and drier:
        parts = {}
        for name, (a, b) in {"t": (h, 0.0), "x": (0.0, h)}.items():
            up = relative_humidity(10.0 ** (x + b), t + a) * saturation_pressure(t + a)
            down = relative_humidity(10.0 ** (x - b), t - a) * saturation_pressure(t - a)
            parts[name] = float(up - down) / (2.0 * h)
        edges[0, layout.E_PRESSURE_T], edges[0, layout.E_PRESSURE_X] = parts["t"], parts["x"]
    elif warmer:
        edges[0, layout.E_PRESSURE_T] = total / warmer
    else:
        edges[0, layout.E_PRESSURE_X] = total / drier
    state = np.array([t + warmer, 280.0, 280.0]), np.array([x + drier, 7.0, 7.0])
    surfaces.owe(
        grid.table, grid.tables, air_array(model.physics), exponential_array(), None, climate, climate, False,
        True, 0, 1.0, step, *state, work, edges,
    )  # fmt: skip
    exact = beta * step * quad(lambda s: pressure(0.0) + slope * s - pressure(s), 0.0, 1.0)[0]
    assert edges[0, layout.E_OWED] == pytest.approx(exact, rel=0.1)
    assert edges[1, layout.E_OWED] == 0.0  # a surface whose state is given exchanges nothing with air
    back = -edges[0, layout.E_BEYOND] * beta * step * pressure(0.5)
    limit = surfaces.MOST_BEYOND * beta * step * pressure(0.5)
    assert back == pytest.approx(np.clip(edges[0, layout.E_OWED], -limit, limit), rel=1e-4)


@pytest.mark.parametrize("n", [2, 3, 4, 7, 8])
def test_elimination_and_substitution_solve_the_system(n):
    """A random block tridiagonal system against numpy's dense solution, of odd and even length."""
    rng = np.random.default_rng(n)
    work = np.zeros((n, layout.WORK_COLUMNS))
    inside, outside = rng.normal(size=(n, 2, 2)), rng.normal(size=(n, 2, 2))
    own = rng.normal(size=(n, 2, 2)) + 8.0 * np.array([[0.0, 1.0], [1.0, 0.0]])
    right = rng.normal(size=(n, 2))
    dense = np.zeros((2 * n, 2 * n))
    carried = (0.0,) * 6
    for i in range(n - 1, -1, -1):
        dense[2 * i : 2 * i + 2, 2 * i : 2 * i + 2] = own[i]
        a, c = np.zeros((2, 2)), np.zeros((2, 2))
        if i < n - 1:
            a = inside[i]
            dense[2 * i : 2 * i + 2, 2 * i + 2 : 2 * i + 4] = a
        if i > 0:
            c = outside[i]
            dense[2 * i : 2 * i + 2, 2 * i - 2 : 2 * i] = c
        carried = elimination.eliminate(work, i, *carried, *a.ravel(), *own[i].ravel(), *c.ravel(), *right[i])
    solves.back(work)
    expected = np.linalg.solve(dense, right.ravel()).reshape(n, 2)
    np.testing.assert_allclose(work[:, [layout.Q_T, layout.Q_X]], expected, rtol=1e-11, atol=1e-13)


def test_sums_are_kept_where_flows_are_asked_for():
    """Surfaces, the cells next to them and nodes with a source add up their solutions; others do not."""
    rng = np.random.default_rng(3)
    n, node = 9, np.array([1, 4, 7])
    work = rng.normal(size=(n, layout.WORK_COLUMNS))
    sources = (np.full(n, -1), node, node, np.ones(3), np.zeros((1, 1, 1)), np.zeros((3, 1)))
    expected = np.zeros(n)
    for first in (True, False):
        solves.substitute(work, sources, first)
        expected += work[:, layout.Q_T]
    kept = [0, 1, 4, 7, 8]
    np.testing.assert_array_equal(work[kept, layout.SUM_T], expected[kept])
    assert work[3, layout.SUM_T] != expected[3]


def test_what_was_given_back_counts_where_the_path_is_unknown():
    """A surface that goes two decades in a step: nothing more is owed, and what it got not once again."""
    model = insulated(1)
    grid = build_grid(model)
    work, edges = np.zeros((3, layout.WORK_COLUMNS)), np.zeros((2, layout.EDGE_COLUMNS))
    climate = np.zeros((1, layout.BOUNDARY_COLUMNS))
    beta, step, owed, share = 7e-8, 1800.0, 1e-2, -0.05
    climate[0, layout.B_VAPOUR] = beta
    work[0, layout.SUM_X] = work[0, layout.Q_X] = 2.0
    edges[0, layout.E_OWED], edges[0, layout.E_BEYOND] = owed, share
    state = np.array([283.15, 280.0, 280.0]), np.array([7.0, 7.0, 7.0])
    surfaces.owe(
        grid.table, grid.tables, air_array(model.physics), exponential_array(), None, climate, climate, False,
        True, 0, 1.0, step, *state, work, edges,
    )  # fmt: skip
    pressure = float(relative_humidity(1e7, 283.15) * saturation_pressure(283.15))
    # Saturation pressure is linear between nodes of 1/50 K in the kernel: 1e-6 of it, of a part that is 1e-1.
    assert edges[0, layout.E_OWED] == pytest.approx(owed + beta * step * share * pressure, rel=1e-6)
