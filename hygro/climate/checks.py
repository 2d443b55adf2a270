"""Checks every weather record passes, whatever its format: limits, order, whole years, gaps, leap day."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from hygro.climate.columns import fitting_units
from hygro.climate.daylight import HOUR, daylight_saving_marks
from hygro.climate.gaps import filled, gap_text, runs
from hygro.climate.options import LONGEST_GAP
from hygro.climate.record import QUANTITIES, Record
from hygro.errors import ClimateError

LEAST_HUMIDITY = 0.05
"""Relative humidity [1] that every place exceeds now and then; a record that never does has another unit.
Own rule: deserts reach several times that each night."""


def checked(record: Record, fill_hours: int = LONGEST_GAP) -> Record:
    """Return the record with values within limits and a row for each hour of whole years.

    Parameters
    ----------
    record : Record
        As read.
    fill_hours : int
        Longest gap that is filled [h], as `hygro.climate.gaps.filled` says.

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
    _wrong_humidity(record)
    _in_order(record)
    record = _whole_years(record)
    _no_long_hole(record, fill_hours)
    for name in sorted(set(record.values) - {"rain", "wind_direction"}):
        record = filled(record, name, fill_hours)
    return _without_leap_day(record)


def _within_limits(record: Record) -> Record:
    for name, values in list(record.values.items()):
        limits = QUANTITIES[name]
        wrong = (values < limits.clip_low) | (values > limits.clip_high)
        if wrong.any():
            row = int(np.argmax(wrong))
            fitting = fitting_units(name, values)
            raise ClimateError(
                f"{limits.long_name} is impossible ({int(wrong.sum())} such values)",
                where=record.place(row, name),
                found=f"{values[row]:g} {limits.units}",
                expected=f"{limits.low:g} to {limits.high:g} {limits.units}",
                hint=f"all values would fit as {' or '.join(fitting)}"
                if fitting
                else "check the unit and the code for missing values",
            )
        outside = (values < limits.low) | (values > limits.high)
        record = record.with_values(**{name: np.clip(values, limits.low, limits.high)})
        record = record.with_count("clipped", name, int(outside.sum()))
    return record


def _wrong_humidity(record: Record) -> None:
    humidity = record.values.get("relative_humidity")
    if humidity is None or not np.nanmax(humidity) < LEAST_HUMIDITY:
        return
    raise ClimateError(
        "relative humidity is too low all the time",
        where=str(record.path),
        found=f"at most {100.0 * np.nanmax(humidity):.2g} %",
        expected=f"more than {LEAST_HUMIDITY:.0%} in some hours",
        hint="shares of 1 stand in a column of percent: name it relative_humidity",
    )


def _in_order(record: Record) -> None:
    steps = np.diff(record.begin)
    _refuse_daylight_saving(record)
    back = steps < np.timedelta64(0, "s")
    if back.sum() > 1:
        row = int(np.argmax(back)) + 1
        raise ClimateError(
            f"the rows are not in the order of time ({int(back.sum())} go back)",
            where=record.place(row),
            found=str(record.begin[row] + HOUR),
            expected=f"a time after {record.begin[row - 1] + HOUR}",
            hint="sort the file by its times; if it was sorted, day and month may have changed places",
        )
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


def _refuse_daylight_saving(record: Record) -> None:
    holes, repeats = daylight_saving_marks(record.begin)
    if not holes:
        return
    row = holes[0]
    twice = f"and the hour to {record.begin[repeats[0]] + HOUR} comes twice" if repeats else ""
    raise ClimateError(
        "the times follow daylight saving",
        where=record.place(row),
        found=f"the hour to {record.begin[row]} is left out {twice}".strip(),
        expected="UTC, or standard time all year",
        hint="give time_zone, such as Europe/London, with hour_ending_local"
        + ("" if repeats else "; the hour that comes twice in autumn was thrown away and is lost"),
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
        hint = (
            "the file may be cut off; give whole years, hour by hour"
            if stop < end
            else "cut the rest off, or name the calendar years to take"
        )
        raise ClimateError(
            "the record is not a whole number of years",
            where=record.place(rows - 1),
            found=f"{rows} rows up to {stop}",
            expected=f"{hours} hourly rows from {begin + HOUR} to {end}",
            hint=hint,
        )
    axis = np.arange(begin, end, HOUR)
    if not is_leap_day(record.begin).any():
        axis = axis[~is_leap_day(axis)]
    return _on_axis(record, axis)


def _no_long_hole(record: Record, longest: int) -> None:
    """Refuse rows missing in a row before their values are: one hole is not a gap in each variable."""
    holes = [hole for hole in runs(record.lines == 0) if hole[1] - hole[0] > longest]
    if holes:
        raise ClimateError(
            f"more than {longest} rows are missing in a row",
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
    origins = {}
    for name, (path, old_lines) in record.origins.items():
        origins[name] = (path, np.zeros(len(axis), dtype=np.int64))
        origins[name][1][position] = old_lines
    whole = replace(record, begin=axis, lines=lines, values=values, origins=origins)
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


def _without_leap_day(record: Record) -> Record:
    leap = is_leap_day(record.begin)
    if not leap.any():
        return _with_policy(record, "no 29 February in the record")
    if len(record.begin) > 366 * 24:
        return _with_policy(record, "29 February kept in a record of several years")
    shorter = record.rows(~leap)
    return _with_policy(shorter, f"29 February dropped ({int(leap.sum())} hours)")


def _with_policy(record: Record, policy: str) -> Record:
    return replace(record, attrs={**record.attrs, "leap_policy": policy})
