"""Pictures of a weather record: the wind when it rains, the months, rain on each elevation."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from hygro.climate.overview import Overview
from hygro.decide.words import MONTHS
from hygro.report.look import ACCENT, INK, MUTED, RULE, blank_figure, house_style, quiet_grid

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

_ROOM: Final = 0.08
"""Share of the tallest bar that one figure needs."""


def rain_rose(overview: Overview, width: float) -> Figure:
    """Draw where the wind comes from while it rains: rain through a plane that faces the wind.

    Parameters
    ----------
    overview : Overview
        With a rose.
    width : float
        [inch].

    Returns
    -------
    matplotlib.figure.Figure
    """
    with house_style():
        size = min(width, 4.6)
        figure = blank_figure(width, size)
        axes = figure.add_subplot(projection="polar")
        axes.set_theta_zero_location("N")  # type: ignore[attr-defined]
        axes.set_theta_direction(-1)  # type: ignore[attr-defined]
        angles = np.radians([sector.degrees for sector in overview.rose])
        axes.bar(angles, [s.driving for s in overview.rose], width=np.radians(20.0), color=ACCENT)
        axes.set_xticks(np.radians(np.arange(0.0, 360.0, 45.0)), ["N", "NE", "E", "SE", "S", "SW", "W", "NW"])
        axes.set_rlabel_position(_quiet_angle(overview))  # type: ignore[attr-defined]
        axes.set_yticks(_round_steps(max([*(s.driving for s in overview.rose), 1.0])))
        axes.tick_params(axis="x", labelcolor=INK, pad=2.0)
        axes.grid(color=RULE, linewidth=0.5)
        axes.spines["polar"].set_color(RULE)
        axes.set_axisbelow(True)
    return figure


def _quiet_angle(overview: Overview) -> float:
    """Return where the scale hides least: the half-way line between two sectors with little rain."""
    driving = np.array([sector.driving for sector in overview.rose])
    pairs = driving + np.roll(driving, -1)
    return float(22.5 * int(np.argmin(pairs)) + 11.25)


def _round_steps(most: float) -> list[float]:
    """Return three or four round values up to the greatest."""
    from matplotlib.ticker import MaxNLocator

    ticks = MaxNLocator(4, steps=[1, 2, 2.5, 5, 10]).tick_values(0.0, most)
    return [float(tick) for tick in ticks if 0.0 < tick <= most]


def months_plot(overview: Overview, width: float) -> Figure:
    """Draw rain and temperature month by month.

    Parameters
    ----------
    overview : Overview
        Of a record.
    width : float
        [inch].

    Returns
    -------
    matplotlib.figure.Figure
    """
    with house_style():
        figure = blank_figure(width, 4.2 if width > 5.0 else 4.6)
        upper, lower = figure.subplots(2, 1, sharex=True, height_ratios=(1.2, 1.0))
        place = np.arange(12)
        mean = [month.air_temperature for month in overview.months]
        low = [month.coldest_day for month in overview.months]
        high = [month.warmest_day for month in overview.months]
        upper.fill_between(place, low, high, color=RULE, alpha=0.6, linewidth=0.0)
        upper.plot(place, mean, color=ACCENT, linewidth=1.6, marker="o", markersize=3.5)
        upper.set_title("Temperature, °C")
        quiet_grid(upper, "y")
        lower.bar(place, [month.rain for month in overview.months], color=ACCENT, width=0.62)
        lower.set_title("Rain, mm")
        quiet_grid(lower, "y")
        names = MONTHS if width > 5.0 else [name[0] for name in MONTHS]
        lower.set_xticks(place, names)
        upper.tick_params(axis="x", length=0.0)
    return figure


def elevations_plot(overview: Overview, width: float) -> Figure:
    """Draw driving rain on the eight elevations, in the open and on the wall.

    Parameters
    ----------
    overview : Overview
        With elevations.
    width : float
        [inch].

    Returns
    -------
    matplotlib.figure.Figure
    """
    with house_style():
        figure = blank_figure(width, 2.9)
        axes = figure.add_subplot()
        place = np.arange(len(overview.elevations))
        open_air = [row.airfield_index for row in overview.elevations]
        wall = [row.wall_index for row in overview.elevations]
        axes.bar(place, open_air, width=0.7, color=RULE, label="in the open (airfield index)")
        axes.bar(place, wall, width=0.42, color=ACCENT, label="on the wall (wall index)")
        _label_tops(axes, wall, open_air)
        axes.set_xticks(place, [row.name for row in overview.elevations])
        axes.set_ylabel("l/(m² a)")
        axes.tick_params(axis="x", length=0.0, labelcolor=INK)
        axes.margins(y=0.12)
        quiet_grid(axes, "y")
        axes.legend(frameon=False, loc="upper left", fontsize=8.0, ncols=1 if width < 5.0 else 2)
        axes.set_ylim(0.0, 1.28 * max([*open_air, 1.0]))
    return figure


def _label_tops(axes: Axes, wall: list[float], open_air: list[float]) -> None:
    most = max([*open_air, 1.0])
    for heights, colour in ((open_air, MUTED), (wall, INK)):
        for place, height in enumerate(heights):
            if colour == INK and open_air[place] - height < _ROOM * most:
                continue  # the two would lie on one another; the table has both
            axes.annotate(
                f"{height:.0f}",
                (place, height),
                (0.0, 2.0),
                textcoords="offset points",
                ha="center",
                color=colour,
                fontsize=8.0,
            )
