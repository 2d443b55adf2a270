"""The repeating year against marching on until nothing changes: years, time, and how far apart they are."""

import time
from dataclasses import dataclass, replace

import numpy as np

from benchmarks.tables import table
from benchmarks.walls import CASES, YEAR
from hygro.case import load_case
from hygro.grid.cells import build_grid
from hygro.materials import load_film, load_material
from hygro.model.build import build_wall, describe
from hygro.model.wall import Film
from hygro.physics.moist_air import relative_humidity
from hygro.results.places import at_places, places_of, watched_nodes
from hygro.solve.march import Run, march
from hygro.solve.repeating import march_repeating
from hygro.solve.settings import ACCURACIES, Span

COAST, SHELTERED = "terrace-coast.toml", "terrace-sheltered.toml"

WALLS = {
    "bare brick, coast SW": (COAST, "bare wall", None, "SW"),
    "rigid wood fibre 80, coast SW": (COAST, "wood fibre, rigid", 80, "SW"),
    "rigid wood fibre 120, coast N": (COAST, "wood fibre, rigid", 120, "N"),
    "flexible wood fibre 100, sheltered N": (SHELTERED, "wood fibre, flexible", 100, "N"),
    "insulating plaster 60, coast SW": (COAST, "insulating lime plaster", 60, "SW"),
    "insulating plaster 120, sheltered N": (SHELTERED, "insulating lime plaster", 120, "N"),
    "foam 80, coast SW": (COAST, "foam, foil-faced", 80, "SW"),
    "foam 80, sheltered N": (SHELTERED, "foam, foil-faced", 80, "N"),
    "sandstone 500, bare, coast SW": (COAST, "bare wall", None, "SW", "sandstone", 0.5),
    "sandstone 500, foam 80, sheltered N": (SHELTERED, "foam, foil-faced", 80, "N", "sandstone", 0.5),
    "limestone 600, rigid wood fibre 120, coast N": (COAST, "wood fibre, rigid", 120, "N", "limestone", 0.6),
    "the same, foil to the room": (COAST, "wood fibre, rigid", 120, "N", "limestone", 0.6, True),
}
"""Case, build-up, thickness, elevation; stone in place of the brick, its thickness; foil to the room."""

STANDARD = replace(ACCURACIES["standard"], fresh_every=1)
"""As the search marches: all are to come to the same year."""

FORGOTTEN = 1e-4
"""What is left of the start when marching on ends: change times rho / (1 - rho) [1]."""

MOST = 100
TOLERANCE = 1e-3
CONFIRMED = 5


@dataclass
class Wall:
    """A wall, its grid and its places."""

    model: object
    grid: object
    places: list

    def humidity(self, log_suction, temperature, watched):
        """Return the hourly humidity of all places in the last year."""
        t, x = (at_places(values[-YEAR:], watched, self.places) for values in (temperature, log_suction))
        return relative_humidity(10.0**x, t)


def wall_of(file, build_up, thickness, elevation, stone=None, stone_thickness=0.0, foil=False):
    """Build one wall."""
    case = load_case(CASES / file)
    wanted = (build_up, thickness, elevation)
    (variant,) = (v for v in case.variants() if (v.build_up, v.thickness_mm, v.elevation_name) == wanted)
    model = build_wall(case, variant)
    if stone:
        old = replace(model.layers[0], table=load_material(stone).table(), thickness=stone_thickness)
        model = replace(model, layers=(old, *model.layers[1:]), probes=())
    if foil:
        tight = Film("foil", len(model.layers), np.asarray(load_film("foil").s_d), False)
        model = replace(model, films=(*model.films, tight))
    grid = build_grid(model)
    return Wall(model, grid, places_of(model, grid, describe(case, variant)["layers"]))


def marched_on(wall):
    """March until the start is forgotten, then on; return years, seconds and year of both ends."""
    watched = watched_nodes(wall.places)
    span = Span((0, YEAR), YEAR)
    run = Run.start(wall.model, wall.grid, span, STANDARD, watched)

    def last_year(run):
        history = run.history()
        return wall.humidity(history[:, :, 1], history[:, :, 0], watched)

    began = time.process_time()
    years, seconds, before, changes = 0, 0.0, None, []
    while years < MOST:
        run.until((1 if before is None else 2) * YEAR)
        years += 1
        if before is not None:
            last, earlier = (run.profiles()[1][-365 - k : len(run.profiles()[1]) - k] for k in (0, 365))
            changes.append(
                np.abs(relative_humidity(10.0**last, 283.15) - relative_humidity(10.0**earlier, 283.15)).max()
            )
            run.forget_pass()
        before = years
        if not seconds and len(changes) > 1:
            factor = changes[-1] / changes[-2] if changes[-2] > 0.0 else 0.0
            if factor < 1.0 and changes[-1] * factor / (1.0 - factor) <= FORGOTTEN:
                seconds, needed = time.process_time() - began, years
                then = last_year(run)
        if seconds and changes[-1] < 1e-9 or years == MOST:
            break
    return needed, seconds, then, last_year(run)


def until_steady(wall):
    """March until a year repeats the last, as `until steady` has it; return the years, 0 for never."""
    span = Span(tuple(YEAR * k for k in range(MOST + 1)), YEAR, TOLERANCE)
    return march(wall.model, wall.grid, span, STANDARD, np.array([0])).steady_year


def repeating(wall):
    """Find the repeating year; return the solution, its seconds and its humidity."""
    watched = watched_nodes(wall.places)
    span = Span(tuple(YEAR * k for k in range(11)), YEAR, TOLERANCE)
    began = time.process_time()
    solution = march_repeating(wall.model, wall.grid, span, STANDARD, watched)
    seconds = time.process_time() - began
    return solution, seconds, wall.humidity(solution.log_suction, solution.temperature, watched)


def rows_of(names):
    """Measure walls."""
    for name in names:
        wall = wall_of(*WALLS[name])
        years, brute, then, wanted = marched_on(wall)
        solution, seconds, found = repeating(wall)
        inner = [k for k, place in enumerate(wall.places) if place.info.kind in ("interface", "sealed core")]
        marched, apart = (100.0 * np.abs(year - wanted)[:, inner] for year in (then, found))
        approach = solution.approach
        yield (
            name,
            until_steady(wall),
            years,
            f"{brute:.2f}",
            approach.coarse_years,
            approach.years,
            f"{seconds:.2f}",
            f"{brute / seconds:.1f}",
            f"{approach.contraction:.1g}",
            f"{marched.max(initial=0.0):.4f}",
            f"{apart.max(initial=0.0):.4f}",
            int((apart > 0.05).any(axis=1).sum()),
        )


def periodic():
    """Tabulate all walls."""
    repeating(wall_of(*next(iter(WALLS.values()))))  # compiled before anything is timed
    heads = (
        "wall", "until steady, years", "marching on, years", "s", "coarse years", "years", "s", "faster",
        "slowest leaves", "marching on apart, %RH", "repeating apart, %RH", "hours above 0.05",
    )  # fmt: skip
    return table(heads, list(rows_of(WALLS)))
