"""The march against an independent set of the same equations, integrated by SUNDIALS CVODE to 1e-9."""

from dataclasses import replace

import numpy as np
import pytest
from verification import Check, verifies
from witness_cvode import witness_states
from witness_walls import random_wall, soaked_wall

from hygro.grid.cells import build_grid
from hygro.physics.moist_air import relative_humidity
from hygro.solve.balance import water_at
from hygro.solve.march import march
from hygro.solve.packing import FREE_SATURATION
from hygro.solve.settings import ACCURACIES, Settings, Span

HOURS = 48

# A tolerance so far below any that is used that hardly any error of time stepping is left, but any difference
# between the two sets of equations. CVODE at 1e-8 is itself known to a few 1e-7 only: at 1e-6 it differs from
# itself at 1e-8 by an rms of 7e-7 to 3e-6 and at most 25 to 30 times that (three settled walls, 60 days).
# hygro's error falls to the same size. Limits: ten times that rms, and thirty times as much at the worst.
STRICT = Settings(tolerance=1e-6, shortest_step=0.1)
STRICT_RMS, STRICT_MAX = 3e-6, 1e-4

# CVODE integrates log10 s and does not conserve water. Where a wet material stores a lot within little
# suction its water drifts: on wall 22 it differs from hygro at 1e-9 by an rms of 1.5e-3 of free saturation
# with CVODE at 1e-7 and 1.4e-4 at 1e-8, while humidity agrees to 3e-7. Walls that are not chosen beforehand
# get a limit of three times that for water, and three times the greatest difference seen there (2.8e-3). (At
# 3e-9 wall 34 shows a drift of its own in one hour that is there neither at 1e-8 nor at 1e-9.)
DRIFT_RMS, DRIFT_MAX = 4e-4, 8e-3

# "reference": half of the 0.1 % in which humidity is shown, on average; the 1 % that the best sensors promise
# at the worst node in the worst hour of storms and 25 K of sun.
REFERENCE_RMS, REFERENCE_MAX = 5e-4, 1e-2

# "standard": what the choice of material data leaves open is some percent; the method may add half a percent
# on average. Single outermost cells lag after the jump of an hour.
STANDARD_RMS, STANDARD_MAX = 5e-3, 1e-1


def of_the_states(grid, temperature, x):
    """Relative humidity, and water content as a share of free saturation, of all cells and hours."""
    nodes = np.pad(x, ((0, 0), (1, 1)), mode="edge")
    share = water_at(grid, nodes) / grid.tables[grid.table, FREE_SATURATION, 0]
    return np.stack([relative_humidity(10.0**x, temperature), share[:, 1:-1]])


def marched(model, grid, settings):
    hours = len(model.external.temperature)
    solution = march(model, grid, Span((0, hours), hours), settings)
    assert not solution.failure
    return of_the_states(grid, solution.temperature[:, 1:-1], solution.log_suction[:, 1:-1])


def witnessed(model, grid):
    layer = grid.layer[1:-1]
    temperature = np.array([item.initial_temperature for item in model.layers])[layer]
    suction = np.array([item.initial_suction for item in model.layers])[layer]
    return of_the_states(grid, *witness_states(model, grid, temperature, np.log10(suction)))


def compare(model, verify):
    """All checks of `agreement` for one wall."""
    grid = build_grid(model)
    witness = witnessed(model, grid)
    humidity, water = np.abs(marched(model, grid, STRICT) - witness)
    verify("humidity, hardly any error of steps, root mean square", np.sqrt((humidity**2).mean()))
    verify("the same, worst cell and hour", humidity.max())
    verify("water, hardly any error of steps, root mean square", np.sqrt((water**2).mean()))
    verify("water, worst cell and hour", water.max())
    reference = np.abs(marched(model, grid, ACCURACIES["reference"]) - witness)
    verify("accuracy reference, root mean square", np.sqrt((reference**2).mean(axis=(1, 2))).max())
    verify("accuracy reference, worst cell and hour", reference.max())
    humidity = np.abs(marched(model, grid, ACCURACIES["standard"]) - witness)[0]
    verify("accuracy standard, humidity, root mean square", np.sqrt((humidity**2).mean()))
    verify("accuracy standard, humidity, worst cell and hour", humidity.max())


