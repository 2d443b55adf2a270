"""Gaps in a weather record: where they are, and how short ones are filled."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from hygro.climate.record import QUANTITIES, Record
from hygro.errors import ClimateError
from hygro.physics.typing import FloatArray

LARGEST_SHARE = 0.01
"""Share of the hours of a variable that may be interpolated. Own rule."""

STRAIGHT = 3
"""Longest gap [h] that is filled along a straight line. Own rule: the course of a day still shows."""


def runs(missing: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Return first and one-past-last index of each run of true values.

    Parameters
    ----------
    missing : array of bool, shape (hours,)
        Any.

    Returns
    -------
    list of (int, int)
        In order.
    """
    edges = np.flatnonzero(np.diff(np.concatenate(([False], missing, [False])).astype(np.int8)))
    return list(zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True))


def gap_text(record: Record, gaps: list[tuple[int, int]]) -> str:
    """Return the times of gaps in words, the first three of them.

    Parameters
    ----------
    record : Record
        Where they are.
    gaps : list of (int, int)
        From `runs`.

    Returns
    -------
    str
        For an error message.
    """
    parts = [
        f"{stop - start} h from {record.begin[start].astype('datetime64[m]')}" for start, stop in gaps[:3]
    ]
    more = f" and {len(gaps) - 3} more" if len(gaps) > 3 else ""
    return ", ".join(parts) + more


def filled(record: Record, name: str, longest: int) -> Record:
    """Return the record with the gaps of a variable filled and counted.

    Parameters
    ----------
    record : Record
        Gapless in time.
    name : str
        Variable.
    longest : int
        Longest gap that is filled [h].

    Returns
    -------
    Record
        Up to `STRAIGHT` hours along a straight line, beyond that the mean of the same hours of the day before
        and the day after.

    Raises
    ------
    ClimateError
        Where a gap is longer, or too many hours are missing.
    """
    values = record.values[name]
    missing = np.isnan(values)
    if not missing.any():
        return record
    gaps = runs(missing)
    long = [gap for gap in gaps if gap[1] - gap[0] > longest]
    what = QUANTITIES[name].long_name
    if long:
        raise ClimateError(
            f"{what} has gaps of more than {longest} hours",
            where=str(record.path),
            found=gap_text(record, long),
            expected="a value for each hour",
            hint="fill them from a neighbouring station or leave the column out if it may be missing",
        )
    if missing.mean() > LARGEST_SHARE:
        raise ClimateError(
            f"{what} is missing in too many hours",
            where=str(record.path),
            found=f"{int(missing.sum())} of {len(missing)}, {gap_text(record, gaps)}",
            expected=f"at most {LARGEST_SHARE:.0%}",
        )
    whole = _interpolated(values, missing)
    for start, stop in gaps:
        if stop - start > STRAIGHT:
            whole[start:stop] = _neighbouring_days(values, start, stop)
    if np.isnan(whole).any():
        raise ClimateError(
            f"{what} has a gap that the days beside it can't fill",
            where=str(record.path),
            found=gap_text(record, [gap for gap in gaps if np.isnan(whole[slice(*gap)]).any()]),
            expected="a whole day of values before or after it",
        )
    return record.with_values(**{name: whole}).with_count("interpolated", name, int(missing.sum()))


def _interpolated(values: FloatArray, missing: NDArray[np.bool_]) -> FloatArray:
    hours = np.arange(len(values), dtype=float)
    return np.interp(hours, hours[~missing], values[~missing])


def _neighbouring_days(values: FloatArray, start: int, stop: int) -> FloatArray:
    """Mean of the same hours a day before and a day after, of the one where the other is missing."""
    both = np.full((2, stop - start), np.nan)
    if start >= 24:
        both[0] = values[start - 24 : stop - 24]
    if stop + 24 <= len(values):
        both[1] = values[start + 24 : stop + 24]
    known = np.isfinite(both)
    total = np.where(known, both, 0.0).sum(axis=0)
    return np.where(known.any(axis=0), total / np.maximum(known.sum(axis=0), 1), np.nan)
