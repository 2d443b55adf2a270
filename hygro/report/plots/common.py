"""What the pictures of a result dataset share: depths, days, labels."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from hygro.decide.words import MONTHS
from hygro.errors import ResultError
from hygro.scores.access import flags_of, labels_of, require, values_of

if TYPE_CHECKING:
    import xarray as xr
    from matplotlib.axis import Axis

MILLIMETRES = 1000.0


def plain(text: str) -> str:
    """Return a label that matplotlib shows as it stands, dollar signs included."""
    return text.replace("$", r"\$")


def clipped(text: str, most: int) -> str:
    """Return a label of at most so many characters."""
    return text if len(text) <= most else text[: most - 1].rstrip() + "…"


def cell_edges_mm(dataset: xr.Dataset) -> NDArray[np.float64]:
    """Return the faces of the cells [mm from outside], one more than there are cells."""
    require(dataset, "cell_size")
    return np.concatenate([[0.0], np.cumsum(values_of(dataset, "cell_size"))]) * MILLIMETRES


def layer_bounds_mm(dataset: xr.Dataset) -> list[tuple[str, float, float]]:
    """Return name, outer and inner face [mm] of each layer, from outside."""
    starts = values_of(dataset, "layer_start") * MILLIMETRES
    sizes = values_of(dataset, "layer_thickness") * MILLIMETRES
    names = labels_of(dataset, "layer")
    return [(n, float(a), float(a + d)) for n, a, d in zip(names, starts, sizes, strict=True)]


def old_face_mm(dataset: xr.Dataset) -> float | None:
    """Return how deep the inner face of the old wall lies [mm], None on a bare wall."""
    if "layer_added" not in dataset.variables:
        return None
    added = flags_of(dataset, "layer_added")
    return float(values_of(dataset, "layer_start")[added].min() * MILLIMETRES) if added.any() else None


def place_index(dataset: xr.Dataset, place: str) -> int:
    """Return the position of a place.

    Raises
    ------
    ResultError
        There is no such place.
    """
    labels = labels_of(dataset, "place")
    if place not in labels:
        raise ResultError("the result has no such place", found=place, expected=f"one of {', '.join(labels)}")
    return labels.index(place)


def month_ticks(
    axis: Axis, begin: np.datetime64, end: np.datetime64, start: np.datetime64, every: int
) -> None:
    """Mark the months; where a simulated year begins, say which.

    Parameters
    ----------
    axis : matplotlib axis
        Of dates.
    begin, end : datetime64
        What is shown.
    start : datetime64
        Begin of the whole record: simulated years count from there.
    every : int
        Months between two ticks.
    """
    first = start.astype("datetime64[M]")
    months = np.arange(first, end.astype("datetime64[M]") + 1, every)
    ticks, labels = [], []
    for month in months:
        if month < begin.astype("datetime64[M]") or month.astype("datetime64[D]") >= end.astype(
            "datetime64[D]"
        ):
            continue
        since = int((month - first).astype(int))
        name = MONTHS[int(month.astype(int)) % 12]
        ticks.append(max(month.astype("datetime64[D]"), begin.astype("datetime64[D]")))
        labels.append(f"{name}\nyear {since // 12 + 1}" if since % 12 == 0 else name)
    axis.set_ticks(ticks, labels)


def halo(colour: str, width: float = 2.6) -> list[Any]:
    """Return the path effect that sets a line or a text off from what lies under it."""
    from matplotlib.patheffects import withStroke

    return [withStroke(linewidth=width, foreground=colour)]


def leader(colour: str, at: tuple[float, float]) -> dict[str, Any]:
    """Return the hairline from a label to what it names.

    Parameters
    ----------
    colour : str
        Of the line.
    at : tuple of float
        Where it leaves the label, as shares of its width and height.
    """
    return {
        "arrowstyle": "-",
        "color": colour,
        "linewidth": 0.7,
        "shrinkA": 0.0,
        "shrinkB": 0.0,
        "relpos": at,
    }


def spread(centres: list[float], gap: float) -> list[float]:
    """Move labels apart until neighbours keep a gap, each as near to its own place as that allows.

    Parameters
    ----------
    centres : list of float
        Where the labels belong, rising.
    gap : float
        Least distance.

    Returns
    -------
    list of float
        Rising.
    """
    groups: list[list[float]] = []  # each a run of labels that touch: [mean of centre less rank, count]
    for rank, centre in enumerate(centres):
        groups.append([centre - rank * gap, 1.0])
        while len(groups) > 1 and groups[-1][0] < groups[-2][0]:
            mean, count = groups.pop()
            before, many = groups[-1]
            groups[-1] = [(mean * count + before * many) / (count + many), count + many]
    starts = [mean for mean, count in groups for _ in range(int(count))]
    return [start + rank * gap for rank, start in enumerate(starts)]
