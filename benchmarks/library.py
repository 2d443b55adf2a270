"""Time and error at the default grid and standard accuracy, for a library of walls over a rainy year."""

from dataclasses import replace

import numpy as np

from benchmarks.scaling import timed
from benchmarks.tables import table
from benchmarks.walls import YEAR, model_of
from hygro.grid.cells import build_grid
from hygro.materials import load_material
from hygro.physics.moist_air import relative_humidity, saturation_pressure
from hygro.results.places import FARTHEST, VAPOUR_TIGHT
from hygro.solve.march import march
from hygro.solve.settings import Settings, Span

COAST, SHELTERED = "terrace-coast.toml", "terrace-sheltered.toml"
RIGID, FLEXIBLE, PLASTER, FOAM = (
    "wood fibre, rigid",
    "wood fibre, flexible",
    "insulating lime plaster",
    "foam, foil-faced",
)
CONVERGED = Settings(tolerance=1e-3, longest_step=450.0, rain_step=150.0)
CONVERGED_SCALE = 0.25
SETTLING = 30 * 24
"""Hours at the start that are not judged: the wall leaves a state that knows nothing of its climate."""

ROUNDS = 12
"""Rounds of all walls, of which the fastest march of each counts: other work slows the machine by a half, for
seconds at a time."""

COLDER = 12.0
"""Kelvin by which the cold climate lies below that of the case, at its relative humidity."""


def masonry(model, name, thickness):
    """Put another masonry in place of the outermost layer."""
    first = replace(model.layers[0], table=load_material(name).table(), thickness=thickness)
    return replace(model, layers=(first, *model.layers[1:]))


def colder(model):
    """Shift the outdoor climate to frost."""
    outside = model.external
    air = outside.air_temperature - COLDER
    humidity = outside.vapour_pressure / saturation_pressure(outside.air_temperature)
    pressure = np.minimum(humidity, 1.0) * saturation_pressure(air)
    moved = replace(
        outside,
        temperature=outside.temperature - COLDER,
        air_temperature=air,
        vapour_pressure=pressure,
    )
    return replace(model, external=moved)


def walls():
    """Yield the name and the model of each wall."""
    rigid = model_of(COAST, RIGID, 80, "SW")
    yield "brick 225, bare, coast SW", model_of(COAST, "bare wall", None, "SW")
    yield "brick, rigid wood fibre 80, coast SW", rigid
    yield "brick, flexible wood fibre 100, coast SW", model_of(COAST, FLEXIBLE, 100, "SW")
    yield "brick, insulating plaster 60, coast SW", model_of(COAST, PLASTER, 60, "SW")
    yield "brick, foam 80, coast SW", model_of(COAST, FOAM, 80, "SW")
    yield "brick, rigid wood fibre 80, sheltered N", model_of(SHELTERED, RIGID, 80, "N")
    yield "brick, insulating plaster 60, sheltered SW", model_of(SHELTERED, PLASTER, 60, "SW")
    yield "brick, foam 80, sheltered N", model_of(SHELTERED, FOAM, 80, "N")
    yield "sandstone 400, rigid wood fibre 80, coast SW", masonry(rigid, "sandstone", 0.4)
    yield "limestone 500, rigid wood fibre 80, coast SW", masonry(rigid, "limestone", 0.5)
    yield "brick, rigid wood fibre 80, cold SW", colder(rigid)
    yield "brick, flexible wood fibre 100, cold N", colder(model_of(SHELTERED, FLEXIBLE, 100, "N"))


def sealed(model):
    """Indices of layers that foils close on both sides; their faces are not judged in results either."""
    tight = {film.position for film in model.films if film.s_d.max() >= VAPOUR_TIGHT}
    return {k for k in range(len(model.layers)) if k in tight and k + 1 in tight}


def faces(model, grid, solution):
    """Hourly humidity at both faces of every interface, by the lines of results, shape (faces, hours)."""
    shut = sealed(model)
    found = []
    for outer in np.flatnonzero(np.diff(grid.layer)):
        for node, other in ((outer, outer - 1), (outer + 1, outer + 2)):
            if grid.layer[node] in shut:
                continue
            factor = 0.5 * grid.size[node] / (0.5 * (grid.size[node] + grid.size[other]))
            state = []
            columns = np.searchsorted(solution.watched, (node, other))
            for values in (solution.log_suction, solution.temperature):
                at, further = values[:, columns].T
                state.append(at + np.clip((at - further) * factor, -FARTHEST, FARTHEST))
            found.append(relative_humidity(10.0 ** np.clip(state[0], -1.0, 10.0), state[1]))
    return np.array(found)


def fastest():
    """Return the seconds of each wall in its best round."""
    rounds = [[timed(model, 1.0, 1, near_faces=True)[1] for _, model in walls()] for _ in range(ROUNDS)]
    return np.min(rounds, axis=0)


def library():
    """Tabulate cells, steps, seconds and errors of all walls."""
    rows = []
    for (name, model), seconds in zip(walls(), fastest(), strict=True):
        grid, _, solution = timed(model, 1.0, 1, near_faces=True, repeats=1)
        fine = build_grid(model, CONVERGED_SCALE)
        best = faces(model, fine, march(model, fine, Span((0, YEAR), YEAR), CONVERGED))
        error = 100.0 * np.abs(faces(model, grid, solution) - best)[:, SETTLING:]
        rows.append(
            (
                name, grid.nodes - 2, solution.steps, solution.sweeps, f"{seconds:.3f}", f"{error.max():.2f}",
                f"{np.quantile(error.max(axis=0), 0.999):.2f}", f"{np.sqrt((error**2).mean()):.3f}",
            )
        )  # fmt: skip
    columns = (
        "wall", "cells", "steps", "sweeps", "time, s", "greatest error, %RH", "in all but 8 hours, %RH",
        "rms, %RH",
    )  # fmt: skip
    return table(columns, rows)
