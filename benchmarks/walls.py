"""The walls that are measured, brought to a settled state in autumn."""

from dataclasses import dataclass, fields, replace
from pathlib import Path

import numpy as np

from hygro.case import load_case
from hygro.grid.cells import build_grid
from hygro.model.build import build_wall
from hygro.solve.march import Run, march
from hygro.solve.settings import ACCURACIES, Span

CASES = Path(__file__).parents[1] / "cases"
YEAR = 8760
OCTOBER = 273 * 24
DAYS = 60

WALLS = {
    "wood fibre, coast SW": ("terrace-coast.toml", "wood fibre, rigid", 80, "SW"),
    "wood fibre, coast SW, rain times 5": ("terrace-coast.toml", "wood fibre, rigid", 80, "SW", 5.0),
    "insulating plaster, coast SW": ("terrace-coast.toml", "insulating lime plaster", 60, "SW"),
    "foam, sheltered N": ("terrace-sheltered.toml", "foam, foil-faced", 80, "N"),
}


@dataclass
class Start:
    """A wall, its grid, and the state from which all solvers march the same hours."""

    name: str
    model: object
    grid: object
    temperature: np.ndarray
    log_suction: np.ndarray
    hours: int


def model_of(file, build_up, thickness, elevation, more_rain=1.0):
    """Build the model of one variant of a case, in more rain if wanted."""
    case = load_case(CASES / file)
    for variant in case.variants():
        if (variant.build_up, variant.thickness_mm, variant.elevation_name) == (
            build_up,
            thickness,
            elevation,
        ):
            model = build_wall(case, variant)
            return replace(model, external=replace(model.external, rain=more_rain * model.external.rain))
    raise SystemExit(f"{file} holds no {build_up} of {thickness} mm facing {elevation}")


def cut(boundary, first, last):
    """Return the hours from first to last of a boundary."""
    arrays = {f.name: getattr(boundary, f.name)[first:last] for f in fields(boundary) if f.name != "kind"}
    return replace(boundary, **arrays)


def settled(name, scale=1.0, days=DAYS):
    """March a wall for two years and nine months, and cut out what follows."""
    model = model_of(*WALLS[name])
    grid = build_grid(model, scale)
    span = Span((0, YEAR, 2 * YEAR, 2 * YEAR + OCTOBER), YEAR)
    before = march(model, grid, span, ACCURACIES["standard"])
    if before.failure:
        raise SystemExit(f"{name}: {before.failure}")
    hours = 24 * days
    follows = replace(
        model,
        external=cut(model.external, OCTOBER, OCTOBER + hours),
        internal=cut(model.internal, OCTOBER, OCTOBER + hours),
    )
    return Start(name, follows, grid, before.temperature[-1], before.log_suction[-1], hours)


def run_from(start, settings):
    """Prepare hygro's march from a state of the whole wall rather than one of each layer."""
    from hygro.solve import layout
    from hygro.solve.balance import contents, water_at

    run = Run.start(
        start.model, start.grid, Span((0, start.hours), start.hours), settings, np.arange(start.grid.nodes)
    )
    run.temperature[:] = start.temperature
    run.log_suction[:] = start.log_suction
    water = water_at(start.grid, run.log_suction) * start.grid.size
    run.work[:, layout.OLD_W], run.work[:, layout.OLD_H] = contents(start.grid, run.temperature, water)
    return run
