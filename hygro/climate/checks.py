"""Checks every weather record passes, whatever its format: limits, order, whole years, gaps, leap day."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from hygro.climate.record import QUANTITIES, Record
from hygro.errors import ClimateError
from hygro.physics.typing import FloatArray

LONGEST_GAP = 3
"""Hours in a row that are interpolated; longer gaps are refused. Own rule: the course of a day still
shows."""

LARGEST_SHARE = 0.01
"""Share of the hours of a variable that may be interpolated. Own rule."""

HOUR = np.timedelta64(3600, "s")


def checked(record: Record) -> Record:
    """Return the record with values within limits and a row for each hour of whole years.

    Parameters
    ----------
    record : Record
        As read.

    Returns
    -------
    Record
        Gapless but for 29 February of a one-year record. Rain and wind direction are left as they are where
        missing.

    Raises
    ------
    ClimateError
        Naming the line, or the times of gaps.
    """
    record = _within_limits(record)
    _in_order(record)
    record = _whole_years(record)
    _no_long_hole(record)
    for name in sorted(set(record.values) - {"rain", "wind_direction"}):
        record = _filled(record, name)
    return _without_leap_day(record)


def _within_limits(record: Record) -> Record:
    for name, values in list(record.values.items()):
        limits = QUANTITIES[name]
        wrong = (values < limits.clip_low) | (values > limits.clip_high)
        if wrong.any():
            row = int(np.argmax(wrong))
            raise ClimateError(
                f"{limits.long_name} is impossible ({int(wrong.sum())} such values)",
                where=record.place(row),
                found=f"{values[row]:g} {limits.units}",
                expected=f"{limits.low:g} to {limits.high:g} {limits.units}",
                hint="check the unit and the code for missing values",
            )
        outside = (values < limits.low) | (values > limits.high)
        record = record.with_values(**{name: np.clip(values, limits.low, limits.high)})
        record = record.with_count("clipped", name, int(outside.sum()))
    return record


def _in_order(record: Record) -> None:
    steps = np.diff(record.begin)
    if (steps <= np.timedelta64(0, "s")).any():
        row = int(np.argmax(steps <= np.timedelta64(0, "s"))) + 1
        raise ClimateError(
            "the hour comes again or goes back in time",
            where=record.place(row),
            found=str(record.begin[row] + HOUR),
            expected=f"a time after {record.begin[row - 1] + HOUR}",
        )
    if (steps % HOUR != np.timedelta64(0, "s")).any():
        row = int(np.argmax(steps % HOUR != np.timedelta64(0, "s"))) + 1
        raise ClimateError(
            "the row is not a whole number of hours after the one before",
            where=record.place(row),
            found=str(record.begin[row] + HOUR),
            expected="hourly rows",
        )


def years_later(begin: np.datetime64, years: int) -> np.datetime64:
    """Return the same hour some calendar years later; from 29 February it goes to 1 March.

    Parameters
    ----------
    begin : datetime64
        Any time.
    years : int
        How many.

    Returns
    -------
    datetime64[s]
        The time.
    """
    year = begin.astype("datetime64[Y]")
    month = begin.astype("datetime64[M]")
    later = (year + years).astype("datetime64[M]") + (month - year.astype("datetime64[M]"))
    rest = begin.astype("datetime64[s]") - month.astype("datetime64[s]")
    return later.astype("datetime64[s]") + rest


def _whole_years(record: Record) -> Record:
    begin, stop = record.begin[0], record.begin[-1] + HOUR
    years = max(1, round(float((stop - begin) / np.timedelta64(365, "D"))))
    end = years_later(begin, years)
    rows = len(record.begin)
    if stop != end:
        hours = int((end - begin) / HOUR)
        raise ClimateError(
            "the record is not a whole number of years",
            where=record.place(rows - 1),
            found=f"{rows} rows up to {stop}",
            expected=f"{hours} hourly rows from {begin + HOUR} to {end}",
            hint="the file may be cut off; give whole years, hour by hour",
        )
    axis = np.arange(begin, end, HOUR)
    if years == 1 and not is_leap_day(record.begin).any():
        axis = axis[~is_leap_day(axis)]
    return _on_axis(record, axis)


def _no_long_hole(record: Record) -> None:
    """Refuse rows missing in a row before their values are: one hole is not a gap in each variable."""
    holes = [hole for hole in runs(record.lines == 0) if hole[1] - hole[0] > LONGEST_GAP]
    if holes:
        raise ClimateError(
            f"more than {LONGEST_GAP} rows are missing in a row",
            where=str(record.path),
            found=gap_text(record, holes),
            expected="a row for each hour",
            hint="fill them from a neighbouring station",
        )


def _on_axis(record: Record, axis: NDArray[np.datetime64]) -> Record:
    if len(axis) == len(record.begin):
        return record
    position = np.searchsorted(axis, record.begin)
    lines = np.zeros(len(axis), dtype=np.int64)
    lines[position] = record.lines
    values = {}
    for name, old in record.values.items():
        values[name] = np.full(len(axis), np.nan)
        values[name][position] = old
    whole = replace(record, begin=axis, lines=lines, values=values)
    return whole.with_count("missing", "rows", len(axis) - len(record.begin))


def is_leap_day(begin: NDArray[np.datetime64]) -> NDArray[np.bool_]:
    """Return which hours belong to 29 February.

    Parameters
    ----------
    begin : array of datetime64
        Begin of each hour.

    Returns
    -------
    array of bool
        Same shape.
    """
    month = begin.astype("datetime64[M]")
    day = (begin.astype("datetime64[D]") - month.astype("datetime64[D]")).astype(int) + 1
    return (month.astype(int) % 12 == 1) & (day == 29)


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


def _filled(record: Record, name: str) -> Record:
    values = record.values[name]
    missing = np.isnan(values)
    if not missing.any():
        return record
    gaps = runs(missing)
    long = [gap for gap in gaps if gap[1] - gap[0] > LONGEST_GAP]
    what = QUANTITIES[name].long_name
    if long:
        raise ClimateError(
            f"{what} has gaps of more than {LONGEST_GAP} hours",
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
    filled = _interpolated(values, missing)
    return record.with_values(**{name: filled}).with_count("interpolated", name, int(missing.sum()))


def _interpolated(values: FloatArray, missing: NDArray[np.bool_]) -> FloatArray:
    hours = np.arange(len(values), dtype=float)
    return np.interp(hours, hours[~missing], values[~missing])


def _without_leap_day(record: Record) -> Record:
    leap = is_leap_day(record.begin)
    if not leap.any():
        return _with_policy(record, "no 29 February in the record")
    if len(record.begin) > 366 * 24:
        return _with_policy(record, "29 February kept in a record of several years")
    keep = ~leap
    shorter = replace(
        record,
        begin=record.begin[keep],
        lines=record.lines[keep],
        values={name: values[keep] for name, values in record.values.items()},
    )
    return _with_policy(shorter, f"29 February dropped ({int(leap.sum())} hours)")


def _with_policy(record: Record, policy: str) -> Record:
    return replace(record, attrs={**record.attrs, "leap_policy": policy})
