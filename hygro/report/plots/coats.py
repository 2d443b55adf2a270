"""Water in a wall while its coats go on and dry."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from hygro.decide.words import date_words
from hygro.report.look import ACCENT, INK, LIMIT, MUTED, WIDE, blank_figure, house_style, quiet_grid
from hygro.report.plots.common import clipped, plain

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from hygro.decide.coats_programme import Programme

_HEIGHT = 2.1
"""Of one programme [inch]."""

_MOST_POINTS = 200
"""Points of a curve: more cannot be told apart and make the file large."""

_OLD = "#8a98a5"
_LATE = 0.6
"""Share of the days beyond which a label stands on the left of its line."""

_LABEL = {"facecolor": "white", "edgecolor": "none", "pad": 0.8}
"""Ground of a label, so that no line goes through its words; an outline would turn text into paths."""

_MARGIN = 1.12
"""Room above the wettest day, for its labels."""


def coats_picture(programmes: Sequence[Programme], width: float = WIDE) -> Figure:
    """Draw the water of the old wall and of each coat, day by day, one strip a programme.

    Parameters
    ----------
    programmes : sequence of Programme
        From `hygro.decide.coats.coat_programmes`.
    width : float
        [inch].

    Returns
    -------
    matplotlib.figure.Figure
        All strips on one scale of water and one of days.
    """
    with house_style():
        figure = blank_figure(width, _HEIGHT * len(programmes) + 0.8)
        axes = figure.subplots(len(programmes), 1, squeeze=False, sharex=True, sharey=True)[:, 0]
        most = max(float(p.water.sum(axis=1).max()) for p in programmes)
        axes[0].set_xlim(0.0, max(len(p.water) for p in programmes) - 1)
        for axis, programme in zip(axes, programmes, strict=True):
            _strip(axis, programme, most)
        axes[0].set_ylim(0.0, _MARGIN * most)
        axes[-1].set_xlabel("days since the first coat")
        longest = max(range(len(programmes)), key=lambda k: len(programmes[k].layers))
        handles, labels = axes[longest].get_legend_handles_labels()
        figure.legend(handles, labels, loc="outside lower center", ncols=3, fontsize=7.5, frameon=False)
    return figure


def _strip(axis: Axes, programme: Programme, most: float) -> None:
    days = _shown(programme)
    shades = [float(share) for share in np.linspace(0.85, 0.3, max(1, len(programme.layers) - 1))]
    axis.stackplot(
        days,
        programme.water[days].T,
        colors=[_mixed(1.0, _OLD), *(_mixed(share) for share in shades)],
        labels=[plain(clipped(name, 34)) for name in programme.layers],
        linewidth=0.0,
    )
    if len(programme.repeating):
        axis.plot(days, programme.repeating[days], color=INK, linewidth=1.0, linestyle=(0, (2, 1.5)),
                  label="its repeating year")  # fmt: skip
    for row in programme.rows:
        if row.step.kind == "coat":
            axis.axvline(row.day, color=MUTED, linewidth=0.7, linestyle=(0, (5, 2)))
    marks = ((programme.finish_day, "finish", 1.05), (programme.settled_day, "repeats its year", 0.9))
    for day, label, height in marks:
        if day is not None:
            axis.axvline(day, color=ACCENT, linewidth=1.3)
            late = day > _LATE * axis.get_xlim()[1]
            axis.annotate(f"{label}, day {day}", (day, height * most), xytext=(-3 if late else 3, 0),
                          textcoords="offset points", ha="right" if late else "left", va="top",
                          color=ACCENT, fontsize=7.5, bbox=_LABEL)  # fmt: skip
    if programme.finish_day is None:
        axis.annotate("never ready for the finish", (days[-1], 0.75 * most), fontsize=7.5, color=LIMIT,
                      xytext=(-3, 0), textcoords="offset points", ha="right", va="top")  # fmt: skip
    facing = f", facing {programme.variant.elevation_name}" if programme.variant.elevation_name else ""
    axis.set_title(plain(f"Begun {date_words(programme.start)}, room {programme.room}{facing}"))
    axis.set_ylabel("water kg/m²")
    quiet_grid(axis, "y")


def _shown(programme: Programme) -> NDArray[np.int64]:
    """Days that are drawn: evenly spaced, and those on which and before which something went on."""
    last = len(programme.water) - 1
    stride = -(-(last + 1) // _MOST_POINTS)
    jumps = [day for row in programme.rows for day in (row.day - 1, row.day) if day >= 0]
    return np.unique([*range(0, last + 1, stride), *jumps, last])


def _mixed(share: float, colour: str = ACCENT) -> tuple[float, float, float]:
    """Lighten a colour: 1 leaves it, 0 is white."""
    full = [int(colour[k : k + 2], 16) / 255.0 for k in (1, 3, 5)]
    red, green, blue = (1.0 - share * (1.0 - part) for part in full)
    return red, green, blue
