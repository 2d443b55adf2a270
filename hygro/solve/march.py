"""March a wall through its climate: call the kernel in portions, watch for the steady year."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from hygro.grid.cells import Grid, IntArray
from hygro.materials.tables import LOG_SUCTION_LOW
from hygro.model.wall import WallModel
from hygro.physics.moist_air import relative_humidity
from hygro.physics.typing import FloatArray
from hygro.solve import layout
from hygro.solve.balance import contents, water_at
from hygro.solve.binding import cpu_march
from hygro.solve.packing import (
    FREE_SATURATION,
    air_array,
    boundary_array,
    exponential_array,
    method_array,
    opening_array,
    reference_array,
    settings_array,
)
from hygro.solve.settings import Settings, Solution, Span

PORTION = 730
"""Hours between two calls of the progress hook, about a month."""

Progress = Callable[[int, int], None]


def march(
    model: WallModel,
    grid: Grid,
    span: Span,
    settings: Settings | None = None,
    watched: IntArray | None = None,
    progress: Progress | None = None,
) -> Solution:
    """March a wall through its climate.

    Parameters
    ----------
    model : WallModel
        The wall and its climate.
    grid : Grid
        Its grid.
    span : Span
        How long.
    settings : Settings, optional
        How accurately.
    watched : int array, optional
        Nodes of the hourly history; all where omitted.
    progress : callable, optional
        Called with the hours done and the most hours to do.

    Returns
    -------
    Solution
        With `failure` filled where the march could not go on; what came before is kept.
    """
    settings = settings or Settings()
    run = _Run.start(model, grid, span, settings, np.arange(grid.nodes) if watched is None else watched)
    edges, water, heat = [0], [run.contents()[0]], [run.contents()[1]]
    steady = 0
    began = time.perf_counter()
    for end in span.edges[1:]:
        run.until(end, progress)
        stored = run.contents()
        edges.append(run.done)
        water.append(stored[0])
        heat.append(stored[1])
        if span.steady_tolerance is not None and run.repeats(span.steady_tolerance):
            steady = len(edges) - 1
        if steady or run.failure:
            break
    if edges[-1] == edges[-2]:  # failed within the first hour of a year
        edges, water, heat = edges[:-1], water[:-1], heat[:-1]
    seconds = time.perf_counter() - began - run.compile_seconds
    return run.solution(np.array(edges), np.array(water), np.array(heat), steady, seconds)


@dataclass
class _Run:
    """State of a march between two portions."""

    model: WallModel
    grid: Grid
    span: Span
    settings: Settings
    watched: IntArray
    outside: FloatArray
    inside: FloatArray
    packed: FloatArray
    air: FloatArray
    reference: FloatArray
    temperature: FloatArray
    log_suction: FloatArray
    work: FloatArray
    edges: FloatArray
    control: FloatArray
    counters: IntArray
    histories: list[FloatArray]
    snapshots: list[tuple[FloatArray, FloatArray]]
    flows: list[FloatArray]
    done: int = 0
    failure: str = ""
    compile_seconds: float = 0.0

    @classmethod
    def start(cls, model: WallModel, grid: Grid, span: Span, settings: Settings, watched: IntArray) -> _Run:
        """Set the initial state and the stored contents."""
        temperature = np.array([layer.initial_temperature for layer in model.layers])[grid.layer]
        suction = np.array([layer.initial_suction for layer in model.layers])[grid.layer]
        log_suction = np.log10(np.maximum(suction, 10.0**LOG_SUCTION_LOW))
        work = np.zeros((grid.nodes, layout.WORK_COLUMNS))
        control = np.zeros(layout.CONTROL)
        control[layout.K_CURVATURE] = 1.0
        control[layout.K_STEP] = 60.0  # the first hour starts from a state that knows nothing of the climate
        run = cls(
            model, grid, span, settings, watched, boundary_array(model.external),
            boundary_array(model.internal), settings_array(settings, span.edges[-1]),
            air_array(model.physics), reference_array(grid), temperature, log_suction, work,
            np.zeros((2, layout.EDGE_COLUMNS)), control,
            np.zeros(layout.COUNTERS, dtype=np.int64), [],
            [(temperature.copy()[None], log_suction.copy()[None])], [],
        )  # fmt: skip
        water = water_at(grid, log_suction) * grid.size
        work[:, layout.OLD_W], work[:, layout.OLD_H] = contents(grid, temperature, water)
        return run

    def contents(self) -> tuple[float, float]:
        """Water and heat stored in the present state [kg/m2], [J/m2]."""
        water, heat = contents(
            self.grid, self.temperature, water_at(self.grid, self.log_suction) * self.grid.size
        )
        return float(water.sum()), float(heat.sum())

    def until(self, end: int, progress: Progress | None) -> None:
        """March to an hour, portion by portion; on failure keep what came before."""
        while self.done < end and not self.failure:
            # Portions end at the end of the record, where the climate starts again.
            left = self.span.record_hours - self.done % self.span.record_hours
            self._portion(min(PORTION, end - self.done, left))
            if progress is not None:
                progress(self.done, self.span.edges[-1])

    def _portion(self, hours: int) -> None:
        every = self.settings.field_every
        first = self.done % self.span.record_hours
        # Snapshots fall on multiples of their interval since the start.
        rows = (self.done + hours) // every - self.done // every
        history = np.empty((hours, len(self.watched), 2))
        field_t = np.empty((rows, self.grid.nodes))
        field_x = np.empty((rows, self.grid.nodes))
        flows = np.empty((hours, layout.FLUX_COLUMNS))
        status = self._call(first, hours, history, field_t, field_x, flows)
        finished = hours
        if status != layout.DONE:
            finished = int(self.counters[layout.C_HOUR])
            self.failure = self._explain(status, self.done + finished)
        kept = (self.done + finished) // every - self.done // every
        self.histories.append(history[:finished])
        self.flows.append(flows[:finished])
        self.snapshots.append((field_t[:kept], field_x[:kept]))
        self.done += finished

    def _call(
        self,
        first: int,
        hours: int,
        history: FloatArray,
        field_t: FloatArray,
        field_x: FloatArray,
        flows: FloatArray,
    ) -> int:
        grid = self.grid
        compiled = cpu_march()
        began = time.perf_counter()
        ready = not hasattr(compiled, "signatures") or bool(compiled.signatures)
        self.counters[layout.C_HOUR] = 0
        arguments = (
            grid.size, grid.table, grid.film, opening_array(grid), grid.heat_capacity, grid.tables,
            grid.film_s_d, self.air, exponential_array(), self.reference, self.outside[first : first + hours],
            self.inside[first : first + hours], self.model.external.kind == "fixed",
            self.model.internal.kind == "fixed", (method_array(self.settings.solves), method_array(1)),
            self.packed,
        )  # fmt: skip
        state = (
            self.temperature, self.log_suction, self.work, self.edges,
            np.zeros(layout.FLUX_COLUMNS), self.control, self.watched, history, self.done,
            self.settings.field_every, field_t, field_x, flows, self.counters,
        )  # fmt: skip
        if not ready:  # compile (or load) on an empty range, so that the time is known apart
            compiled(*arguments, 0, 0, *state)
            self.compile_seconds += time.perf_counter() - began
        return int(compiled(*arguments, 0, hours, *state))

    def _explain(self, status: int, hour: int) -> str:
        node = int(self.counters[layout.C_WORST_NODE])
        layer = self.model.layers[self.grid.layer[node]]
        place = f"in layer '{layer.name}' ({layer.table.material}) at {1000 * self.grid.depth[node]:.2f} mm"
        reason = (
            "no step was short enough" if status == layout.STEP_TOO_SHORT else "too many steps were needed"
        )
        return f"hour {hour}: {reason} for the balance to close {place}"

    def repeats(self, tolerance: float) -> bool:
        """Tell whether the snapshots of the last pass through the record equal those of the pass before."""
        period = self.span.record_hours
        if self.done % period or self.done < 2 * period or self.failure:
            return False
        every = self.settings.field_every
        if period % every:  # snapshots of two passes fall on different hours
            return False
        count = period // every
        x = np.concatenate([part[1] for part in self.snapshots])
        t = np.concatenate([part[0] for part in self.snapshots])
        humidity = relative_humidity(10.0**x, t)
        share = water_at(self.grid, x) / self.grid.tables[self.grid.table, FREE_SATURATION, 0]
        last, before = slice(-count, None), slice(-2 * count, -count)
        change = max(
            np.abs(humidity[last] - humidity[before]).max(), np.abs(share[last] - share[before]).max()
        )
        return bool(change <= tolerance)

    def solution(
        self, edges: IntArray, water: FloatArray, heat: FloatArray, steady: int, seconds: float
    ) -> Solution:
        """Put the portions together."""
        history = np.concatenate(self.histories) if self.histories else np.empty((0, len(self.watched), 2))
        field_t = np.concatenate([part[0] for part in self.snapshots])
        return Solution(
            grid=self.grid,
            watched=self.watched,
            temperature=history[:, :, 0],
            log_suction=history[:, :, 1],
            field_hours=np.arange(len(field_t)) * self.settings.field_every,
            field_temperature=field_t,
            field_log_suction=np.concatenate([part[1] for part in self.snapshots]),
            flows=np.concatenate(self.flows) if self.flows else np.empty((0, layout.FLUX_COLUMNS)),
            year_edges=edges,
            water=water,
            heat=heat,
            steady_year=steady,
            steps=int(self.counters[layout.C_STEPS]),
            rejected=int(self.counters[layout.C_REJECTED] + self.counters[layout.C_FAILED]),
            sweeps=int(self.counters[layout.C_SWEEPS]),
            wall_seconds=seconds,
            compile_seconds=self.compile_seconds,
            failure=self.failure,
        )
