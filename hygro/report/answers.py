"""Answers and verdicts as the page shows them: in a line, on cards, in tables."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from hygro.decide.answers import Answer
from hygro.decide.verdict import Verdict
from hygro.report.inputs import Inputs
from hygro.report.runs import RunSummary
from hygro.report.words import (
    Where,
    capital,
    day_words,
    elevation_words,
    governs_words,
    is_bare,
    number,
    score_value,
    state_words,
    table_value,
)
from hygro.scores.states import Score

_CURE: Final = "Look for what wets it and cure that first: no lining on the inside does."
_WARMED: Final = "mould_index_surface"  # a cold surface of the bare wall is what insulation does cure
_OUTCOMES: Final = {"within": "within", "marginal": "marginal", "none": "exceeded", "unknown": "unknown"}


def summary_of(inputs: Inputs, runs: Mapping[str, RunSummary], elevation: float | None) -> dict[str, Any]:
    """Gather the answers for an elevation in a few words each.

    Parameters
    ----------
    inputs : Inputs
        The assessment.
    runs : mapping
        Summaries of the results by slug.
    elevation : float or None
        Direction that the wall faces.

    Returns
    -------
    dict
        "name", "parts" (build-up and answer) and "warning" where the bare wall is no sound start.
    """
    answers = [answer for answer in inputs.answers if answer.elevation == elevation]
    name = answers[0].elevation_name if answers else ""
    parts = [(capital(answer.build_up), _short_answer(answer)) for answer in answers]
    bare = next((v for v in inputs.verdicts if v.elevation == elevation and is_bare(v.build_up)), None)
    warning = ""
    if bare is not None and bare.state in ("exceeded", "marginal"):
        found = _verdict_words(bare, inputs, runs)
        warning = f"The wall as it stands {state_words(bare.state)} already: {found}."
        if bare.governing is not None and bare.governing.name != _WARMED:
            warning += f" {_CURE}"
    return {"name": elevation_words(name), "parts": parts, "warning": warning}


def _short_answer(answer: Answer) -> str:
    """Return one answer in a few words."""
    if answer.outcome == "unknown":
        return "not known, the computation failed"
    if answer.outcome == "none":
        varied = answer.thicknesses_mm[0] is not None
        return "no thickness stays below every limit" if varied else "exceeds a limit"
    thickness = answer.greatest_within_mm if answer.outcome == "within" else answer.greatest_marginal_mm
    head = "" if thickness is None else f"up to {thickness:g} mm "
    body = "within every limit" if answer.outcome == "within" else "but only marginally"
    saved = (
        "" if answer.heat_saved_percent is None else f", {number(answer.heat_saved_percent)} % less heat lost"
    )
    also = _also(answer)
    return f"{head}{body}{saved}{'; ' if also else ''}{also}"


def elevation_of(inputs: Inputs, runs: Mapping[str, RunSummary], elevation: float | None) -> dict[str, Any]:
    """Gather the answers in full, and the table of variants, for an elevation.

    Parameters
    ----------
    inputs, runs, elevation
        As in `summary_of`.

    Returns
    -------
    dict
        "name", "bare" (the bare wall in words), "cards" and "groups" (rows of each build-up).
    """
    verdicts = [verdict for verdict in inputs.verdicts if verdict.elevation == elevation]
    answers = [answer for answer in inputs.answers if answer.elevation == elevation]
    bare = next((verdict for verdict in verdicts if is_bare(verdict.build_up)), None)
    return {
        "name": elevation_words(verdicts[0].elevation_name),
        "bare": _bare_words(bare, inputs, runs),
        "cards": [_card(answer, inputs, runs) for answer in answers],
        "groups": [
            (capital(name), _rows([v for v in verdicts if v.build_up == name], inputs, runs))
            for name in dict.fromkeys(verdict.build_up for verdict in verdicts)
        ],
    }


def _bare_words(bare: Verdict | None, inputs: Inputs, runs: Mapping[str, RunSummary]) -> str:
    if bare is None or bare.year_heat_loss is None:
        return "The bare wall was not computed, so heat saved cannot be told."
    loss, u_value = number(bare.year_heat_loss), number(bare.u_value, 2)
    text = f"The bare wall loses {loss} kWh/(m² a); its U-value is {u_value} W/(m² K)"
    if bare.state in ("exceeded", "marginal") and bare.governing is not None:
        words = _governs(bare.governing, bare.slug, inputs, runs)
        text += f" and {state_words(bare.state)} by itself: {words}, {score_value(bare.governing)}"
    return text + "."


def _governs(score: Score | None, slug: str, inputs: Inputs, runs: Mapping[str, RunSummary]) -> str:
    run = runs.get(slug)
    where = run.places.get(score.place, Where("")) if run and score else Where("")
    return governs_words(score, where, inputs.variants.get(slug))


def _card(answer: Answer, inputs: Inputs, runs: Mapping[str, RunSummary]) -> dict[str, Any]:
    """Gather one answer: the thickness, what governs it and what stops the next."""
    chosen = inputs.verdict(answer.chosen) if answer.chosen else None
    thickness = answer.greatest_within_mm if answer.outcome == "within" else answer.greatest_marginal_mm
    varied = answer.thicknesses_mm[0] is not None
    following = next(
        (
            verdict
            for verdict in inputs.verdicts
            if (verdict.build_up, verdict.elevation) == (answer.build_up, answer.elevation)
            and verdict.thickness_mm == answer.next_thicker_mm
            and answer.next_state
        ),
        None,
    )
    return {
        "build_up": capital(answer.build_up),
        "state": _OUTCOMES[answer.outcome],
        "headline": _headline(answer, thickness, varied),
        "also": _also(answer),
        "governs": _verdict_words(chosen, inputs, runs) if chosen else "",
        "saved": _saved_words(answer),
        "next": _next_words(following, inputs, runs),
        "notes": [_sentence(note) for note in answer.notes if not note.startswith("the bare wall")],
        "states": [
            ("as drawn" if mm is None else f"{mm:g}", state)
            for mm, state in zip(answer.thicknesses_mm, answer.states, strict=True)
        ],
    }


def _headline(answer: Answer, thickness: float | None, varied: bool) -> str:
    if answer.outcome == "unknown":
        return "not known"
    if answer.outcome == "none":
        return "none" if varied else "not this build-up"
    return f"{thickness:g} mm" if thickness is not None else "as drawn"


def _also(answer: Answer) -> str:
    """Say how far the marginal thicknesses reach beyond those within."""
    within, perhaps = answer.greatest_within_mm, answer.greatest_marginal_mm
    return f"marginal up to {perhaps:g} mm" if within is not None and perhaps != within else ""


def _verdict_words(verdict: Verdict, inputs: Inputs, runs: Mapping[str, RunSummary]) -> str:
    if verdict.governing is None:
        return "nothing is judged"
    words = _governs(verdict.governing, verdict.slug, inputs, runs)
    return f"{words}: {score_value(verdict.governing)}"


def _saved_words(answer: Answer) -> str:
    if answer.heat_saved is None:
        return ""
    share = "" if answer.heat_saved_percent is None else f" ({number(answer.heat_saved_percent)} %)"
    return f"{number(answer.heat_saved)} kWh/(m² a){share}, U = {number(answer.u_value, 2)} W/(m² K)"


def _next_words(following: Verdict | None, inputs: Inputs, runs: Mapping[str, RunSummary]) -> str:
    if following is None:
        return ""
    name = "This build-up" if following.thickness_mm is None else f"{following.thickness_mm:g} mm"
    if following.status == "failed":
        return f"{name} could not be computed."
    if following.governing is None:
        return f"{name} {state_words(following.state)}."
    return f"{name} {state_words(following.state)}: {_verdict_words(following, inputs, runs)}."


def _rows(
    verdicts: Sequence[Verdict], inputs: Inputs, runs: Mapping[str, RunSummary]
) -> list[dict[str, str]]:
    """Rows of one build-up; a place is spelled out only where it is another than in the row above."""
    rows = [_row(verdict, inputs, runs) for verdict in verdicts]
    places = ["", *(row["place"] for row in rows)]
    return [
        row | {"place": row["place"] * (row["place"] != above)}
        for row, above in zip(rows, places, strict=False)
    ]


def _row(verdict: Verdict, inputs: Inputs, runs: Mapping[str, RunSummary]) -> dict[str, str]:
    score = verdict.governing
    failed = verdict.status == "failed"
    governs = verdict.message if failed else _governs(score, verdict.slug, inputs, runs)
    return {
        "thickness": "–" if verdict.thickness_mm is None else f"{verdict.thickness_mm:g}",
        "state": verdict.state,
        "governs": governs,
        "place": score.place if score and score.place not in governs else "",
        "value": table_value(score),
        "limit": "–" if score is None or score.limit is None else f"{score.limit:g}",
        "when": day_words(score.when) if score else "",
        "margin": number(None if verdict.margin is None else 100.0 * verdict.margin, 1),
        "u_value": number(verdict.u_value, 2),
        "heat_loss": number(verdict.year_heat_loss),
        "saved": number(None if is_bare(verdict.build_up) else verdict.heat_saved_percent),
        "trend": verdict.water_trend or "–",
    }


def _sentence(text: str) -> str:
    """Begin with a capital and end with a stop."""
    return capital(text) + ("" if text.endswith(".") else ".")
