"""Work against precision: hygro, CVODE, and the solvers of scipy on the same cells in the same hours.

The error is taken against CVODE at a tolerance of 1e-8 with the second set of equations. All solvers start
from the same settled state; times are processor times of one process, the best of several runs.
"""

import time
from dataclasses import dataclass

import numpy as np
from scipy.integrate import odeint, solve_ivp
from scipy.sparse import diags
from witness_scheme import COLUMNS, INSIDE, OUTSIDE, hourly, pack, rates

from benchmarks.sundials import Cvode
from benchmarks.tables import table
from benchmarks.walls import WALLS, run_from, settled
from hygro.physics.moist_air import relative_humidity
from hygro.solve.settings import ACCURACIES, Settings

AIR_STEPS = 50  # nodes a kelvin in the table of saturation pressure, as many as hygro's
TARGETS = (2e-3, 5e-4, 5e-5)
LADDER = (
    Settings(tolerance=2.0, solves=2, rain_step=3600.0),
    Settings(tolerance=1.0, solves=2, rain_step=3600.0),
    Settings(tolerance=0.1),
    Settings(tolerance=0.03),
    Settings(tolerance=0.03, longest_step=1800.0),
    Settings(tolerance=0.01, longest_step=1800.0, rain_step=900.0),
    Settings(tolerance=0.01, longest_step=900.0, rain_step=600.0),
    Settings(tolerance=3e-3, longest_step=900.0, rain_step=450.0),
    Settings(tolerance=1e-3, longest_step=600.0, rain_step=300.0),
    Settings(tolerance=1e-4, longest_step=300.0, rain_step=100.0),
    Settings(tolerance=1e-5, longest_step=100.0, shortest_step=0.1, rain_step=50.0),
    Settings(tolerance=1e-6, longest_step=50.0, shortest_step=0.01, rain_step=20.0),
)
CVODE_LADDER = (3e-2, 1e-2, 3e-3, 1e-3, 3e-4, 1e-4, 1e-5, 1e-6)
LSODA_LADDER = (1.0, 1e-1, 1e-2, 1e-3, 1e-4, 1e-5)
BDF_LADDER = (3e-2, 1e-3, 1e-4)
BDF_DAYS = 5


@dataclass
class Point:
    """One measurement."""

    solver: str
    setting: str
    seconds: float
    rms: float
    interface: float


@dataclass
class Problem:
    """A wall as arrays of the second set of equations, and the reference."""

    start: object
    wall: np.ndarray
    y: np.ndarray
    outside: np.ndarray
    inside: np.ndarray
    reference: np.ndarray = None

    @classmethod
    def of(cls, name, scale=1.0):
        start = settled(name, scale)
        y = np.stack([start.temperature[1:-1], start.log_suction[1:-1]], axis=1).ravel()
        problem = cls(
            start,
            pack(start.grid, start.model.physics, AIR_STEPS),
            y,
            hourly(start.model.external),
            hourly(start.model.internal),
        )
        problem.reference = humidity(Cvode(problem.wall, y, 1e-8).march(problem.outside, problem.inside))
        return problem

    def point(self, solver, setting, seconds, phi):
        """Compare humidity (hours, cells) with the reference."""
        error = phi - self.reference[: len(phi)]
        at = np.flatnonzero(np.diff(self.start.grid.layer[1:-1]))
        faces = 0.5 * np.abs(error[:, at] + error[:, at + 1])
        return Point(solver, setting, seconds, float(np.sqrt((error**2).mean())), float(faces.max()))


def humidity(states):
    """Relative humidity of states (hours, 2 * cells)."""
    return relative_humidity(10.0 ** states[:, 1::2], states[:, ::2])


def best(action, repeats):
    """Return the shortest processor time of several runs, and what the last returned."""
    seconds = np.inf
    for _ in range(repeats):
        began = time.process_time()
        result = action()
        seconds = min(seconds, time.process_time() - began)
    return seconds, result


def hygro_point(problem, label, settings, repeats=5):
    """Measure hygro."""

    def go(run):
        run.until(problem.start.hours, None)
        if run.failure:
            raise RuntimeError(run.failure)

    seconds = np.inf
    for _ in range(repeats):
        run = run_from(problem.start, settings)
        seconds = min(seconds, best(lambda run=run: go(run), 1)[0])
    history = np.concatenate(run.histories)[:, 1:-1]
    return problem.point(
        "hygro", label, seconds, relative_humidity(10.0 ** history[:, :, 1], history[:, :, 0])
    )


def cvode_point(problem, tolerance, repeats=3):
    """Measure CVODE without Python in its loop; where it gives up, say so."""
    try:
        seconds, states = best(
            lambda: Cvode(problem.wall, problem.y, tolerance).march(problem.outside, problem.inside), repeats
        )
    except RuntimeError:
        return Point("CVODE", f"{tolerance:g}", np.nan, np.nan, np.nan)
    return problem.point("CVODE", f"{tolerance:g}", seconds, humidity(states))


def call_overhead(n):
    """Processor time that a call of a compiled function from Python costs on top of its work [s]."""
    import numba

    @numba.njit
    def nothing(wall, y, dy):
        return None

    y = np.zeros(n)
    dy = np.zeros(n)
    nothing(y, y, dy)

    def function(t, state):
        out = np.empty(n)
        nothing(y, state, out)
        return out

    return best(lambda: [function(0.0, y) for _ in range(20_000)], 3)[0] / 20_000


