"""How time and memory grow with cells and years, what a start costs, and how far the grid has converged."""

import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from benchmarks.tables import table
from benchmarks.walls import WALLS, YEAR, model_of
from hygro.grid.cells import build_grid
from hygro.physics.moist_air import relative_humidity
from hygro.solve.march import march
from hygro.solve.settings import ACCURACIES, Span

ROOT = Path(__file__).parents[1]
REPEATS = 3


def timed(model, scale, years, accuracy="standard", near_faces=False, repeats=REPEATS):
    """March whole years; return the grid, the best processor time and the last solution.

    The hourly history is of all nodes, or of two on either side of each interface, as results keep it.
    """
    grid = build_grid(model, scale)
    edges = tuple(YEAR * k for k in range(years + 1))
    seconds, watched = np.inf, np.arange(grid.nodes)
    if near_faces:
        outer = np.flatnonzero(np.diff(grid.layer))
        watched = np.unique([outer - 1, outer, outer + 1, outer + 2])
    for _ in range(repeats):
        began = time.process_time()
        solution = march(model, grid, Span(edges, YEAR), ACCURACIES[accuracy], watched)
        seconds = min(seconds, time.process_time() - began)
    return grid, seconds, solution


def growth():
    """Tabulate time over cells and over years."""
    model = model_of(*next(iter(WALLS.values())))
    timed(model, 1.0, 1)
    rows, fitted = [], []
    for accuracy in ACCURACIES:
        for scale, years in ((2.0, 1), (1.0, 1), (0.5, 1), (0.25, 1), (1.0, 4)):
            grid, seconds, solution = timed(model, scale, years, accuracy)
            each = 1e6 * seconds / (grid.nodes * years * YEAR)
            rows.append(
                (accuracy, scale, grid.nodes - 2, years, f"{seconds:.3f}", f"{each:.2f}", f"{solution.steps}")
            )
        sizes, times = zip(*((row[2], float(row[4])) for row in rows[-5:-1]), strict=True)
        cells = np.polyfit(np.log(sizes), np.log(times), 1)[0]
        years = np.log(float(rows[-1][4]) / float(rows[-4][4])) / np.log(rows[-1][3])
        fitted.append(f"{accuracy}: cells^{cells:.2f}, years^{years:.2f}")
    columns = ("accuracy", "grid scale", "cells", "years", "time, s", "µs per node and hour", "steps")
    return table(columns, rows) + "\n\nTime goes with " + "; ".join(fitted) + "."


def interfaces(model, scale, years=3):
    """Yearly mean humidity at every interface in the last year, and what is needed to name them."""
    grid = build_grid(model, scale)
    outer = np.flatnonzero(np.diff(grid.layer))
    watched = np.unique(np.concatenate([outer, outer + 1]))
    edges = tuple(YEAR * k for k in range(years + 1))
    solution = march(model, grid, Span(edges, YEAR), ACCURACIES["reference"], watched)
    t, x = solution.temperature[-YEAR:], solution.log_suction[-YEAR:]
    phi = [
        relative_humidity(10.0 ** (0.5 * (x[:, a] + x[:, b])), 0.5 * (t[:, a] + t[:, b]))
        for a, b in zip(np.searchsorted(watched, outer), np.searchsorted(watched, outer + 1), strict=True)
    ]
    names = [f"{a.name} / {b.name}" for a, b in zip(model.layers[:-1], model.layers[1:], strict=True)]
    return grid.nodes - 2, dict(zip(names, np.mean(phi, axis=1), strict=True))


def convergence():
    """Tabulate the yearly mean humidity of interfaces for three grids."""
    rows = []
    for name, place in WALLS.items():
        model = model_of(*place)
        found = {scale: interfaces(model, scale) for scale in (2.0, 1.0, 0.5, 0.25)}
        for label in found[1.0][1]:
            shown = [f"{100 * values[label]:.3f}" for _, values in found.values()]
            rows.append((name, label, *shown))
        rows.append((name, "cells", *(cells for cells, _ in found.values())))
    heads = (
        "wall",
        "interface, mean φ of the third year in %",
        "scale 2",
        "scale 1",
        "scale 0.5",
        "scale 0.25",
    )
    return table(heads, rows)


def _child(code, **environment):
    """Run a fresh interpreter; return its processor time [s] and peak memory [MB]."""
    began = resource.getrusage(resource.RUSAGE_CHILDREN)
    # Not getrusage: its maximum survives from the process that started this one.
    script = f"{code}\nprint([x.split()[1] for x in open('/proc/self/status') if x.startswith('VmHWM')][0])"
    done = subprocess.run(
        [sys.executable, "-c", script],
        env={**os.environ, "PYTHONPATH": str(ROOT), **environment},
        capture_output=True,
        text=True,
        check=True,
        cwd=ROOT,
    )
    ended = resource.getrusage(resource.RUSAGE_CHILDREN)
    seconds = ended.ru_utime + ended.ru_stime - began.ru_utime - began.ru_stime
    return seconds, int(done.stdout.split()[-1]) / 1024.0


SIMULATE = """
from hygro.case import load_case
from hygro.results.simulate import simulate
case = load_case("cases/first-look.toml")
simulate(case, case.variants()[-1])
"""

HELP = """
import sys
from hygro.cli.main import main
sys.argv = ["hygro", "--help"]
try:
    main()
except SystemExit:
    pass
"""


def starts():
    """Tabulate processor time and peak memory of fresh processes."""
    rows = []
    with tempfile.TemporaryDirectory() as cache:
        for label, code in (
            ("an empty interpreter", ""),
            ("`hygro --help`", HELP),
            ("first simulation of two years, compiling", SIMULATE),
            ("the same, compiled before", SIMULATE),
        ):
            repeats = 1 if "compiling" in label else REPEATS
            runs = [_child(code, NUMBA_CACHE_DIR=cache) for _ in range(repeats)]
            rows.append((label, f"{min(r[0] for r in runs):.2f}", f"{max(r[1] for r in runs):.0f}"))
    return table(("process", "processor time, s", "peak memory, MB"), rows)
