"""The thickness curve: heat lost against governing moisture margin, one point a thickness."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from hygro.errors import ResultError
from hygro.report.look import (
    DASHES,
    INK,
    LIMIT,
    LINE_COLOURS,
    MARKERS,
    MUTED,
    NARROW,
    WIDE,
    blank_figure,
    house_style,
    quiet_grid,
)
from hygro.report.plots.common import clipped, halo, leader, plain, spread

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

MARGIN_LABEL = "margin to the limit that governs (% of the limit)"

LEAST_MARGIN = -30.0
"""Where most points are nearer to the limit, those beyond this [%] stand at the edge of the picture."""

_LABEL_GAP = 0.062  # of the height, between two labels
_LABEL_OFFSET = 0.045  # of the width, from point to label


@dataclass(frozen=True)
class CurvePoint:
    """One variant on the thickness curve.

    Parameters
    ----------
    build_up : str
        Name of the build-up; each has a panel of its own.
    elevation : str
        Name of the elevation; each has a line of its own.
    thickness_mm : float
        Label of the point [mm].
    heat_loss : float
        Of the last year [kWh/m2].
    margin : float
        By how much the value that governs stays below its limit, negative where it is exceeded; in any unit
        that the limits share.
    state : str
        "within", "marginal" or "exceeded".
    """

    build_up: str
    elevation: str
    thickness_mm: float
    heat_loss: float
    margin: float
    state: str


def thickness_curve(
    points: Sequence[CurvePoint],
    *,
    bare: Mapping[str, float] | None = None,
    margin_label: str = MARGIN_LABEL,
    width: float = WIDE,
) -> Figure:
    """Draw heat lost against moisture margin.

    Parameters
    ----------
    points : sequence of CurvePoint
        Build-ups and elevations in the order of their panels and lines.
    bare : mapping, optional
        Heat that the bare wall loses in the last year, by elevation [kWh/m2].
    margin_label : str
        What the margin is, with its unit.
    width : float
        [inch].

    Returns
    -------
    matplotlib.figure.Figure
        Right of the line at 0 lie the thicknesses that stay below every limit.

    Raises
    ------
    ResultError
        Where there is no point, or a value is not finite.
    """
    if not points:
        raise ResultError("there is no thickness to draw", expected="one point or more")
    for point in points:
        if not (math.isfinite(point.heat_loss) and math.isfinite(point.margin)):
            raise ResultError(
                "a point of the thickness curve is not finite",
                where=f"{point.build_up}, {point.elevation}, {point.thickness_mm:g} mm",
                found=(point.heat_loss, point.margin),
            )
    edge = edge_of(points)
    panels = list(dict.fromkeys(point.build_up for point in points))
    lines = list(dict.fromkeys(point.elevation for point in points))
    columns = min(len(panels), 2 if width > (WIDE + NARROW) / 2 else 1)
    rows = math.ceil(len(panels) / columns)
    with house_style():
        figure = blank_figure(width, 0.55 + 3.0 * rows)
        grid = figure.subplots(rows, columns, sharex=True, sharey=True, squeeze=False)
        for index, axes in enumerate(grid.flat):
            if index >= len(panels):
                axes.set_visible(False)
                continue
            _set_limits(axes, points)
            _panel(axes, [point for point in points if point.build_up == panels[index]], lines, edge)
            _limit(axes)
            axes.set_title(clipped(plain(panels[index]), 44))
            axes.tick_params(labelbottom=index + columns >= len(panels))
        figure.supxlabel(margin_label, fontsize=8.5)
        figure.supylabel("heat lost Q (kWh/(m² a))", fontsize=8.5)
        _legend(figure, lines, bare or {})
    return figure


def _panel(axes: Axes, points: list[CurvePoint], lines: list[str], edge: float) -> None:
    """Draw one build-up; the line nearest to the limit has its labels on the left, others on the right."""
    groups = {
        rank: sorted((p for p in points if p.elevation == elevation), key=lambda p: p.thickness_mm)
        for rank, elevation in enumerate(lines)
        if any(p.elevation == elevation for p in points)
    }
    leftmost = min(groups, key=lambda rank: sum(p.margin for p in groups[rank]) / len(groups[rank]))
    for rank, chosen in groups.items():
        axes.plot(
            [max(p.margin, edge) for p in chosen],
            [p.heat_loss for p in chosen],
            linewidth=1.5,
            zorder=3,
            **_line_look(rank),
        )
        for point in chosen:
            _marker(axes, point, rank, edge)
        _labels(axes, chosen, LINE_COLOURS[rank % len(LINE_COLOURS)], edge, on_left=rank == leftmost)
    quiet_grid(axes)


def edge_of(points: Sequence[CurvePoint]) -> float:
    """Return the margin at which the axis ends: a few points far out must not squeeze the others."""
    least = min(point.margin for point in points)
    far = sum(point.margin < LEAST_MARGIN for point in points)
    return LEAST_MARGIN if 0 < far < len(points) / 2 else least


def _line_look(rank: int) -> dict[str, Any]:
    return {"color": LINE_COLOURS[rank % len(LINE_COLOURS)], "linestyle": DASHES[rank % len(DASHES)]}


def _marker(axes: Axes, point: CurvePoint, rank: int, edge: float) -> None:
    """Draw a point: filled within, pale where marginal, hollow where exceeded."""
    colour = LINE_COLOURS[rank % len(LINE_COLOURS)]
    axes.plot(
        [max(point.margin, edge)],
        [point.heat_loss],
        marker=MARKERS[rank % len(MARKERS)],
        markersize=6.5,
        markerfacecolor={"within": colour, "marginal": "#c9d3da"}.get(point.state, "white"),
        markeredgecolor=colour,
        markeredgewidth=1.4,
        zorder=5,
    )


def _labels(axes: Axes, chosen: list[CurvePoint], colour: str, edge: float, *, on_left: bool) -> None:
    """Write the thicknesses beside their points, apart from each other."""
    order = sorted(chosen, key=lambda point: point.heat_loss)
    low, high = axes.get_ylim()
    slots = spread([point.heat_loss for point in order], _LABEL_GAP * (high - low))
    left, right = axes.get_xlim()
    away = (-1.0 if on_left else 1.0) * _LABEL_OFFSET * (right - left)
    for point, slot in zip(order, slots, strict=True):
        text = f"{point.thickness_mm:g}"
        if point.margin < edge:
            text += f" ({point.margin:.0f} %)".replace("-", "\N{MINUS SIGN}")
        axes.annotate(
            text,
            xy=(max(point.margin, edge), point.heat_loss),
            xytext=(max(point.margin, edge) + away, slot),
            ha="right" if on_left else "left",
            va="center",
            fontsize=7.5,
            color=colour,
            zorder=6,
            path_effects=halo("white", 2.0),
            arrowprops={**leader(colour, (1.0 if on_left else 0.0, 0.5)), "linewidth": 0.5},
        )


def _set_limits(axes: Axes, points: Sequence[CurvePoint]) -> None:
    margins = [max(point.margin, edge_of(points)) for point in points] + [0.0]
    heats = [point.heat_loss for point in points]
    spare = 0.16 * max(max(margins) - min(margins), 1e-6)
    room = 0.3 * max(max(margins) - min(margins), 1e-6)  # for the words on both sides of the limit
    axes.set_xlim(min(min(margins) - spare, -room), max(max(margins) + spare, room))
    axes.set_ylim(min(0.0, *heats), 1.12 * max(*heats, 1e-6))


def _limit(axes: Axes) -> None:
    low, _ = axes.get_xlim()
    axes.axvline(0.0, color=LIMIT, linewidth=1.5, zorder=2)
    axes.axvspan(low, 0.0, color=LIMIT, alpha=0.07, linewidth=0)
    for text, side, colour in (("exceeded", -1, LIMIT), ("below the limit", 1, MUTED)):
        axes.annotate(
            text,
            (0.0, 0.97),
            xycoords=axes.get_xaxis_transform(),
            xytext=(4 * side, 0),
            textcoords="offset points",
            ha="left" if side > 0 else "right",
            va="top",
            fontsize=7.5,
            color=colour,
        )


def _legend(figure: Figure, lines: list[str], bare: Mapping[str, float]) -> None:
    from matplotlib.lines import Line2D

    shown = [
        Line2D([], [], marker=MARKERS[rank % len(MARKERS)], markersize=6, linewidth=1.5, **_line_look(rank))
        for rank in range(len(lines))
    ]
    names = []
    for name in lines:
        loss = f", bare wall loses {bare[name]:.0f} kWh/(m² a)" if name in bare else ""
        names.append(clipped(plain(name), 20) + loss)
    wide = figure.get_figwidth() > (WIDE + NARROW) / 2
    figure.legend(
        shown,
        names,
        loc="outside upper left",
        ncols=min(len(shown), 3 if wide else 1),
        frameon=False,
        labelcolor=INK,
        handlelength=2.6,
    )
