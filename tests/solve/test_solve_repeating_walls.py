"""The repeating year of real walls in a real year, hour by hour at every interface, against marching on."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from solver_walls import film, within

from hygro.case import load_case
from hygro.constants import HOURS_PER_YEAR
from hygro.grid.cells import build_grid
from hygro.materials import load_film, load_material
from hygro.model.build import build_wall
from hygro.physics.moist_air import relative_humidity
from hygro.solve.march import Run
from hygro.solve.repeating import march_repeating
from hygro.solve.settings import ACCURACIES, Span

CASES = Path(__file__).parents[2] / "cases"
SAME = 5e-4
"""0.05 %RH: half of what the wall may change by from year to year and count as steady."""

STANDARD = replace(ACCURACIES["standard"], fresh_every=1)
"""As the search marches."""

pytestmark = pytest.mark.slow


def wall_of(file, slug, stone=None, thickness=0.0, foil=False):
    case = load_case(CASES / f"terrace-{file}.toml")
    model = build_wall(case, case.variant(slug))
    if stone:
        old = replace(model.layers[0], table=load_material(stone).table(), thickness=thickness)
        model = replace(model, layers=(old, *model.layers[1:]))
    if foil:
        tight = film(len(model.layers), 0.0)
        model = replace(model, films=(*model.films, replace(tight, s_d=np.asarray(load_film("foil").s_d))))
    return model


def beside_interfaces(grid):
    outer = np.flatnonzero(np.diff(grid.layer))
    return np.unique(np.concatenate([outer, outer + 1]))


def hourly(log_suction, temperature):
    return relative_humidity(10.0 ** log_suction[-HOURS_PER_YEAR:], temperature[-HOURS_PER_YEAR:])


def marched_on(model, grid, watched, years):
    """The last of so many years, without keeping the others."""
    run = Run.start(model, grid, Span((0, HOURS_PER_YEAR), HOURS_PER_YEAR), STANDARD, watched)
    for year in range(years):
        run.until(HOURS_PER_YEAR * (1 if year == 0 else 2))
        if year:
            run.forget_pass()
    history = run.history()
    return hourly(history[:, :, 1], history[:, :, 0])


@pytest.mark.parametrize(
    ("wall", "years", "most"),
    [
        (("coast", "wood-fibre-rigid-080mm-SW"), 8, 6),
        (("coast", "insulating-lime-plaster-060mm-SW"), 8, 6),
        (("sheltered", "wood-fibre-flexible-100mm-N"), 8, 6),
        (("sheltered", "foam-foil-faced-080mm-N"), 60, 16),
        (("coast", "foam-foil-faced-080mm-SW"), 60, 16),  # condensate dries up between the foils
        (("coast", "wood-fibre-rigid-120mm-N", "limestone", 0.6), 40, 16),
        (("coast", "wood-fibre-rigid-120mm-N", "limestone", 0.6, True), 80, 20),
        (("coast", "bare-wall-SW", "sandstone", 0.5), 8, 6),
    ],
    ids=lambda value: " ".join(map(str, value)) if isinstance(value, tuple) else str(value),
)
def test_repeating_year_is_that_of_marching_on(wall, years, most):
    model = wall_of(*wall)
    grid = build_grid(model)
    watched = beside_interfaces(grid)
    edges = tuple(range(0, 11 * HOURS_PER_YEAR, HOURS_PER_YEAR))
    span = Span(edges, HOURS_PER_YEAR, 1e-3)
    solution = march_repeating(model, grid, span, STANDARD, watched)
    assert solution.approach.found
    assert solution.approach.years + solution.approach.coarse_years <= most
    found = hourly(solution.log_suction, solution.temperature)
    within(np.abs(found - marched_on(model, grid, watched, years)).max(), SAME, "humidity, 1")
    water, heat = solution.balance_errors()
    within(np.abs(water).max(), 1e-7, "water balance")
    within(np.abs(heat).max(), 1e-9, "heat balance")
