"""The map from the state at the begin of a year to that at its end: where repeating it leads.

A year takes a state s to F(s). The repeating year starts from the fixed point s = F(s). Near it F contracts
each kind of disturbance by a factor of its own: what crosses the wall is forgotten within weeks, what sits
behind a foil may keep nine tenths of itself for a year. Few are slow, so the last few years tell where the
sequence leads: Anderson's acceleration, the vector form of the secant method (Anderson 1965; Walker and Ni
2011; for extrapolation in general Sidi 2003).

Water content is what is extrapolated. It is what is stored, so slow changes are nearly linear in it and no
water is lost or made where the material has room; temperature is forgotten within weeks and taken as it is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from hygro.grid.cells import Grid
from hygro.physics.moist_air import relative_humidity
from hygro.physics.typing import FloatArray
from hygro.solve.balance import water_at
from hygro.solve.packing import FREE_SATURATION
from hygro.solve.regrid import carried, suction_of_water

State = tuple[FloatArray, FloatArray]
"""Temperature [K] and log10 of suction [Pa] of the nodes."""

Pair = tuple[FloatArray, FloatArray]
"""From one year to the next: change of the residual (weighed), change of the water at its end [kg/m3]."""

WORST_CONDITION = 100.0
"""Directions of change that are weaker than this share of the strongest are not told from noise."""

LEAP = 10.0
"""Years of the present change that are leapt over where changes do not get less, as in a wall that dries at
a constant rate, and a secant would lead backwards (projective integration, Gear and Kevrekidis 2003)."""

FARTHEST = 0.1
"""Largest change of relative humidity that an extrapolation may make at any node [1]: beyond it, years near
one state say little about those near another."""

NOTHING = 1e-10
"""Change in a year below which there is none to measure a contraction by."""


def layer_water(grid: Grid, log_suction: FloatArray) -> FloatArray:
    """Water of the layers as a share of what they hold at free saturation.

    Parameters
    ----------
    grid : Grid
        The grid.
    log_suction : array, shape (..., nodes)
        [log10 Pa].

    Returns
    -------
    array, shape (..., layers)
        [1]; above 1 where condensate stands.
    """
    held = water_at(grid, log_suction) * grid.size
    full, _ = layer_capacity(grid)
    water = np.stack([held[..., grid.layer == k].sum(axis=-1) for k in range(len(full))], axis=-1)
    share: FloatArray = water / full
    return share


def layer_capacity(grid: Grid) -> tuple[FloatArray, FloatArray]:
    """Water of the layers at free saturation and with all pores full.

    Parameters
    ----------
    grid : Grid
        The grid.

    Returns
    -------
    free, full : array, shape (layers,)
        [kg/m2]
    """
    return (
        np.bincount(grid.layer, grid.tables[grid.table, FREE_SATURATION, 0] * grid.size).astype(np.float64),
        np.bincount(grid.layer, grid.tables[grid.table, 0, 0] * grid.size).astype(np.float64),
    )


def difference(grid: Grid, a: State, b: State) -> FloatArray:
    """Largest difference between two states, or between two series of them.

    Parameters
    ----------
    grid : Grid
        The grid.
    a, b : (array, array), shape (..., nodes)
        Temperature [K] and log10 of suction [Pa].

    Returns
    -------
    array, shape (...)
        Of relative humidity at any node, or of the water of any layer as a share of free saturation [1].
    """
    humidity = [relative_humidity(10.0**x, t) for t, x in (a, b)]
    water = [layer_water(grid, x) for _, x in (a, b)]
    return np.maximum(
        np.abs(humidity[0] - humidity[1]).max(axis=-1), np.abs(water[0] - water[1]).max(axis=-1)
    )


@dataclass
class Years:
    """Years that were marched on one grid, each with the state before and after it.

    Parameters
    ----------
    grid : Grid
        The grid.
    starts, ends : list of State
        In the order in which they were marched.
    """

    grid: Grid
    starts: list[State] = field(default_factory=list)
    ends: list[State] = field(default_factory=list)

    def add(self, start: State, end: State) -> None:
        """Take note of a year."""
        self.starts.append(start)
        self.ends.append(end)

    def change(self) -> float:
        """Difference between start and end of the last year [1]."""
        return float(difference(self.grid, self.starts[-1], self.ends[-1]))

    def weighed(self, state: State) -> FloatArray:
        """Water of the nodes as a share of free saturation, weighed by the root of their size."""
        return water_at(self.grid, state[1]) * self.weights()

    def weights(self) -> FloatArray:
        """Return what the water of each node is multiplied with [m3/kg]."""
        weights: FloatArray = (
            np.sqrt(self.grid.size / self.grid.size.sum())
            / self.grid.tables[self.grid.table, FREE_SATURATION, 0]
        )
        return weights

    def pairs(self, first: int = 0) -> list[Pair]:
        """Return the changes between successive years from year `first` on, the latest first."""
        residuals = [self.weighed(b) - self.weighed(a) for a, b in zip(self.starts, self.ends, strict=True)]
        water = [water_at(self.grid, end[1]) for end in self.ends]
        return [
            (residuals[k] - residuals[k - 1], water[k] - water[k - 1])
            for k in range(len(residuals) - 1, first, -1)
        ]

    def contraction(self, most: int = 2, first: int = 0) -> float:
        """Measure what a year leaves of a change: the largest factor in the span of the last few changes.

        Parameters
        ----------
        most : int
            How many changes.
        first : int
            The first year to use.
        """
        return float(np.abs(self.factors(most, first)).max(initial=0.0))

    def factors(self, most: int = 2, first: int = 0) -> FloatArray:
        """Return the factors by which a year multiplies the last few changes; empty where there are none."""
        begins, finishes = (
            np.array([self.weighed(state) for state in states[first:][-most - 1 :]])
            for states in (self.starts, self.ends)
        )
        before, after = np.diff(begins, axis=0).T, np.diff(finishes, axis=0).T
        if np.abs(before).max(initial=0.0) < NOTHING:
            return np.empty(0)
        action = np.linalg.lstsq(before, after, rcond=1.0 / WORST_CONDITION)[0]
        return np.asarray(np.linalg.eigvals(action).real, dtype=np.float64)

    def extrapolated(self, pairs: Sequence[Pair]) -> State:
        """Move the end of the last year to where the years lead.

        Parameters
        ----------
        pairs : sequence of Pair
            Changes that tell how the map acts; they may come from another grid, carried to this one.

        Returns
        -------
        State
            Within what the material can hold, but for condensate that was there before.
        """
        start, end = self.starts[-1], self.ends[-1]
        water = water_at(self.grid, end[1])
        dry, full = self.grid.tables[self.grid.table, -1, 0], self.grid.tables[self.grid.table, 0, 0]
        most = np.maximum(full, np.maximum(water, water_at(self.grid, start[1])))
        residual = self.weighed(end) - self.weighed(start)
        step = -secant(pairs, residual)
        backward = (step * self.weights()) @ residual < 0.0
        if backward and self.factors(first=1).max(initial=0.0) >= 1.0:
            step = LEAP * (water - water_at(self.grid, start[1]))
        while True:
            x = suction_of_water(self.grid, np.clip(water + step, dry, most), end[1])
            moved = np.abs(
                relative_humidity(10.0**x, end[0]) - relative_humidity(10.0 ** end[1], end[0])
            ).max()
            if moved <= FARTHEST:
                return end[0], x
            step = 0.5 * step

    def carried_to(self, grid: Grid, first: int = 0) -> Years:
        """Carry the years from year `first` on to another grid of the same wall."""
        starts, ends = (
            [carried(self.grid, grid, *state) for state in states[first:]]
            for states in (self.starts, self.ends)
        )
        return Years(grid, starts, ends)

    def overfilling(self, first: int = 0) -> tuple[int, float] | None:
        """Find a layer whose gain of water leads beyond what its pores can hold.

        Needs two years of which the second followed the first without a break.

        Parameters
        ----------
        first : int
            The first year to use.

        Returns
        -------
        (int, float) or None
            The layer, and what it gained in the last year [kg/m2].
        """
        if len(self.ends) - first < 2 or self.ends[-2] is not self.starts[-1]:
            return None
        held = [layer_water(self.grid, x) for x in (self.starts[-2][1], self.starts[-1][1], self.ends[-1][1])]
        before, gain = held[1] - held[0], held[2] - held[1]
        full, pores = layer_capacity(self.grid)
        room = np.maximum(pores / full - held[2], 0.0)
        # Each year's gain is `factor` times the last one's; what never gained before may do so for ever.
        grows = (gain > 0.0) & (before > 0.0)
        factor = np.divide(gain, before, out=np.zeros_like(gain), where=grows)
        over = (gain > 0.0) & ((before <= 0.0) | (factor >= 1.0) | (gain * factor > room * (1.0 - factor)))
        if not over.any():
            return None
        worst = int(np.argmax(np.where(over, gain * full, 0.0)))
        return worst, float(gain[worst] * full[worst])


def secant(pairs: Sequence[Pair], residual: FloatArray) -> FloatArray:
    """Find how much the end of a year must change for its residual to vanish.

    Parameters
    ----------
    pairs : sequence of Pair
        At least one.
    residual : array, shape (nodes,)
        End less start of the year, weighed.

    Returns
    -------
    array, shape (nodes,)
        To be taken off the water at the end of the year [kg/m3].
    """
    sizes = [np.linalg.norm(change) for change, _ in pairs]
    used = [
        (change / size, water / size)
        for (change, water), size in zip(pairs, sizes, strict=True)
        if size > 0.0
    ]
    if not used:
        return np.zeros_like(residual)
    changes, water = (np.array(part).T for part in zip(*used, strict=True))
    shares = np.linalg.lstsq(changes, residual, rcond=1.0 / WORST_CONDITION)[0]
    moved: FloatArray = water @ shares
    return moved
