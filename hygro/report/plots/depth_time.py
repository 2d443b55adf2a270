"""The depth-time map: depth through the wall across, time down, relative humidity as colour."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

import numpy as np
from numpy.typing import NDArray

from hygro.errors import ResultError
from hygro.report.look import HUMIDITY_COLOURS, INK, MUTED, NARROW, WIDE, blank_figure, house_style
from hygro.report.plots.common import (
    MILLIMETRES,
    cell_edges_mm,
    clipped,
    halo,
    layer_bounds_mm,
    leader,
    month_ticks,
    old_face_mm,
    place_index,
    plain,
    spread,
)
from hygro.scores.access import table_of, values_of

if TYPE_CHECKING:
    import xarray as xr
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

LimitKind = Literal["humidity", "mould", "timber"]
"""What a limit on the map bounds: humidity itself, mould growth, or the moisture content of timber."""

LOWEST = 40.0
"""Humidity at the dry end of the colours [%]: below, nothing in a wall is at stake."""

_COLUMNS = 480  # under 1 mm each in most walls
_BANDS = 31  # of 2 %: fine enough to look smooth, and the image stays small
_LABEL_GAP = {True: 0.034, False: 0.062}  # of the width, between two names over thin layers


def depth_time_map(
    dataset: xr.Dataset,
    *,
    years: int | None = 2,
    limit: float | None = None,
    kind: LimitKind = "humidity",
    place: str | None = None,
    when: np.datetime64 | str | None = None,
    width: float = WIDE,
) -> Figure:
    """Draw the humidity of a wall over depth and time.

    Parameters
    ----------
    dataset : xarray.Dataset
        Result dataset with profiles.
    years : int, optional
        How many of the last years to show; all where None.
    limit : float, optional
        Limit to draw: relative humidity [%], or moisture content of timber [%]. With "mould" it is not
        needed: the line is the humidity from which mould can grow at the temperature there.
    kind : {"humidity", "mould", "timber"}
        What the limit bounds.
    place : str, optional
        Place to mark.
    when : datetime64 or str, optional
        Moment to mark there.
    width : float
        [inch].

    Returns
    -------
    matplotlib.figure.Figure

    Raises
    ------
    ResultError
        Where profiles are missing or not finite, or the place is unknown.
    """
    humidity = 100.0 * table_of(dataset, "relative_humidity_field", "field_time", "depth")
    stamps = dataset["field_time"].values.astype("datetime64[s]")
    if len(stamps) < 2:
        raise ResultError("the result keeps no profiles to draw", found=len(stamps), expected="two or more")
    first = _first_shown(stamps, years)
    with house_style():
        wide = width > (WIDE + NARROW) / 2
        figure = blank_figure(width, 5.4 if wide else 5.0)
        axes = figure.subplots()
        edges, columns = _columns(dataset, humidity[first:])
        mesh = axes.pcolormesh(
            edges,
            _edges_between(stamps[first:]),
            columns,
            cmap=_colours(),
            norm=_bands(),
            rasterized=True,
        )
        begin = _applies_from(dataset, kind, place)
        _draw_limit(axes, dataset, humidity, first, kind, limit, begin)
        _draw_layers(axes, dataset, wide)
        if place is not None:
            _mark(axes, dataset, place, when, stamps[first])
        _finish(axes, stamps, first)
        bar = figure.colorbar(mesh, ax=axes, location="bottom", shrink=0.8, aspect=38, pad=0.02, extend="min")
        bar.set_label("relative humidity φ (%)")
        bar.set_ticks([float(tick) for tick in np.arange(LOWEST, 101.0, 10.0)])
        bar.outline.set_visible(False)
    return figure


def _first_shown(stamps: NDArray[np.datetime64], years: int | None) -> int:
    if years is None:
        return 0
    begin = stamps[-1] - np.timedelta64(365 * years, "D")
    return min(int(np.searchsorted(stamps, begin)), len(stamps) - 2)


def _columns(
    dataset: xr.Dataset, humidity: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return even columns over the depth, linear between cell centres, so that no cell shows as a stripe."""
    total = float(cell_edges_mm(dataset)[-1])
    edges = np.linspace(0.0, total, _COLUMNS + 1)
    middles = 0.5 * (edges[1:] + edges[:-1])
    depth = values_of(dataset, "depth") * MILLIMETRES
    return edges, np.array([np.interp(middles, depth, profile) for profile in humidity])


def _edges_between(stamps: NDArray[np.datetime64]) -> NDArray[np.datetime64]:
    """Return the moments halfway between profiles, with half a step at both ends."""
    half = np.diff(stamps) // 2
    return np.concatenate([[stamps[0] - half[0]], stamps[:-1] + half, [stamps[-1] + half[-1]]])


def _colours() -> Any:
    from matplotlib import colormaps

    return colormaps[HUMIDITY_COLOURS].resampled(_BANDS - 1)