def scipy_points(problem):
    """Measure LSODA and BDF of scipy; the cost of calling back into Python is taken off."""
    calls = [0]
    wall = problem.wall.copy()
    n = len(problem.y)
    overhead = call_overhead(n)
    weights = np.tile([20.0, 1.0], n // 2)
    sparsity = diags([np.ones(n)] * 7, range(-3, 4), shape=(n, n))

    def function(t, y):
        calls[0] += 1
        out = np.empty(n)
        rates(wall, y, out)
        return out

    def lsoda(y, tolerance):
        return odeint(
            function, y, [0.0, 3600.0], tfirst=True, ml=3, mu=3, rtol=1e-14, atol=tolerance * weights,
            mxstep=1_000_000, tcrit=[3600.0],
        )[-1]  # fmt: skip

    def bdf(y, tolerance):
        done = solve_ivp(
            function, (0.0, 3600.0), y, "BDF", rtol=1e-13, atol=tolerance * weights, jac_sparsity=sparsity
        )
        return done.y[:, -1]

    def march(step, tolerance, hours):
        y = problem.y
        states = np.empty((hours, n))
        for hour in range(hours):
            wall[OUTSIDE : OUTSIDE + COLUMNS] = problem.outside[hour]
            wall[INSIDE : INSIDE + COLUMNS] = problem.inside[hour]
            y = step(y, tolerance)
            states[hour] = y
        return states

    total = len(problem.outside)
    plans = [("LSODA", lsoda, t, total) for t in LSODA_LADDER]
    plans += [("BDF", bdf, t, 24 * BDF_DAYS) for t in BDF_LADDER]
    points = []
    for solver, step, tolerance, hours in plans:
        calls[0] = 0
        seconds, states = best(lambda s=step, t=tolerance, h=hours: march(s, t, h), 1)
        seconds = (seconds - overhead * calls[0]) * total / hours
        points.append(problem.point(solver, f"{tolerance:g}", seconds, humidity(states)))
    return points


def hygro_points(problem):
    """Measure hygro over its tolerances."""
    points = [hygro_point(problem, name, settings) for name, settings in ACCURACIES.items()]
    for settings in LADDER:
        label = f"{settings.tolerance:g}, {settings.longest_step:g} s"
        points.append(hygro_point(problem, label, settings, 3))
    return points


def time_at(points, target):
    """Return the least time that reaches an rms error, between the best measurements around it.

    Also returns whether even the fastest measurement is better than asked, so that the time is a bound.
    """
    front = []
    points = [p for p in points if np.isfinite(p.rms)]
    for point in sorted(points, key=lambda p: (p.seconds, p.rms)):
        if not front or point.rms < front[-1].rms:
            front.append(point)
    if not front or target < front[-1].rms:
        return float("nan"), False
    errors = np.log([p.rms for p in front])
    seconds = np.log([p.seconds for p in front])
    least = float(np.exp(np.interp(-np.log(target), -errors, seconds)))
    return least, bool(target > front[0].rms)


def measure(names=tuple(WALLS), with_scipy=True):
    """Measure all walls; return the points of each and the tables."""
    results, tables = {}, []
    for name in names:
        problem = Problem.of(name)
        points = hygro_points(problem) + [cvode_point(problem, t) for t in CVODE_LADDER]
        if with_scipy:
            points += scipy_points(problem)
        results[name] = points
        tables.append(report_wall(name, problem.start, points))
    return results, {"ratios": report_ratios(results), "precision": "\n\n".join(tables)}


def report_wall(name, start, points):
    """Write the table of one wall."""
    rain = start.model.external.rain.sum() * 3600.0
    rows = [
        (p.solver, p.setting, f"{p.seconds:.4f}", f"{p.rms:.1e}", f"{100 * p.interface:.3f}")
        if np.isfinite(p.rms)
        else (p.solver, p.setting, "stopped", "-", "-")
        for p in points
    ]
    size = f"{start.grid.nodes - 2} cells, {start.hours // 24} days, {rain:.0f} mm of rain on the wall"
    return f"**{name}**: {size}\n\n" + table(
        ("solver", "setting", "time, s", "rms error, 1", "interface maximum, %RH"), rows
    )


def report_ratios(results):
    """Write the times at equal error."""
    rows = []
    for name, points in results.items():
        kinds = {s: [p for p in points if p.solver == s] for s in ("hygro", "CVODE", "LSODA", "BDF")}
        for target in TARGETS:
            own, _ = time_at(kinds["hygro"], target)
            shown = []
            for solver in ("CVODE", "LSODA", "BDF"):
                other, bound = time_at(kinds[solver], target)
                ratio = "-" if np.isnan(other) else f"{other / own:.1f}"
                shown.append(("at most " if bound else "") + ratio)
            rows.append((name, f"{target:.0e}", f"{own:.3f}", *shown))
    columns = ("wall", "rms error", "hygro, s", "CVODE / hygro", "LSODA / hygro", "BDF / hygro")
    return table(columns, rows)
