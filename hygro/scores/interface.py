"""Humidity at interfaces, and whether the wall gains water from year to year."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from hygro.physics.typing import FloatArray
from hygro.scores.access import (
    WHOLE_WALL,
    first_peak,
    hourly_stamps,
    join_notes,
    judged_places,
    labels_of,
    last_year,
    moment,
    require,
    short_record_note,
    table_of,
)
from hygro.scores.definitions import DEFINITIONS
from hygro.scores.limits import Bound
from hygro.scores.make import make_score
from hygro.scores.states import Score

if TYPE_CHECKING:
    import xarray as xr

Trend = Literal["accumulates", "steady", "dries"]

STEADY_SHARE = 0.01
"""Largest yearly change of water that counts as steady [1]; common practice, no published source."""

STEADY_SOURCE = "change of 1 % in a year: common practice, no published source"

_LEVELS = {"interface_hours_above_80": 80.0, "interface_hours_above_95": 95.0}


def score_interfaces(dataset: xr.Dataset, limits: Mapping[str, Bound]) -> list[Score]:
    """Score the largest hourly humidity of the last year at every interface; count hours above 80 and 95 %.

    Parameters
    ----------
    dataset : xarray.Dataset
        Result or logged data.
    limits : mapping
        As from `hygro.scores.limits.limits_of`.

    Returns
    -------
    list of Score
        Three an interface.
    """
    stamps = hourly_stamps(dataset)
    year = last_year(len(stamps))
    humidity = 100.0 * table_of(dataset, "relative_humidity", "time", "place")[year]
    judged = judged_places(dataset)
    limit = limits["interface_relative_humidity_percent"].value
    short = short_record_note(len(stamps))
    scores = []
    for column, (place, kind) in enumerate(
        zip(labels_of(dataset, "place"), labels_of(dataset, "place_kind"), strict=True)
    ):
        if kind != "interface":
            continue
        series = humidity[:, column]
        peak = first_peak(series)
        hours = f"{int(np.count_nonzero(series > limit))} h above {limit:g} %" if judged[column] else ""
        scores.append(
            make_score(
                "interface_relative_humidity",
                place,
                series[peak],
                limits,
                judged=bool(judged[column]),
                when=moment(stamps[year][peak]),
                note=join_notes(hours, short),
            )
        )
        scores += [
            make_score(name, place, float(np.count_nonzero(series > level)), note=short)
            for name, level in _LEVELS.items()
        ]
    return scores


def trend(before: float, after: float) -> Trend:
    """Tell whether water content goes up, stays or goes down from one year to the next.

    Parameters
    ----------
    before, after : float
        Water at the same date of two successive years [kg/m2].

    Returns
    -------
    str
        "steady" where the change is at most `STEADY_SHARE` of what was there before.
    """
    change = after - before
    if abs(change) <= STEADY_SHARE * before:
        return "steady"
    return "accumulates" if change > 0.0 else "dries"


def score_water(dataset: xr.Dataset) -> list[Score]:
    """Score the change of water content over the last year, layer by layer and of the whole wall.

    A wall that accumulates is marginal, not exceeded: its yearly cycle is not reached, later years will be
    wetter than the one that was judged, and no published limit says how much a year may add. Layers are for
    information.

    Parameters
    ----------
    dataset : xarray.Dataset
        With `layer_water_content(field_time, layer)`.

    Returns
    -------
    list of Score
        Empty where the profiles do not reach back a year.
    """
    water = table_of(dataset, "layer_water_content", "field_time", "layer")
    require(dataset, "field_time")
    stamps = dataset["field_time"].values.astype("datetime64[ns]")
    earlier = year_before(stamps)
    if earlier is None:
        return []
    period = f"{moment(stamps[earlier])} to {moment(stamps[-1])}"
    first = "first year of the record, which starts from assumed moisture" if earlier == 0 else ""
    scores = [
        make_score(
            "layer_water_change",
            label,
            water[-1, column] - water[earlier, column],
            note=join_notes(trend(water[earlier, column], water[-1, column]), period),
        )
        for column, label in enumerate(labels_of(dataset, "layer"))
    ]
    return [*scores, _wall_score(water, earlier, moment(stamps[-1]), join_notes(period, first))]


def _wall_score(water: FloatArray, earlier: int, when: str, period: str) -> Score:
    before, after = float(water[earlier].sum()), float(water[-1].sum())
    course = trend(before, after)
    change = 100.0 * (after - before) / before if before > 0.0 else 0.0
    return Score(
        name="wall_water_change",
        place=WHOLE_WALL,
        value=change,
        unit=DEFINITIONS["wall_water_change"].unit,
        limit=100.0 * STEADY_SHARE,
        limit_source=STEADY_SOURCE,
        state="marginal" if course == "accumulates" else "within",
        when=when,
        note=join_notes(course, f"{before:.3g} to {after:.3g} kg/m2", period),
    )


def year_before(stamps: NDArray[np.datetime64]) -> int | None:
    """Find the profile at the same date and hour one calendar year before the last.

    Parameters
    ----------
    stamps : array of datetime64
        Times of the profiles, rising.

    Returns
    -------
    int or None
        The nearest profile within a day (29 February has no match), None where there is none.
    """
    if len(stamps) == 0:
        return None
    last = stamps[-1]
    month = last.astype("datetime64[M]")
    wanted = (month - 12).astype("datetime64[ns]") + (last - month.astype("datetime64[ns]"))
    nearest = int(np.argmin(np.abs(stamps - wanted)))
    near = abs(stamps[nearest] - wanted) <= np.timedelta64(24, "h")
    return nearest if near and nearest != len(stamps) - 1 else None