def _bands() -> Any:
    from matplotlib.colors import BoundaryNorm

    return BoundaryNorm(np.linspace(LOWEST, 100.0, _BANDS), _BANDS, extend="min")


def _applies_from(dataset: xr.Dataset, kind: LimitKind, place: str | None) -> float:
    """Return from which depth a limit applies [mm]: the place of timber, else the old wall's inner face."""
    if kind == "timber" and place is not None:
        return float(values_of(dataset, "place_depth")[place_index(dataset, place)]) * MILLIMETRES
    return old_face_mm(dataset) or 0.0


def _draw_limit(
    axes: Axes,
    dataset: xr.Dataset,
    humidity: NDArray[np.float64],
    first: int,
    kind: LimitKind,
    limit: float | None,
    begin: float,
) -> None:
    """Draw where the limit is reached, only where it applies: from so deep inwards."""
    excess = _excess(dataset, humidity, kind, limit)
    if excess is None:
        return
    depth = values_of(dataset, "depth") * MILLIMETRES
    judged = depth >= begin
    excess = excess[first:, judged]
    if judged.sum() < 2 or not (excess.min() < 0.0 < excess.max()):
        return
    stamps = dataset["field_time"].values.astype("datetime64[s]")[first:]
    days = stamps.astype(float) / 86400.0  # matplotlib's own count of days begins in 1970
    lines = axes.contour(depth[judged], days, excess, levels=[0.0], colors="white", linewidths=1.2)
    lines.set_path_effects(halo(INK))


def _excess(
    dataset: xr.Dataset, humidity: NDArray[np.float64], kind: LimitKind, limit: float | None
) -> NDArray[np.float64] | None:
    """Return by how much each cell is above the limit, in whatever unit."""
    if kind == "humidity":
        return None if limit is None else humidity - limit
    temperature = table_of(dataset, "temperature_field", "field_time", "depth")
    if kind == "mould":
        from hygro.scores.mould import critical_humidity

        return humidity - critical_humidity(temperature, np.array([80.0]))
    from hygro.scores.timber import equilibrium_moisture

    return None if limit is None else equilibrium_moisture(temperature, humidity) - limit


def _draw_layers(axes: Axes, dataset: xr.Dataset, wide: bool) -> None:
    """Draw the interfaces as lines, and the names of the layers over them."""
    bounds = layer_bounds_mm(dataset)
    total = bounds[-1][2]
    face = old_face_mm(dataset)
    for _, _, inner in bounds[:-1]:
        at_face = face is not None and abs(inner - face) < 1e-6
        line = axes.axvline(inner, color="white", linewidth=2.0 if at_face else 0.9)
        line.set_path_effects(halo(INK, 2.8 if at_face else 1.5))
    gap = _LABEL_GAP[wide] * total
    slots = spread([(outer + inner) / 2.0 for _, outer, inner in bounds], gap)
    most = 26 if wide else 20
    for (name, outer, inner), slot in zip(bounds, slots, strict=True):
        axes.annotate(
            f"{clipped(plain(name), most)}, {inner - outer:g} mm",
            xy=((outer + inner) / 2.0, 1.0),
            xytext=(slot, 1.03),
            xycoords=axes.get_xaxis_transform(),
            textcoords=axes.get_xaxis_transform(),
            rotation=38,
            rotation_mode="anchor",
            ha="left",
            va="bottom",
            fontsize=7.5,
            arrowprops=leader(MUTED, (0.0, 0.0)),
        )


def _mark(
    axes: Axes, dataset: xr.Dataset, place: str, when: np.datetime64 | str | None, begin: np.datetime64
) -> None:
    """Mark the place that governs, and the moment where that is within what is shown."""
    depth = float(values_of(dataset, "place_depth")[place_index(dataset, place)]) * MILLIMETRES
    axes.plot(
        [depth],
        [0.0],
        marker="^",
        color=INK,
        markersize=7,
        clip_on=False,
        transform=axes.get_xaxis_transform(),
    )
    if when is None or str(when) == "" or np.datetime64(when) < begin:
        return
    moment = np.datetime64(when).astype("datetime64[s]")
    axes.plot(
        [depth],
        [moment],
        marker="o",
        markersize=8,
        markerfacecolor="none",
        markeredgecolor=INK,
        markeredgewidth=3.0,
    )
    axes.plot(
        [depth],
        [moment],
        marker="o",
        markersize=8,
        markerfacecolor="none",
        markeredgecolor="white",
        markeredgewidth=1.4,
    )


def _finish(axes: Axes, stamps: NDArray[np.datetime64], first: int) -> None:
    axes.set_ylim(stamps[-1], stamps[first])  # time runs down
    months = (stamps[-1] - stamps[first]) / np.timedelta64(30, "D")
    month_ticks(axes.yaxis, stamps[first], stamps[-1], stamps[0], 1 if months < 14 else 3)
    axes.set_xlabel("depth x from the external surface (mm)")
    axes.tick_params(length=3.0)
    for side in ("left", "bottom"):
        axes.spines[side].set_visible(False)
