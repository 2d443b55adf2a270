"""Mould index of every place of a dataset against its limit."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np

from hygro.constants import HOURS_PER_YEAR
from hygro.scores.access import hourly_stamps, join_notes, judged_places, labels_of, moment, table_of
from hygro.scores.limits import Bound
from hygro.scores.make import make_score
from hygro.scores.mould import mould_index
from hygro.scores.states import Score

if TYPE_CHECKING:
    import xarray as xr

_SHOWN = 0.005  # a smaller difference does not show in the note
_NAMES = {"internal surface": "mould_index_surface", "external surface": "mould_index_external"}


def score_mould(dataset: xr.Dataset, limits: Mapping[str, Bound]) -> list[Score]:
    """Score the largest mould index of the whole record at every place.

    The whole record counts, not the last year alone: what grew while the wall dried out is there. The index
    starts from 0 with the record.

    Parameters
    ----------
    dataset : xarray.Dataset
        Result or logged data.
    limits : mapping
        As from `hygro.scores.limits.limits_of`.

    Returns
    -------
    list of Score
        One a place.
    """
    stamps = hourly_stamps(dataset)
    sensitivity, decline = labels_of(dataset, "place_sensitivity"), labels_of(dataset, "place_decline")
    temperature = table_of(dataset, "temperature", "time", "place")
    humidity = 100.0 * table_of(dataset, "relative_humidity", "time", "place")
    index = mould_index(temperature, humidity, sensitivity, decline)
    peaks = index.argmax(axis=0)
    judged = judged_places(dataset)
    scores = []
    for column, (place, kind) in enumerate(
        zip(labels_of(dataset, "place"), labels_of(dataset, "place_kind"), strict=True)
    ):
        value = index[peaks[column], column]
        classes = f"{sensitivity[column]}, decline {decline[column]}"
        last = float(np.max(index[-HOURS_PER_YEAR:, column]))
        scores.append(
            make_score(
                _NAMES.get(kind, "mould_index_interface"),
                place,
                value,
                limits,
                judged=bool(judged[column]),
                when=moment(stamps[peaks[column]]) if value > 0.0 else "",
                note=join_notes(
                    classes, f"largest of the last year {last:.2f}" if value - last >= _SHOWN else ""
                ),
            )
        )
    return scores
