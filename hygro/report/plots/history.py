"""The history of one place over the last years, for several thicknesses."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from hygro.errors import ResultError
from hygro.report.look import ACCENT, INK, LIMIT, NARROW, WIDE, blank_figure, house_style, quiet_grid
from hygro.report.plots.common import clipped, halo, leader, month_ticks, plain, spread
from hygro.report.plots.series import AXIS_LABELS, UNITS, Quantity, daily_history
from hygro.scores.access import hourly_stamps

if TYPE_CHECKING:
    import xarray as xr
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

_GREYS = ("#b4bfc8", "#94a2ae", "#76858f", "#596771", "#3d4952", "#222c34")


def interface_history(
    datasets: Sequence[xr.Dataset],
    place: str,
    *,
    quantity: Quantity = "humidity",
    years: int = 1,
    labels: Sequence[str] | None = None,
    limit: float | None = None,
    margin: float = 0.0,
    highlight: int | None = None,
    width: float = WIDE,
) -> Figure:
    """Draw the history of a place over the last year or years, one line a dataset.

    Parameters
    ----------
    datasets : sequence of xarray.Dataset
        Results or logged data, thin to thick.
    place : str
        Label of a place that all of them have.
    quantity : {"humidity", "mould", "timber"}
        Relative humidity [%], mould index [1] or moisture content of timber [% by mass].
    years : int
        How many of the last years. Records of different length are laid over each other by their ends.
    labels : sequence of str, optional
        One a dataset; by default the thickness.
    limit : float, optional
        Limit on the quantity.
    margin : float
        Width of the marginal band below it.
    highlight : int, optional
        Which dataset to draw in the accent colour.
    width : float
        [inch].

    Returns
    -------
    matplotlib.figure.Figure

    Raises
    ------
    ResultError
        Where there is no dataset, or the place is missing in one.

    Notes
    -----
    A line joins one value a day: the largest hourly one of humidity and mould index, the mean of timber. Its
    summit is the value that is scored.
    """
    if not datasets:
        raise ResultError("there is no history to draw", expected="one dataset or more")
    named = list(labels) if labels is not None else [_label(dataset) for dataset in datasets]
    histories = [daily_history(dataset, place, quantity, years) for dataset in datasets]
    longest = max(range(len(histories)), key=lambda index: len(histories[index][0]))
    days = histories[longest][0]
    with house_style():
        figure = blank_figure(width, 3.3 if width > (WIDE + NARROW) / 2 else 3.5)
        axes = figure.subplots()
        ends: list[tuple[float, str, Any]] = []
        for index, (_, values) in enumerate(histories):
            chosen = index == highlight
            colour = ACCENT if chosen else _grey(index, len(datasets))
            axes.plot(
                days[len(days) - len(values) :],
                values,
                color=colour,
                linewidth=2.2 if chosen else 1.3,
                zorder=4 if chosen else 3,
            )
            ends.append((float(values[-1]), clipped(named[index], 16), colour))
        _draw_limit(axes, limit, margin, UNITS[quantity])
        _finish(axes, datasets[longest], days, quantity)
        _label_ends(axes, ends)
    return figure


def _label(dataset: xr.Dataset) -> str:
    thickness = dataset.attrs.get("thickness_mm", "none")
    return str(dataset.attrs.get("build_up", "")) if isinstance(thickness, str) else f"{thickness:g} mm"


def _grey(index: int, count: int) -> str:
    return _GREYS[round(index * (len(_GREYS) - 1) / max(count - 1, 1))]


def _draw_limit(axes: Axes, limit: float | None, margin: float, unit: str) -> None:
    if limit is None:
        return
    axes.axhline(limit, color=LIMIT, linewidth=1.4, zorder=5)
    axes.annotate(
        f"limit {limit:g}{unit}",
        xy=(0.005, limit),
        xycoords=axes.get_yaxis_transform(),
        xytext=(0, 3),
        textcoords="offset points",
        color=LIMIT,
        fontsize=8,
        zorder=6,
        path_effects=halo("white"),
    )
    if margin > 0.0:
        axes.axhspan(limit - margin, limit, color=LIMIT, alpha=0.10, linewidth=0)


def _finish(axes: Axes, dataset: xr.Dataset, days: NDArray[np.datetime64], quantity: Quantity) -> None:
    stamps = hourly_stamps(dataset)
    axes.set_xlim(days[0], days[-1])
    wide = axes.figure.get_figwidth() > (WIDE + NARROW) / 2  # type: ignore[union-attr]
    month_ticks(axes.xaxis, days[0], days[-1], stamps[0], _months_between(len(days), wide))
    low, high = axes.get_ylim()
    if quantity == "humidity":
        axes.set_ylim(max(0.0, low - 1.0), min(max(high, low + 5.0) + 1.0, 102.0))
    elif quantity == "mould":
        axes.set_ylim(0.0, max(1.08 * high, 1.0))  # 0 means something: no growth
    else:
        axes.set_ylim(max(0.0, low - 0.5), high + 0.5)
    axes.set_ylabel(AXIS_LABELS[quantity])
    quiet_grid(axes)


def _months_between(days: int, wide: bool) -> int:
    room = 13 if wide else 5
    return next((every for every in (1, 3, 6, 12) if days / 30.4 / every <= room), 24)


def _label_ends(axes: Axes, ends: list[tuple[float, str, Any]]) -> None:
    """Name each line at its right end, apart from its neighbours."""
    low, high = axes.get_ylim()
    near = 0.01 * (high - low)  # lines this close look like one, and are named in their own order
    order = sorted(range(len(ends)), key=lambda index: (round(ends[index][0] / near), index))
    slots = spread([ends[index][0] for index in order], 0.062 * (high - low))
    for index, slot in zip(order, slots, strict=True):
        value, text, colour = ends[index]
        axes.annotate(
            plain(text),
            xy=(1.0, value),
            xycoords=axes.get_yaxis_transform(),
            xytext=(1.03, slot),
            textcoords=axes.get_yaxis_transform(),
            va="center",
            fontsize=8,
            color=INK if colour != ACCENT else ACCENT,
            fontweight="bold" if colour == ACCENT else "normal",
            arrowprops=leader(colour, (0.0, 0.5)),
        )
