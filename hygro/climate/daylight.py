"""Daylight saving: stamps that follow it to UTC, and how to tell that stamps do."""

from __future__ import annotations

import zoneinfo

import numpy as np
from numpy.typing import NDArray

from hygro.errors import ClimateError

HOUR = np.timedelta64(3600, "s")


def local_to_utc(local: NDArray[np.datetime64], time_zone: str, where: str) -> NDArray[np.datetime64]:
    """Return stamps of a clock that follows daylight saving as UTC.

    Parameters
    ----------
    local : array of datetime64, shape (rows,)
        As the clock showed, in the order in which they passed.
    time_zone : str
        Name in the time zone database.
    where : str
        The file, for messages.

    Returns
    -------
    array of datetime64[s], shape (rows,)
        UTC. Of an hour that comes twice in autumn the first is taken as summer time.

    Raises
    ------
    ClimateError
        The zone is not known, a stamp falls into the hour that is skipped in spring, or it is not clear which
        of the two hours in autumn is meant.
    """
    import pandas as pd

    try:
        zone = zoneinfo.ZoneInfo(time_zone)
    except (zoneinfo.ZoneInfoNotFoundError, ValueError, OSError):
        raise ClimateError(
            "the time zone is not known",
            where=where,
            found=time_zone,
            expected="a name of the time zone database such as Europe/London",
        ) from None
    index = pd.DatetimeIndex(local.astype("datetime64[s]"))
    try:
        placed = index.tz_localize(zone, ambiguous="infer", nonexistent="raise")
    except ValueError as error:
        raise ClimateError(
            f"the times are not those of a clock in {time_zone}",
            where=where,
            found=str(error).splitlines()[0],
            expected="the skipped hour left out and the repeated hour twice, as the clock shows them",
            hint="if the times do not follow daylight saving, give their offset from UTC instead",
        ) from error
    return placed.tz_convert("UTC").tz_localize(None).to_numpy().astype("datetime64[s]")


def daylight_saving_marks(begin: NDArray[np.datetime64]) -> tuple[list[int], list[int]]:
    """Return the rows at which stamps jump as a clock does.

    Parameters
    ----------
    begin : array of datetime64[s], shape (rows,)
        Begin of each hour as stamped.

    Returns
    -------
    (list of int, list of int)
        Rows after a hole of one hour and rows that repeat an hour, on Sundays in the small hours of the
        months in which clocks change: March, April, September, October, November. All countries that change
        their clocks do so then (common knowledge, no source).
    """
    steps = np.diff(begin)
    hole = _at_change(begin[1:] - HOUR) & (steps == 2 * HOUR)
    twice = _at_change(begin[1:]) & (steps == np.timedelta64(0, "s"))
    return (np.flatnonzero(hole) + 1).tolist(), (np.flatnonzero(twice) + 1).tolist()


def _at_change(begin: NDArray[np.datetime64]) -> NDArray[np.bool_]:
    days = begin.astype("datetime64[D]")
    sunday = (days.astype(int) + 4) % 7 == 0  # 1 January 1970 was a Thursday
    hour = (begin - days).astype("timedelta64[h]").astype(int)
    month = begin.astype("datetime64[M]").astype(int) % 12 + 1
    return sunday & (hour <= 3) & np.isin(month, (3, 4, 9, 10, 11))