KNOWN = "CVODE at 1e-6 differs from itself at 1e-8 by up to 3e-6; hygro's error falls to the same size"
DRIFT = (
    "CVODE integrates log suction and lets water drift: three times the largest drift between its 1e-7 "
    "and 1e-8"
)


def agreement(water_rms=STRICT_RMS, water_max=STRICT_MAX, water_why=KNOWN):
    """Checks of one wall: humidity [1] and water as a share of free saturation [1]."""
    return [
        Check("humidity, hardly any error of steps, root mean square", 0.0, STRICT_RMS, KNOWN),
        Check("the same, worst cell and hour", 0.0, STRICT_MAX, "30 times that, as CVODE from itself"),
        Check("water, hardly any error of steps, root mean square", 0.0, water_rms, water_why),
        Check(
            "water, worst cell and hour",
            0.0,
            water_max,
            "as for humidity; seven times the rms of CVODE's drift",
        ),
        Check(
            "accuracy reference, root mean square",
            0.0,
            REFERENCE_RMS,
            "half of the 0.1 % in which humidity is shown",
        ),
        Check(
            "accuracy reference, worst cell and hour",
            0.0,
            REFERENCE_MAX,
            "the 1 % that the best sensors promise, at the worst node in storms and 25 K of sun",
        ),
        Check(
            "accuracy standard, humidity, root mean square",
            0.0,
            STANDARD_RMS,
            "half a percent, where the choice of material data leaves open some percent",
        ),
        Check(
            "accuracy standard, humidity, worst cell and hour",
            0.0,
            STANDARD_MAX,
            "single outermost cells lag after the jump of an hour",
        ),
    ]


SOURCE = "the equations of every cell and face written a second time, integrated by SUNDIALS CVODE to 1e-9"


# Seeds chosen for what happens in them, see below.
SEEDS = (3, 5, 8, 9)


@pytest.mark.parametrize("seed", SEEDS)
@verifies(
    "witness",
    "In time: random walls in storms and frost",
    kind="witness",
    source=SOURCE,
    shows="Four walls of two to four layers with films, of library and random materials, for two days. The "
    "cells are "
    "the same, so what differs is the equations as coded, the iteration and the steps.",
    checks=agreement(),
)
def test_random_walls(seed, verify):
    compare(random_wall(seed, HOURS), verify)


def test_the_seeds_hold_frost_storms_films_and_several_materials():
    models = [random_wall(seed, HOURS) for seed in SEEDS]
    assert min(model.external.temperature.min() for model in models) < 268.0
    assert max(model.external.rain.max() for model in models) * 3600.0 > 2.0
    assert {len(model.layers) for model in models} >= {2, 3, 4}
    films = {(film.position == 0, film.liquid_open) for model in models for film in model.films}
    assert {(True, False), (False, True)} <= films
    names = {layer.table.material for model in models for layer in model.layers}
    assert sum(name.startswith("random") for name in names) >= 2


@verifies(
    "witness",
    "In time: a front that crosses interfaces and fills the wall",
    kind="witness",
    source=SOURCE,
    shows="Brick, mortar and calcium silicate in rain of 3 mm/h that does not end.",
    checks=agreement(),
)
def test_a_wetting_front_that_crosses_interfaces_and_fills_the_wall(verify):
    model = soaked_wall(14)
    grid = build_grid(model)
    inner_face = np.flatnonzero(np.diff(grid.layer))[-1]
    share = marched(model, grid, ACCURACIES["reference"])[1]
    assert share[0, inner_face] < 0.5
    assert share[-1, inner_face] > 0.9
    compare(model, verify)


@verifies(
    "witness",
    "In time: the conventions of the published cases",
    kind="witness",
    source=SOURCE,
    shows="No viscosity, permeability of air as 1/T: one of the random walls again.",
    checks=agreement(),
)
def test_without_viscosity_and_with_constant_diffusivity(verify):
    model = random_wall(9, HOURS // 2)
    physics = replace(model.physics, viscosity=False, permeability=(1.93e-10, -1.0))
    compare(replace(model, physics=physics), verify)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(20, 50))
@verifies(
    "witness",
    "In time: thirty more random walls",
    kind="witness",
    source=SOURCE,
    shows="Four days each, not chosen for anything.",
    checks=agreement(DRIFT_RMS, DRIFT_MAX, DRIFT),
)
def test_more_random_walls(seed, verify):
    compare(random_wall(seed, 2 * HOURS), verify)
