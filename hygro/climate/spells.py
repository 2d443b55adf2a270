"""Spells of driving rain, ISO 15927-3 and BS 8104: how much comes before the wall gets four dry days."""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np

from hygro.physics.typing import FloatArray

DRY_GAP: Final = 96
"""Hours without driving rain on the wall that end a spell; BS 8104 and ISO 15927-3, from memory,
unconfirmed."""

LEAST: Final = 1e-9
"""Driving rain [mm/h] up to which an hour is dry: a wind along the wall leaves a trace by rounding."""


class Spell(NamedTuple):
    """One spell.

    Attributes
    ----------
    first, last : int
        Position of its first and last hour with driving rain.
    amount : float
        [l/m2].
    """

    first: int
    last: int
    amount: float


def spells_of(driving_rain: FloatArray, dry_gap: int = DRY_GAP) -> list[Spell]:
    """Part a series of driving rain into spells.

    Parameters
    ----------
    driving_rain : array, shape (hours,)
        On one elevation [mm/h].
    dry_gap : int
        Hours in a row without driving rain that end a spell.

    Returns
    -------
    list of Spell
        In order. The series is not closed on itself.
    """
    wet = np.flatnonzero(driving_rain > LEAST)
    if not len(wet):
        return []
    breaks = np.flatnonzero(np.diff(wet) > dry_gap)
    first = wet[np.concatenate(([0], breaks + 1))]
    last = wet[np.concatenate((breaks, [len(wet) - 1]))]
    total = np.concatenate(([0.0], np.cumsum(driving_rain)))
    return [Spell(int(a), int(b), float(total[b + 1] - total[a])) for a, b in zip(first, last, strict=True)]


def worst_spells(spells: list[Spell], years: list[slice]) -> FloatArray:
    """Return the greatest spell of each year; a spell belongs to the year in which it begins.

    Parameters
    ----------
    spells : list of Spell
        Of the whole record.
    years : list of slice
        Hours of each year.

    Returns
    -------
    array, shape (years,)
        [l/m2]; 0 in a year without any.
    """
    return np.array(
        [
            max((spell.amount for spell in spells if year.start <= spell.first < year.stop), default=0.0)
            for year in years
        ]
    )


def exceeded_once(worst: FloatArray, in_years: int) -> float:
    """Return what the greatest spell of a year exceeds once in so many years.

    Parameters
    ----------
    worst : array, shape (years,)
        Greatest spell of each year [l/m2].
    in_years : int
        3 gives the 67 % percentile, 10 the 90 %.

    Returns
    -------
    float
        [l/m2]. Percentile by the plotting position m/(n + 1) of Weibull; beyond it the greatest value.
    """
    return float(np.quantile(worst, 1.0 - 1.0 / in_years, method="weibull"))
