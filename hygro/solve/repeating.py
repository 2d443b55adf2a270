"""Find the year that repeats for ever, with fewer years than it takes a wall to forget its start.

First on a coarse grid at draft accuracy, where a year costs a fifth: it is marched and moved ahead by
extrapolation until it repeats itself. From there on the grid and at the accuracy asked for: two years
without a break, of which the second must repeat the first, or else the state is moved ahead once more, with
what the coarse years and the fine ones say about where it leads.

How far the last year is from the one that repeats for ever is estimated from its own change and from the
contraction of the slowest disturbance: if a year leaves the factor rho, a change c leaves c rho / (1 - rho)
to come. A wall that creeps by little every year is far from its goal, and is not taken for one that repeats.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from hygro.grid.cells import Grid, IntArray, build_grid
from hygro.model.wall import WallModel
from hygro.physics.moist_air import relative_humidity
from hygro.physics.typing import FloatArray
from hygro.solve import layout
from hygro.solve.checkpoint import Arrays, Checkpoint
from hygro.solve.march import Progress, Run, initial_state, march
from hygro.solve.settings import ACCURACIES, Approach, Settings, Solution, Span
from hygro.solve.yearly_map import State, Years, difference

COARSENING = 4.0
"""Cells of the coarse grid over those asked for. At 2 a coarse year takes half as long again, and the slow
walls need nearly as many fine years."""

MOST_COARSE = 30
"""Coarse years after which the search ends; together they take as long as six on the grid asked for."""

COARSE_SHARE = 0.5
"""Part of the tolerance that may be left to the coarse repeating year: it is itself off by more than that."""

FINE_SHARE = 0.02
"""Part of the tolerance that may be left to the repeating year. Where a wetting front or the edge of
condensate passes, a difference between two years was seen to grow tenfold within the year, for a day."""

SLOW = 0.15
"""Contraction above which it is faster to extrapolate than to march on."""

UNTOLD = 0.9
"""Contraction that is assumed as long as none was measured: errors count ten times. Of all walls tried, only
those sealed on both sides are slower."""

NIL = 1e-7
"""Change of a year below which its contraction need not be known; nor would such changes tell it."""

SUSPICIOUS = 3
"""Years in a row in which a layer's gain must lead beyond its pores before it is taken to gather water."""

COARSE_PAIRS, FINE_PAIRS, CARRIED_PAIRS = 2, 4, 3
"""Changes used by the extrapolation; more were no faster."""


