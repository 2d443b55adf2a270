"""The figures of the report: each at two widths, so that text is readable on a screen and on a telephone."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from markupsafe import Markup

from hygro.report.inputs import Inputs
from hygro.report.look import NARROW, WIDE, to_svg
from hygro.report.plots.depth_time import depth_time_map
from hygro.report.plots.history import interface_history
from hygro.report.plots.thickness import CurvePoint, edge_of, thickness_curve
from hygro.report.runs import RunSummary, load_run
from hygro.report.subjects import MARGIN_KEYS, Subject, history_groups, map_subject
from hygro.report.words import (
    Where,
    capital,
    elevation_words,
    governs_words,
    is_bare,
    number,
    score_value,
    state_words,
    variant_words,
)

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from hygro.decide.answers import Answer
    from hygro.decide.verdict import Verdict

_MOST_YEARS = 3
_QUANTITY_WORDS = {
    "humidity": "Relative humidity",
    "mould": "Mould index",
    "timber": "Moisture content of timber",
}


@dataclass(frozen=True)
class Picture:
    """One figure of the report.

    Parameters
    ----------
    heading : str
        Over the figure.
    wide, narrow : Markup
        Inline SVG for a screen and for a telephone.
    caption : str
        Under the figure.
    """

    heading: str
    wide: Markup
    narrow: Markup
    caption: str


def picture(name: str, heading: str, caption: str, draw: Callable[[float], Figure]) -> Picture:
    """Draw a figure at both widths.

    Parameters
    ----------
    name : str
        Unique in the report, letters and digits; every id in the figure begins with it.
    heading, caption : str
        Plain text.
    draw : callable
        Draws at a width [inch].
    """
    wide, narrow = (
        Markup(to_svg(draw(width), f"{name}-{size}", heading))  # SVG of our own, its texts escaped
        for width, size in ((WIDE, "wide"), (NARROW, "narrow"))
    )
    return Picture(heading, wide, narrow, caption)


def curve_picture(inputs: Inputs) -> Picture | None:
    """Draw the thickness curve, None where no build-up varies in thickness and was computed."""
    points = [
        CurvePoint(
            verdict.build_up,
            verdict.elevation_name or "wall",
            verdict.thickness_mm,
            verdict.year_heat_loss,
            100.0 * verdict.margin,
            verdict.state,
        )
        for verdict in inputs.verdicts
        if verdict.thickness_mm is not None
        and verdict.year_heat_loss is not None
        and verdict.margin is not None
    ]
    if not points:
        return None
    bare = {
        verdict.elevation_name or "wall": verdict.year_heat_loss
        for verdict in inputs.verdicts
        if is_bare(verdict.build_up) and verdict.year_heat_loss is not None
    }
    caption = (
        "Each point is one thickness of insulation (label in mm). Further down, less heat is lost; further "
        "right, more room is left to the limit that governs. Left of 0 that limit is exceeded. Filled points "
        "are within every limit, pale ones marginal, hollow ones exceeded."
    )
    if min(point.margin for point in points) < edge_of(points):
        caption += (
            f" Points beyond {number(edge_of(points))} % stand at the edge, with their margin in brackets."
        )
    return picture(
        "curve",
        "Heat lost against moisture margin",
        caption,
        lambda width: thickness_curve(points, bare=bare, width=width),
    )


def map_picture(inputs: Inputs, runs: Mapping[str, RunSummary]) -> Picture | None:
    """Draw the depth-time map of the variant that tells most, None where nothing was computed."""
    subject = map_subject(inputs, runs)
    if subject is None:
        return None
    verdict = subject.verdict
    dataset = load_run(inputs, verdict)
    name = capital(variant_words(verdict.build_up, verdict.thickness_mm))
    heading = f"{name}, facing {elevation_words(verdict.elevation_name)}"
    place = subject.place if subject.place in runs[verdict.slug].places else None
    return picture(
        "map",
        heading,
        _map_caption(inputs, runs, subject),
        lambda width: depth_time_map(
            dataset, limit=subject.limit, kind=subject.quantity, place=place, when=subject.when, width=width
        ),
    )


def _map_caption(inputs: Inputs, runs: Mapping[str, RunSummary], subject: Subject) -> str:
    verdict = subject.verdict
    parts = [
        "Outdoors on the left, the room on the right; time runs down. The darker, the wetter. White lines "
        "are the joints between layers, the thicker one the inner face of the old wall."
    ]
    line = _limit_words(subject)
    if line:
        begin = (
            "the depth of that timber" if subject.quantity == "timber" else "the inner face of the old wall"
        )
        parts.append(
            f"The outlined curve, if there is one, is {line}; it is looked for from {begin} inwards."
        )
    if verdict.governing is not None:
        where = runs[verdict.slug].places.get(verdict.governing.place, Where(""))
        words = governs_words(verdict.governing, where, inputs.variants[verdict.slug])
        parts.append(
            f"This wall {state_words(verdict.state)}: {words}, {score_value(verdict.governing)}. "
            "The triangle marks the place, the ring the moment of the largest value."
        )
    return " ".join(parts)


def _limit_words(subject: Subject) -> str:
    """Say what the outlined curve of the map is."""
    if subject.quantity == "mould":
        return "the humidity from which mould can grow at the temperature there"
    if subject.limit is None:
        return ""
    kind = "% by mass in timber" if subject.quantity == "timber" else "% relative humidity"
    return f"the limit of {subject.limit:g} {kind}"


def history_pictures(inputs: Inputs, runs: Mapping[str, RunSummary]) -> list[Picture]:
    """Draw the history of the governing place for all thicknesses, one figure an elevation."""
    return [_history(inputs, runs, rank, *group) for rank, group in enumerate(history_groups(inputs, runs))]


def _history(
    inputs: Inputs,
    runs: Mapping[str, RunSummary],
    rank: int,
    answer: Answer,
    subject: Subject,
    group: list[Verdict],
) -> Picture:
    datasets = [load_run(inputs, verdict) for verdict in group]
    labels = [
        verdict.build_up if verdict.thickness_mm is None else f"{verdict.thickness_mm:g} mm"
        for verdict in group
    ]
    chosen = next((index for index, verdict in enumerate(group) if verdict.slug == answer.chosen), None)
    years = 1
    if subject.quantity == "mould":  # it is the whole record that is scored
        years = min(_MOST_YEARS, max(1, int(min(runs[verdict.slug].years for verdict in group))))
    margin = getattr(inputs.case.limits, MARGIN_KEYS[subject.quantity])
    quantity = _QUANTITY_WORDS[subject.quantity]
    heading = f"{capital(answer.build_up)}, facing {elevation_words(answer.elevation_name)}"
    span = "last year" if years == 1 else f"last {years} years"
    caption = f"{quantity} at {subject.place}, day by day over the {span}."
    if chosen is not None:
        caption += f" The bold line is the thickness of the answer, {labels[chosen]}."
    if subject.limit is not None:
        caption += " The band under the limit is what counts as marginal."
    return picture(
        f"history{rank + 1}",
        heading,
        caption,
        lambda width: interface_history(
            datasets,
            subject.place,
            quantity=subject.quantity,
            years=years,
            labels=labels,
            limit=subject.limit,
            margin=margin,
            highlight=chosen,
            width=width,
        ),
    )
