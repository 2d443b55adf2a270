"""March a wall through its climate: in portions, with a checkpoint, until a year repeats the last."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import FunctionType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from hygro.grid.cells import Grid, IntArray
from hygro.materials.tables import LOG_SUCTION_LOW
from hygro.model.wall import WallModel
from hygro.physics.moist_air import relative_humidity
from hygro.physics.typing import FloatArray
from hygro.solve import layout
from hygro.solve.balance import contents, ice_at, water_at
from hygro.solve.binding import cpu_march
from hygro.solve.checkpoint import Arrays, Checkpoint
from hygro.solve.failure import explain
from hygro.solve.packing import (
    FREE_SATURATION,
    SourceArrays,
    air_array,
    boundary_array,
    exponential_array,
    method_array,
    opening_array,
    reference_array,
    settings_array,
    source_arrays,
    table_array,
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
    checkpoint: Checkpoint | None = None,
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
    checkpoint : Checkpoint, optional
        Where to go on from if it holds a state of this march, and where to keep one now and then. Where a
        march was stopped makes no difference to its numbers.

    Returns
    -------
    Solution
        With `failure` filled where the march could not go on; what came before is kept.
    """
    settings = settings or Settings()
    run = Run.start(model, grid, span, settings, np.arange(grid.nodes) if watched is None else watched)
    if checkpoint is not None and (kept := checkpoint.load()) is not None:
        run.resume(kept)
    steady = 0
    for end in span.edges[len(run.marks) :]:
        run.until(end, progress, checkpoint)
        run.mark()
        if span.steady_tolerance is not None and run.repeats(span.steady_tolerance):
            steady = len(run.marks) - 1
        if steady or run.failure:
            break
    return run.solution(steady)


def initial_state(model: WallModel, grid: Grid) -> tuple[FloatArray, FloatArray]:
    """Return temperature [K] and log10 of suction [Pa] of the nodes at the start of a model."""
    temperature = np.array([layer.initial_temperature for layer in model.layers])[grid.layer]
    suction = np.array([layer.initial_suction for layer in model.layers])[grid.layer]
    return temperature, np.log10(np.maximum(suction, 10.0**LOG_SUCTION_LOW))


_READY: set[bool] = set()
"""Whether this process has compiled the kernels without and with ice."""

_STATE = ("temperature", "log_suction", "work", "edges", "given", "control", "counters")
"""Arrays of a run that the kernel carries from one portion to the next."""


def _joined(parts: list[FloatArray], shape: tuple[int, ...]) -> FloatArray:
    """Put hourly records together; one alone is not copied."""
    filled = [part for part in parts if len(part)]
    return filled[0] if len(filled) == 1 else np.concatenate([np.empty((0, *shape)), *filled])


