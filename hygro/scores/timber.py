"""Moisture content of timber: embedded, from the pore air around it; as a layer, from its own water."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np

from hygro.physics.typing import FloatArray
from hygro.scores.access import (
    HOURS_PER_DAY,
    first_peak,
    flags_of,
    hourly_stamps,
    join_notes,
    labels_of,
    last_year,
    moment,
    require,
    short_record_note,
    table_of,
    values_of,
)
from hygro.scores.limits import Bound
from hygro.scores.make import make_score
from hygro.scores.states import Score

if TYPE_CHECKING:
    import xarray as xr


def equilibrium_moisture(
    temperature_C: FloatArray,  # noqa: N803
    relative_humidity_percent: FloatArray,
) -> FloatArray:
    """Moisture content of wood in equilibrium with air, two-hydrate Hailwood-Horrobin equation.

    Parameters
    ----------
    temperature_C : array
        [degC]; below 0 the equation is carried on beyond its data.
    relative_humidity_percent : array
        [%]; above 100 counts as 100.

    Returns
    -------
    array
        Water by dry mass [%].

    Notes
    -----
    Coefficients second-hand. Best of ten equations; mean deviation below 0.13, largest 0.9 % by mass. The
    mean of wetting and drying; it says nothing of liquid water above fibre saturation (near 28 %).

    References
    ----------
    Simpson 1998, Equilibrium moisture content of wood in outdoor locations, FPL-RN-0268.
    """
    t = temperature_C
    h = np.clip(relative_humidity_percent, 0.0, 100.0) / 100.0
    w = 349.0 + 1.29 * t + 0.0135 * t**2
    k = 0.805 + 0.000736 * t - 0.00000273 * t**2
    k1 = 6.27 - 0.00938 * t - 0.000303 * t**2
    k2 = 1.91 + 0.0407 * t - 0.000293 * t**2
    kh = k * h
    hydrates = (k1 * kh + 2.0 * k1 * k2 * kh**2) / (1.0 + k1 * kh + k1 * k2 * kh**2)
    return np.asarray(1800.0 / w * (kh / (1.0 - kh) + hydrates), dtype=np.float64)


def score_timber_probes(dataset: xr.Dataset, limits: Mapping[str, Bound]) -> list[Score]:
    """Score the largest daily mean of the last year at every place marked as timber.

    Parameters
    ----------
    dataset : xarray.Dataset
        Result or logged data.
    limits : mapping
        As from `hygro.scores.limits.limits_of`.

    Returns
    -------
    list of Score
        Two a place; empty where no place is marked.
    """
    stamps = hourly_stamps(dataset)
    year = last_year(len(stamps))
    columns = np.flatnonzero(flags_of(dataset, "place_timber"))
    if columns.size == 0:
        return []
    temperature = table_of(dataset, "temperature", "time", "place")[year][:, columns]
    humidity = 100.0 * table_of(dataset, "relative_humidity", "time", "place")[year][:, columns]
    means = daily_means(equilibrium_moisture(temperature, humidity))
    labels = labels_of(dataset, "place")
    note = join_notes("in equilibrium with the pore air", short_record_note(len(stamps)))
    days = stamps[year][HOURS_PER_DAY - 1 :: HOURS_PER_DAY] if len(stamps) >= HOURS_PER_DAY else stamps[-1:]
    return [
        made
        for position, column in enumerate(columns)
        for made in _pair(labels[column], means[:, position], days, HOURS_PER_DAY, limits, note)
    ]


def score_timber_layers(dataset: xr.Dataset, limits: Mapping[str, Bound]) -> list[Score]:
    """Score the largest water content by mass of the last year of every timber layer, averaged over it.

    Parameters
    ----------
    dataset : xarray.Dataset
        With `layer_water_content`, `layer_thickness`, `layer_density` and `layer_timber`.
    limits : mapping
        As from `hygro.scores.limits.limits_of`.

    Returns
    -------
    list of Score
        Two a layer; empty where no layer is timber.
    """
    columns = np.flatnonzero(flags_of(dataset, "layer_timber"))
    if columns.size == 0:
        return []
    water = table_of(dataset, "layer_water_content", "field_time", "layer")
    mass = values_of(dataset, "layer_thickness") * values_of(dataset, "layer_density")
    require(dataset, "field_time")
    stamps = dataset["field_time"].values.astype("datetime64[ns]")
    recent = stamps > stamps[-1] - np.timedelta64(365, "D")
    spacing = float(np.median(np.diff(stamps)) / np.timedelta64(1, "h")) if len(stamps) > 1 else 0.0
    labels = labels_of(dataset, "layer")
    note = join_notes("mean over the thickness; the wet side may be wetter", f"one profile in {spacing:g} h")
    return [
        made
        for column in columns
        for made in _pair(
            labels[column],
            100.0 * water[recent, column] / mass[column],
            stamps[recent],
            spacing,
            limits,
            note,
        )
    ]


def daily_means(hourly: FloatArray) -> FloatArray:
    """Average along the first dimension in blocks of 24 h; a last block that is cut short is left out.

    Parameters
    ----------
    hourly : array, shape (hours, ...)

    Returns
    -------
    array, shape (days, ...)
        The mean of all hours as one block where there are fewer than 24.
    """
    days = len(hourly) // HOURS_PER_DAY
    if days == 0:
        return hourly.mean(axis=0, keepdims=True)
    blocks = hourly[: days * HOURS_PER_DAY].reshape(days, HOURS_PER_DAY, *hourly.shape[1:])
    return np.asarray(blocks.mean(axis=1))


def _pair(
    label: str,
    series: FloatArray,
    stamps: np.ndarray[tuple[int, ...], np.dtype[np.datetime64]],
    hours_each: float,
    limits: Mapping[str, Bound],
    note: str,
) -> list[Score]:
    peak = first_peak(series)
    above = np.count_nonzero(series > limits["timber_percent"].value) * hours_each
    return [
        make_score(
            "timber_moisture_content", label, series[peak], limits, when=moment(stamps[peak]), note=note
        ),
        make_score("timber_hours_above_limit", label, above, note=note),
    ]
