"""How accurately a march goes, and its outcome."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hygro.grid.cells import Grid, IntArray
from hygro.physics.typing import FloatArray


@dataclass(frozen=True)
class Settings:
    """Settings of a march.

    Parameters
    ----------
    tolerance : float
        Local error that one step may make in relative humidity [1]; in temperature 20 K times that, in water
        content that share of free saturation. The estimate is that of a method of first order and the error
        made is far smaller (docs/solver.md has the measured relation).
    solves : int
        Linear solves a step: 2 for a method of first order, 3 for one of second; both L-stable.
    longest_step, shortest_step : float
        Bounds of a step [s]; error control does not go below the shortest: what is faster is damped, not
        resolved.
    rain_step : float
        Longest first step of an hour in which rain falls on the wall, and of the hour after [s]: what a wall
        that fills, or a face that dries, within the hour takes up or gives off wrongly does not fade.
    fresh_every : int
        Hours after which the whole wall gets a new linear model, however little the state has left the old
        one: the largest number that divides both this and the length of the climate record.
    field_every : int
        Hours between two snapshots of the whole wall.
    balance_every : int
        Hours after which state and carried content are brought together; 0 for a month, or the record where
        that is no whole number of months.
    most_steps : int
        Steps within one hour after which the march gives up.
    """

    tolerance: float = 0.1
    solves: int = 3
    longest_step: float = 3600.0
    shortest_step: float = 1.0
    rain_step: float = 1800.0
    fresh_every: int = 120
    field_every: int = 24
    balance_every: int = 0
    most_steps: int = 20_000


ACCURACIES: dict[str, Settings] = {
    "draft": Settings(tolerance=0.3, solves=2, rain_step=3600.0),
    "standard": Settings(),
    "reference": Settings(tolerance=8e-5, longest_step=900.0, rain_step=300.0),
}
"""Settings by name; docs/solver.md has the measured error and time of each."""


@dataclass(frozen=True)
class Span:
    """How long to march.

    Parameters
    ----------
    edges : tuple of int
        Hours since the start at which years begin and the last one ends: 0, 8760, ...; with
        `steady_tolerance` the last is the most that is marched.
    record_hours : int
        Length of the climate record, which repeats.
    steady_tolerance : float or None
        Stop after the year whose snapshots repeat those of one record before within this change of relative
        humidity, and of water content as a share of free saturation [1]; None marches all hours.
    """

    edges: tuple[int, ...]
    record_hours: int
    steady_tolerance: float | None = None


@dataclass(frozen=True)
class Approach:
    """How a repeating year was looked for.

    Parameters
    ----------
    found : bool
        Whether there is one.
    coarse_years, years : int
        Passes through the record on the coarse grid at draft accuracy, and at the accuracy and on the grid
        asked for, those that are kept included.
    extrapolations : int
        How often the state was moved ahead to where the years seemed to lead.
    contraction : float
        What is left after a year of the change that lasts longest, as measured [1].
    change : float
        Difference between start and end of the last year: relative humidity of any node, or water of a layer
        as a share of free saturation [1].
    remaining : float
        Estimated distance of the last year from the one that repeats for ever [1], same measures.
    reason : str
        Why there is none; empty where found.
    """

    found: bool
    coarse_years: int
    years: int
    extrapolations: int
    contraction: float
    change: float
    remaining: float
    reason: str = ""

    def sentence(self) -> str:
        """Return how the result came about, in plain words."""
        effort = f"{self.coarse_years} years on a coarse grid and {self.years} on the grid asked for"
        if self.extrapolations:
            effort += f", {self.extrapolations} times moved ahead by extrapolation"
        if not self.found:
            return (
                f"no repeating year was found ({effort}): {self.reason}; the years kept are marched from the "
                "initial moisture"
            )
        return (
            f"repeating year found ({effort}); the last two, marched without a break, are kept: the second "
            f"ends {100 * self.change:.2g} %RH from where it began, which leaves about "
            f"{100 * self.remaining:.2g} %RH to the year that repeats for ever"
        )


@dataclass(frozen=True)
class Solution:
    """What a march leaves. H hours, K watched nodes, F snapshots, N nodes, Y years (the last may be short).

    Parameters
    ----------
    grid : Grid
        The grid.
    watched : int array, shape (K,)
        Nodes of the hourly history.
    temperature, log_suction : array, shape (H, K)
        State at the end of each hour [K], [log10 Pa].
    field_hours : int array, shape (F,)
        Hours since the start; 0 is the initial state.
    field_temperature, field_log_suction : array, shape (F, N)
        Snapshots.
    flows : array, shape (H, FLUX_COLUMNS)
        Sums over each hour, positive into the wall, columns as in `hygro.solve.layout` [J/m2], [kg/m2].
    year_edges : int array, shape (Y + 1,)
        Hours since the start.
    water, heat : array, shape (Y + 1,)
        Contents of the wall at the edges, from its state [kg/m2], [J/m2 above 0 degC].
    steady_year : int
        Number of the year (from 1) that repeats the one before, 0 for none.
    steps, rejected, sweeps : int
        Accepted steps, steps rejected by error control or by a failed iteration, Newton iterations.
    wall_seconds, compile_seconds : float
        Time taken [s].
    failure : str
        Empty, or why the march stopped early.
    approach : Approach or None
        How a repeating year was looked for; None where the march simply starts from the initial moisture.
    """

    grid: Grid
    watched: IntArray
    temperature: FloatArray
    log_suction: FloatArray
    field_hours: IntArray
    field_temperature: FloatArray
    field_log_suction: FloatArray
    flows: FloatArray
    year_edges: IntArray
    water: FloatArray
    heat: FloatArray
    steady_year: int
    steps: int
    rejected: int
    sweeps: int
    wall_seconds: float
    compile_seconds: float
    failure: str = ""
    approach: Approach | None = None

    @property
    def hours(self) -> int:
        """Hours marched."""
        return len(self.flows)

    def balance_errors(self) -> tuple[FloatArray, FloatArray]:
        """Relative error of the water and of the heat balance, year by year.

        Returns
        -------
        water, heat : array, shape (Y,)
            Change of the content from the state, less what crossed the two faces, over the sum of what
            crossed them in either direction hour by hour [1]; sources within the wall count as crossing.
        """
        from hygro.solve import layout

        errors = []
        for content, columns in (
            (self.water, [layout.F_WATER_EXT, layout.F_WATER_INT, layout.F_WATER_SOURCE]),
            (self.heat, [layout.F_HEAT_EXT, layout.F_HEAT_INT, layout.F_HEAT_SOURCE]),
        ):
            year = []
            for a, b, first, last in zip(
                self.year_edges[:-1], self.year_edges[1:], content[:-1], content[1:], strict=True
            ):
                crossed = self.flows[a:b, columns]
                through = np.abs(crossed).sum()
                year.append((last - first - crossed.sum()) / through if through > 0 else 0.0)
            errors.append(np.array(year))
        return errors[0], errors[1]
