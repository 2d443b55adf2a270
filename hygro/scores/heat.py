"""Heat through the wall: steady-state U-value and what a year loses."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hygro.constants import HOURS_PER_YEAR
from hygro.scores.access import WHOLE_WALL, join_notes, labels_of, values_of
from hygro.scores.make import make_score
from hygro.scores.states import Score
from hygro.scores.steady_u import u_value

if TYPE_CHECKING:
    import xarray as xr


def score_heat(dataset: xr.Dataset) -> list[Score]:
    """Score the U-value and the heat loss of the last full year; both for information.

    Parameters
    ----------
    dataset : xarray.Dataset
        With the layers' thickness and conductivity, `year_heat_loss` and `year_hours`.

    Returns
    -------
    list of Score
        The heat loss is that of the last year with 8760 hours or more; where no year is full, of the last
        one, and the note says so.
    """
    resistances = len(labels_of(dataset, "layer"))
    transmittance = u_value(values_of(dataset, "layer_thickness"), values_of(dataset, "layer_conductivity"))
    losses, hours = values_of(dataset, "year_heat_loss"), values_of(dataset, "year_hours")
    full = [index for index in range(len(hours)) if hours[index] >= HOURS_PER_YEAR]
    chosen = full[-1] if full else len(hours) - 1
    short = "" if full else f"only {hours[chosen]:.0f} h, less than a year"
    return [
        make_score(
            "u_value",
            WHOLE_WALL,
            transmittance,
            note=f"{resistances} layers, dry; no films, fixings or timber bridges",
        ),
        make_score(
            "year_heat_loss", WHOLE_WALL, losses[chosen], note=join_notes(f"year {chosen + 1}", short)
        ),
    ]