@dataclass
class Run:
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
    sources: SourceArrays
    reference: FloatArray
    temperature: FloatArray
    log_suction: FloatArray
    work: FloatArray
    edges: FloatArray
    given: FloatArray
    control: FloatArray
    counters: IntArray
    histories: list[FloatArray]
    snapshots: list[tuple[FloatArray, FloatArray]]
    flows: list[FloatArray]
    marks: list[tuple[int, float, float]] = field(default_factory=list)
    done: int = 0
    failure: str = ""
    seconds: float = 0.0
    compile_seconds: float = 0.0

    @classmethod
    def start(
        cls,
        model: WallModel,
        grid: Grid,
        span: Span,
        settings: Settings,
        watched: IntArray,
        state: tuple[FloatArray, FloatArray] | None = None,
    ) -> Run:
        """Set the initial state, the model's own unless given [K], [log10 Pa], and the stored contents."""
        temperature, log_suction = initial_state(model, grid) if state is None else state
        temperature, log_suction = temperature.copy(), log_suction.copy()
        work = np.zeros((grid.nodes, layout.WORK_COLUMNS))
        control = np.zeros(layout.CONTROL)
        control[layout.K_CURVATURE] = 1.0
        control[layout.K_STEP] = 60.0  # the first hour starts from a state that knows nothing of the climate
        sources = source_arrays(model, grid)
        run = cls(
            model, grid, span, settings, watched, boundary_array(model.external),
            boundary_array(model.internal), settings_array(settings, span.edges[-1], span.record_hours),
            air_array(model.physics), sources, reference_array(grid), temperature, log_suction, work,
            np.zeros((2, layout.EDGE_COLUMNS)), np.zeros((len(sources[1]), layout.GIVEN_COLUMNS)), control,
            np.zeros(layout.COUNTERS, dtype=np.int64), [],
            [(temperature.copy()[None], log_suction.copy()[None])], [],
        )  # fmt: skip
        work[:, layout.OLD_W], work[:, layout.OLD_H] = run.node_contents()
        run.mark()
        return run

    def node_contents(self) -> tuple[FloatArray, FloatArray]:
        """Water and heat of each node in the present state [kg/m2], [J/m2]."""
        grid, size = self.grid, self.grid.size
        ice: FloatArray | float = 0.0
        if self.model.physics.ice:
            ice = ice_at(grid, self.temperature, self.log_suction) * size
        return contents(grid, self.temperature, water_at(grid, self.log_suction) * size, ice)

    def contents(self) -> tuple[float, float]:
        """Water and heat stored in the present state [kg/m2], [J/m2]."""
        water, heat = self.node_contents()
        return float(water.sum()), float(heat.sum())

    def mark(self) -> None:
        """Note hour and contents where a year ends; a year without an hour is none."""
        if not self.marks or self.done > self.marks[-1][0]:
            self.marks.append((self.done, *self.contents()))

    def until(self, end: int, progress: Progress | None = None, checkpoint: Checkpoint | None = None) -> None:
        """March to an hour, portion by portion; on failure keep what came before."""
        begun, hours = self.done, max(end - self.done, 0)
        # One array for all portions: nothing is copied at the end of a march of one year.
        history = np.empty((hours, len(self.watched), 2))
        flows = np.empty((hours, layout.FLUX_COLUMNS))
        self.histories.append(history[:0])
        self.flows.append(flows[:0])
        while self.done < end and not self.failure:
            here = self.done - begun
            # Portions end at the end of the record, where the climate starts again.
            left = self.span.record_hours - self.done % self.span.record_hours
            began, compiling = time.perf_counter(), self.compile_seconds
            self._portion(min(PORTION, end - self.done, left), history[here:], flows[here:])
            self.histories[-1], self.flows[-1] = history[: self.done - begun], flows[: self.done - begun]
            self.seconds += time.perf_counter() - began - (self.compile_seconds - compiling)
            if checkpoint is not None and not self.failure:
                checkpoint.save_if_due(self.state)
            if progress is not None:
                progress(self.done, self.span.edges[-1])

    def state(self) -> Arrays:
        """Return all that the march knows between two portions, as arrays."""
        field_t, field_x = self.profiles()
        return {
            **{name: getattr(self, name).copy() for name in _STATE},
            "history": self.history(),
            "field_t": field_t,
            "field_x": field_x,
            "flows": self.hourly_flows(),
            "marks": np.array(self.marks),
            "done": np.array(self.done),
            "seconds": np.array([self.seconds, self.compile_seconds]),
        }

    def resume(self, state: Mapping[str, NDArray[Any]]) -> None:
        """Go back to what `state` returned, in a run that was started with the same arguments."""
        for name in _STATE:
            getattr(self, name)[...] = state[name]
        self.histories = [state["history"]]
        self.snapshots = [(state["field_t"], state["field_x"])]
        self.flows = [state["flows"]]
        self.marks = [(int(hour), float(water), float(heat)) for hour, water, heat in state["marks"]]
        self.done = int(state["done"])
        self.seconds, self.compile_seconds = (float(value) for value in state["seconds"])

    def forget_pass(self) -> None:
        """Drop the first pass through the record, so that hours count from where the second began."""
        period = self.span.record_hours
        rows = period // self.settings.field_every  # divides the record, as `repeats` needs as well
        field_t, field_x = self.profiles()
        self.histories = [self.history()[period:]]
        self.snapshots = [(field_t[rows:], field_x[rows:])]
        self.flows = [self.hourly_flows()[period:]]
        self.marks = [(hour - period, water, heat) for hour, water, heat in self.marks if hour >= period]
        self.done -= period

    def _portion(self, hours: int, history: FloatArray, flows: FloatArray) -> None:
        every = self.settings.field_every
        first = self.done % self.span.record_hours
        # Snapshots fall on multiples of their interval since the start.
        rows = (self.done + hours) // every - self.done // every
        field_t = np.empty((rows, self.grid.nodes))
        field_x = np.empty((rows, self.grid.nodes))
        status = self._call(first, hours, history, field_t, field_x, flows)
        finished = hours
        if status != layout.DONE:
            finished = int(self.counters[layout.C_HOUR])
            hour = self.done + finished
            self.failure = explain(
                self.model, self.grid, status, (hour, hour % self.span.record_hours), self.temperature,
                self.log_suction, self.control, self.counters,
            )  # fmt: skip
        kept = (self.done + finished) // every - self.done // every
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
        ready = isinstance(compiled, FunctionType) or self.model.physics.ice in _READY
        self.counters[layout.C_HOUR] = 0
        hourly = slice(first, first + hours)
        sources = (*self.sources[:4], self.sources[4][hourly], self.given)
        arguments = (
            grid.size, table_array(grid), grid.film, opening_array(grid), grid.contact, grid.heat_capacity,
            grid.tables, grid.film_s_d, self.air, exponential_array(),
            True if self.model.physics.ice else None, sources, self.reference, self.outside[hourly],
            self.inside[hourly], self.model.external.kind == "fixed", self.model.internal.kind == "fixed",
            (method_array(self.settings.solves), method_array(1)), self.packed,
        )  # fmt: skip
        state = (
            self.temperature, self.log_suction, self.work, self.edges,
            np.zeros(layout.FLUX_COLUMNS), self.control, self.watched, history, self.done,
            self.settings.field_every, field_t, field_x, flows, self.counters,
        )  # fmt: skip
        if not ready:  # compile (or load) on an empty range, so that the time is known apart
            compiled(*arguments, 0, 0, *state)
            self.compile_seconds += time.perf_counter() - began
            _READY.add(self.model.physics.ice)
        return int(compiled(*arguments, 0, hours, *state))

    def repeats(self, tolerance: float) -> bool:
        """Tell whether the snapshots of the last pass through the record equal those of the pass before."""
        period = self.span.record_hours
        if self.done % period or self.done < 2 * period or self.failure:
            return False
        every = self.settings.field_every
        if period % every:  # snapshots of two passes fall on different hours
            return False
        count = period // every
        t, x = self.profiles()
        humidity = relative_humidity(10.0**x, t)
        share = water_at(self.grid, x) / self.grid.tables[self.grid.table, FREE_SATURATION, 0]
        last, before = slice(-count, None), slice(-2 * count, -count)
        change = max(
            np.abs(humidity[last] - humidity[before]).max(), np.abs(share[last] - share[before]).max()
        )
        return bool(change <= tolerance)

    def history(self) -> FloatArray:
        """Return the state of the watched nodes at the end of each hour, shape (hours, watched, 2)."""
        return _joined(self.histories, (len(self.watched), 2))

    def profiles(self) -> tuple[FloatArray, FloatArray]:
        """Return the snapshots of temperature and log suction, shape (snapshots, nodes)."""
        temperature, log_suction = (np.concatenate(parts) for parts in zip(*self.snapshots, strict=True))
        return temperature, log_suction

    def hourly_flows(self) -> FloatArray:
        """Return the sums of each hour, shape (hours, FLUX_COLUMNS)."""
        return _joined(self.flows, (layout.FLUX_COLUMNS,))

    def solution(self, steady: int) -> Solution:
        """Put the portions together."""
        history = self.history()
        field_t, field_x = self.profiles()
        hours, water, heat = zip(*self.marks, strict=True)
        return Solution(
            grid=self.grid,
            watched=self.watched,
            temperature=history[:, :, 0],
            log_suction=history[:, :, 1],
            field_hours=np.arange(len(field_t)) * self.settings.field_every,
            field_temperature=field_t,
            field_log_suction=field_x,
            flows=self.hourly_flows(),
            year_edges=np.array(hours),
            water=np.array(water),
            heat=np.array(heat),
            steady_year=steady,
            steps=int(self.counters[layout.C_STEPS]),
            rejected=int(self.counters[layout.C_REJECTED] + self.counters[layout.C_FAILED]),
            sweeps=int(self.counters[layout.C_SWEEPS]),
            wall_seconds=self.seconds,
            compile_seconds=self.compile_seconds,
            failure=self.failure,
        )