def march_repeating(
    model: WallModel,
    grid: Grid,
    span: Span,
    settings: Settings | None = None,
    watched: IntArray | None = None,
    progress: Progress | None = None,
    checkpoint: Checkpoint | None = None,
    scale: float = 1.0,
) -> Solution:
    """Find the year that repeats for ever, and march it.

    Parameters
    ----------
    model, grid, settings, watched, progress, checkpoint
        As for `hygro.solve.march.march`; `field_every` of the settings must divide the record.
    span : Span
        Its edges are the most years on the grid asked for, at least two passes through the record, and what
        is marched from the initial moisture where there is no repeating year within reach; its tolerance is
        the change that counts as none.
    scale : float
        The scale that `grid` was built with.

    Returns
    -------
    Solution
        Two passes through the record, marched without a break, of which the second repeats itself;
        `steady_year` is its first year. Or, with `approach.found` False, the march from the initial moisture.
    """
    settings = settings or Settings()
    watched = np.arange(grid.nodes) if watched is None else watched
    search = _Search(model, grid, span, settings, watched, progress, _Journal(checkpoint))
    coarse = search.coarse_years(build_grid(model, COARSENING * scale))
    run = None if search.reason else search.fine_years(coarse)
    if run is not None:
        solution = run.solution(0)
        solution = replace(solution, steady_year=(len(solution.year_edges) - 1) // 2 + 1)
    else:
        plain = None if checkpoint is None else checkpoint.sibling("march")
        solution = march(
            model, grid, replace(span, steady_tolerance=None), settings, watched, progress, plain
        )
        search.runs.append(None)
        if plain is not None:
            plain.remove()
    return search.accounted(solution, run)


@dataclass
class _Journal:
    """Every year that was marched, in order, so that a search which was stopped can be told again."""

    checkpoint: Checkpoint | None
    years: list[Arrays] = field(default_factory=list)
    told: int = 0

    def __post_init__(self) -> None:
        kept = None if self.checkpoint is None else self.checkpoint.load()
        found: dict[int, Arrays] = {}
        for name, array in (kept or {}).items():
            number, _, key = name.partition("/")
            found.setdefault(int(number), {})[key] = array
        self.years = [found[number] for number in sorted(found)]

    def year(self, run: Run, edges: list[int], progress: Progress | None) -> None:
        """March a pass through the record, or take it from what was kept."""
        if self.told < len(self.years):
            run.resume(self.years[self.told])
        else:
            for end in edges:
                run.until(end, progress)
                run.mark()
            if self.checkpoint is not None and not run.failure:
                self.years.append(run.state())
                self.checkpoint.save_if_due(self._flat)
        self.told += 1

    def _flat(self) -> dict[str, NDArray[Any]]:
        return {f"{k}/{key}": array for k, year in enumerate(self.years) for key, array in year.items()}


@dataclass
class _Search:
    """The search on both grids, and what it has found so far."""

    model: WallModel
    grid: Grid
    span: Span
    settings: Settings
    watched: IntArray
    progress: Progress | None
    journal: _Journal
    runs: list[Run | None] = field(default_factory=list)
    passes: int = 0
    coarse_passes: int = 0
    extrapolations: int = 0
    contraction: float = UNTOLD
    change: float = np.inf
    remaining: float = np.inf
    reason: str = ""

    @property
    def period(self) -> int:
        """Hours of the record."""
        return self.span.record_hours

    @property
    def most(self) -> int:
        """Passes through the record allowed on the grid asked for."""
        return max(2, self.span.edges[-1] // self.period)

    @property
    def tolerance(self) -> float:
        """Change that counts as none [1]."""
        return self.span.steady_tolerance or 0.0

    def coarse_years(self, grid: Grid) -> Years:
        """March and extrapolate on the coarse grid until a year repeats itself."""
        years = Years(grid)
        settings = replace(ACCURACIES["draft"], field_every=self.period)
        state: State = initial_state(self.model, grid)
        nowhere = np.empty(0, dtype=np.int64)
        filling, measured = 0, UNTOLD
        while len(years.ends) < MOST_COARSE:
            run = self._started(grid, settings, nowhere, state)
            self._pass(run, coarse=True)
            if run.failure:  # too coarse for this wall: the fine grid starts from the initial moisture
                return Years(grid)
            years.add(state, (run.temperature.copy(), run.log_suction.copy()))
            self.change = years.change()
            told = len(years.ends) > 2
            # A leap that happens to land well says little of what lasts: the last but one counts as well.
            before, measured = measured, years.contraction(first=1) if told else UNTOLD
            self.contraction = max(measured, before if before < UNTOLD else 0.0)
            over = years.overfilling(first=1)
            filling = filling + 1 if over else 0
            if over and filling == SUSPICIOUS:
                self.reason = self._gathers(*over)
                return years
            if told or self.change <= NIL:
                self.remaining = left(self.change, self.contraction)
                if self.remaining <= COARSE_SHARE * self.tolerance:
                    return years
            state = years.ends[-1]
            if told and not over:
                state = years.extrapolated(years.pairs(first=1)[:COARSE_PAIRS])
                self.extrapolations += 1
        self.reason = f"after {MOST_COARSE} years on the coarse grid {self._still()}"
        return years

    def fine_years(self, coarse: Years) -> Run | None:
        """March pairs of years on the grid asked for until the second repeats the first."""
        years = Years(self.grid)
        slow = SLOW < self.contraction != UNTOLD
        carried = coarse.carried_to(self.grid, max(1, len(coarse.ends) - CARRIED_PAIRS - 1))
        pairs = carried.pairs()[:CARRIED_PAIRS] if slow else []
        state = carried.ends[-1] if carried.ends else initial_state(self.model, self.grid)
        run = self._started(self.grid, self.settings, self.watched, state)
        before, seen, goal = np.inf, 0.0, FINE_SHARE * self.tolerance
        while self.passes < self.most:
            self._pass(run)
            if run.failure:
                self.reason = f"the march stopped ({run.failure})"
                return None
            years.add(state, (run.temperature.copy(), run.log_suction.copy()))
            state, self.change = years.ends[-1], years.change()
            # Changes below the goal are no measure of each other: the last factor of larger ones goes on.
            seen = self.change / before if before > goal else min(seen, UNTOLD)
            factor = max(self.contraction, seen)
            self.remaining = left(self.change, factor)
            worth = factor * self.remaining <= goal  # what a second year would leave
            if run.done == 2 * self.period:
                self.remaining = max(self.remaining, self._later(run) * factor * left(1.0, factor))
                if self.remaining <= goal:
                    return run
                if not slow:
                    run.forget_pass()
            if slow and len(years.ends) > 1 and not (worth and run.done == self.period):
                state = years.extrapolated([*years.pairs(), *pairs][:FINE_PAIRS])
                self.extrapolations += 1
                run = self._started(self.grid, self.settings, self.watched, state)
            before = self.change
        self.reason = f"after {self.passes} years {self._still()}"
        return None

    def accounted(self, solution: Solution, run: Run | None) -> Solution:
        """Add what the search took and how it went."""
        approach = Approach(
            found=run is not None,
            coarse_years=self.coarse_passes,
            years=self.passes,
            extrapolations=self.extrapolations,
            contraction=self.contraction,
            change=self.change,
            remaining=self.remaining,
            reason=self.reason,
        )
        others = [other for other in self.runs if other is not None and other is not run]
        counts = np.array([other.counters for other in others]).reshape(-1, layout.COUNTERS).sum(axis=0)
        return replace(
            solution,
            approach=approach,
            steps=solution.steps + int(counts[layout.C_STEPS]),
            rejected=solution.rejected + int(counts[layout.C_REJECTED] + counts[layout.C_FAILED]),
            sweeps=solution.sweeps + int(counts[layout.C_SWEEPS]),
            wall_seconds=solution.wall_seconds + sum(other.seconds for other in others),
            compile_seconds=solution.compile_seconds + sum(other.compile_seconds for other in others),
        )

    def _started(self, grid: Grid, settings: Settings, watched: IntArray, state: State) -> Run:
        span = replace(self.span, edges=(0, self.period))
        # Which nodes keep their linear model in which hour hangs on thresholds, and years that differ by next
        # to nothing err apart by more: where water gathers for decades, they would not come together.
        settings = replace(settings, fresh_every=1)
        run = Run.start(self.model, grid, span, settings, watched, state)
        self.runs.append(run)
        return run

    def _pass(self, run: Run, coarse: bool = False) -> None:
        """March a run once through the record, years marked as the span has them."""
        edges = [run.done + edge for edge in self.span.edges if 0 < edge <= self.period]
        passes, done = self.passes + self.coarse_passes, run.done

        def told(hours: int, _most: int) -> None:
            if self.progress is not None:
                so_far = passes * self.period + hours - done
                self.progress(so_far, max(so_far, (self.coarse_passes + self.most) * self.period))

        self.journal.year(run, edges, told)
        self.coarse_passes += coarse
        self.passes += not coarse

    def _later(self, run: Run) -> float:
        """Largest difference between the two passes of a run in the second half of the record.

        By then what a change of grid or an extrapolation has stirred up is gone, and what is left is slow.
        """
        rows = self.period // self.settings.field_every
        t, x = run.profiles()
        half = rows // 2
        first, second = ((t[k : k + rows + 1], x[k : k + rows + 1]) for k in (0, rows))
        found = difference(self.grid, *((t[half:], x[half:]) for t, x in (first, second))).max()
        humidity: FloatArray = relative_humidity(10.0 ** run.history()[:, :, 1], run.history()[:, :, 0])
        half = self.period // 2
        hourly = np.abs(humidity[self.period + half :] - humidity[half : self.period])
        return float(max(found, hourly.max(initial=0.0)))

    def _gathers(self, layer: int, gain: float) -> str:
        return (
            f"layer '{self.model.layers[layer].name}' gains {gain:.3g} kg/m2 of water a year with no sign of "
            "levelling off before its pores are full"
        )

    def _still(self) -> str:
        return (
            f"a year still changed the wall by {100 * self.change:.2g} %RH, which may leave "
            f"{100 * self.remaining:.2g} %RH to the year that repeats for ever"
        )


def left(change: float, factor: float) -> float:
    """Distance to the repeating year at the begin of a year that changed so much: the geometric series.

    Parameters
    ----------
    change : float
        Difference between its start and its end [1].
    factor : float
        What a year leaves of a change [1].

    Returns
    -------
    float
        Infinite where nothing gets less.
    """
    return change / (1.0 - factor) if factor < 1.0 else np.inf
