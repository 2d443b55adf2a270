"""Which variants the pictures show."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from hygro.decide.answers import Answer
from hygro.decide.verdict import Verdict
from hygro.report.inputs import Inputs
from hygro.report.plots.series import Quantity
from hygro.report.runs import RunSummary
from hygro.report.words import is_bare
from hygro.scores.states import Score

QUANTITIES: Final[dict[str, Quantity]] = {
    "interface_relative_humidity": "humidity",
    "mould_index_interface": "mould",
    "mould_index_surface": "mould",
    "timber_moisture_content": "timber",
}
"""What a governing score is about; others are shown by their humidity."""

MARGIN_KEYS: Final[dict[Quantity, str]] = {
    "humidity": "margin_relative_humidity_percent",
    "mould": "margin_mould_index",
    "timber": "margin_timber_percent",
}


@dataclass(frozen=True)
class Subject:
    """What a picture of one variant is about.

    Parameters
    ----------
    verdict : Verdict
        The variant.
    quantity : str
        What governs.
    place : str
        Where; a place with a history.
    limit : float or None
        In the unit of the quantity.
    when : str
        Moment of the value that governs.
    """

    verdict: Verdict
    quantity: Quantity
    place: str
    limit: float | None
    when: str


def map_subject(inputs: Inputs, runs: Mapping[str, RunSummary]) -> Subject | None:
    """Choose the variant of the depth-time map.

    Parameters
    ----------
    inputs : Inputs
        The assessment.
    runs : mapping
        Summaries by slug.

    Returns
    -------
    Subject or None
        On the elevation that meets most rain, of the build-up that may save most heat there: the first
        thickness that exceeds a limit, else the thickest. Without answers the variant with the least margin;
        None where nothing was computed.
    """
    computed = [verdict for verdict in inputs.verdicts if verdict.slug in runs]
    if not computed:
        return None
    answer = leading_answer(answers_on(inputs, wettest_elevation(computed)))
    group = _group(computed, answer) if answer else []
    if not group:
        group = sorted(computed, key=lambda v: (v.margin is None, v.margin or 0.0))[:1]
    chosen = next((verdict for verdict in group if verdict.state == "exceeded"), group[-1])
    return subject_of(chosen, runs[chosen.slug])


def history_groups(
    inputs: Inputs, runs: Mapping[str, RunSummary]
) -> list[tuple[Answer, Subject, list[Verdict]]]:
    """Choose the histories: for each elevation the build-up that may save most heat, all its thicknesses.

    Returns
    -------
    list of (Answer, Subject, list of Verdict)
        The subject is the variant whose governing place and quantity are drawn for all.
    """
    computed = [verdict for verdict in inputs.verdicts if verdict.slug in runs]
    found = []
    for elevation in dict.fromkeys(answer.elevation for answer in inputs.answers):
        answer = leading_answer(answers_on(inputs, elevation))
        group = _group(computed, answer) if answer else []
        if answer is None or not group:
            continue
        decisive = next((verdict for verdict in group if verdict.state == "exceeded"), group[-1])
        subject = subject_of(decisive, runs[decisive.slug])
        shown = [verdict for verdict in group if subject.place in runs[verdict.slug].places]
        found.append((answer, subject, shown))
    return found


def wettest_elevation(computed: Sequence[Verdict]) -> float | None:
    """Return the elevation that most rain hits, the first of several."""
    return max(computed, key=lambda verdict: verdict.rain_on_wall or 0.0).elevation


def answers_on(inputs: Inputs, elevation: float | None) -> list[Answer]:
    """Return the answers for an elevation."""
    return [answer for answer in inputs.answers if answer.elevation == elevation]


def leading_answer(answers: Sequence[Answer]) -> Answer | None:
    """Return the answer that may save most heat: within every limit, else marginal, else the first."""
    for outcome in ("within", "marginal"):
        fitting = [answer for answer in answers if answer.outcome == outcome]
        if fitting:
            return max(fitting, key=lambda answer: answer.heat_saved or 0.0)
    return answers[0] if answers else None


def _group(computed: Sequence[Verdict], answer: Answer) -> list[Verdict]:
    """Return the computed variants that an answer is about, thin to thick."""
    group = [
        verdict
        for verdict in computed
        if verdict.build_up == answer.build_up
        and verdict.elevation == answer.elevation
        and not is_bare(verdict.build_up)
    ]
    return sorted(group, key=lambda verdict: verdict.thickness_mm or 0.0)


def subject_of(verdict: Verdict, run: RunSummary) -> Subject:
    """Say what a picture of a variant is about: the governing score, or a stand-in that has a history.

    Parameters
    ----------
    verdict : Verdict
        The variant.
    run : RunSummary
        Its result.

    Returns
    -------
    Subject
        Where the governing score belongs to a layer or the whole wall, which have no history by the hour, the
        humidity at the most critical interface is shown instead.
    """
    score: Score | None = verdict.governing
    historic = score is not None and run.places.get(score.place, None) is not None
    if (
        score is not None
        and historic
        and run.places[score.place].kind != "layer"
        and score.name in QUANTITIES
    ):
        return Subject(verdict, QUANTITIES[score.name], score.place, score.limit, score.when)
    humid = next((s for s in verdict.scores if s.place == verdict.interface and s.unit == "%"), None)
    place = verdict.interface or "internal surface"
    limit = humid.limit if humid else None
    return Subject(verdict, "humidity", place, limit, humid.when if humid else "")
