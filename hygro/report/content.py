"""Everything the page shows, as plain values; the template only lays it out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from hygro.case.run import UNTIL_STEADY
from hygro.decide.answers import Answer
from hygro.decide.verdict import Verdict
from hygro.report.assumptions import KINDS, assumptions, limit_rows, material_records, steady_words
from hygro.report.figures import curve_picture, history_pictures, map_picture
from hygro.report.inputs import Inputs
from hygro.report.runs import RunSummary
from hygro.report.section import section_key, section_svg
from hygro.report.words import (
    Where,
    capital,
    day_words,
    elevation_words,
    governs_words,
    is_bare,
    join_words,
    number,
    score_value,
    state_words,
    table_value,
    variant_words,
)
from hygro.scores.states import Score

_CURE = "Look for what wets it and cure that first: no lining on the inside does."
_OUTCOMES = {"within": "within", "marginal": "marginal", "none": "exceeded", "unknown": "unknown"}


def content(inputs: Inputs, runs: Mapping[str, RunSummary]) -> dict[str, Any]:
    """Gather what the template needs.

    Parameters
    ----------
    inputs : Inputs
        The assessment.
    runs : mapping
        Summaries of the results by slug.

    Returns
    -------
    dict
        Texts are plain and are escaped by the template; only figures are markup.
    """
    elevations = list(dict.fromkeys(verdict.elevation for verdict in inputs.verdicts))
    names = {
        v.slug: f"{variant_words(v.build_up, v.thickness_mm)}, {v.elevation_name}" for v in inputs.verdicts
    }
    build_ups = {v.slug: v.build_up for v in inputs.verdicts}
    asked = inputs.case.run.years == UNTIL_STEADY
    records = material_records(runs)
    return {
        "title": inputs.case.title,
        "description": inputs.case.description.strip(),
        "wall_words": _wall_words(inputs),
        "summary": [_summary(inputs, runs, elevation) for elevation in elevations if inputs.answers],
        "elevations": [_elevation(inputs, runs, elevation) for elevation in elevations],
        "curve": curve_picture(inputs),
        "map": map_picture(inputs, runs),
        "histories": history_pictures(inputs, runs),
        "steady": steady_words(runs, build_ups, asked) if runs else "No wall was computed.",
        "failed": [(names[v.slug], v.message) for v in inputs.verdicts if v.status == "failed"],
        "sections": _sections(inputs, {record.name: record.title for record in records}),
        "site": _site(inputs, runs),
        "climate_source": next((str(run.attrs.get("climate_source", "")) for run in runs.values()), ""),
        "assumptions": assumptions(inputs.case),
        "limits": limit_rows(inputs),
        "materials": records,
        "kinds": KINDS,
        "references": _references(runs),
        "provenance": _provenance(inputs, runs),
    }


def _wall_words(inputs: Inputs) -> str:
    layers = [
        f"{layer.thickness_mm:g} mm {layer.name or layer.material}"
        for layer in inputs.case.wall.layer
        if isinstance(layer.thickness_mm, float)
    ]
    return join_words(layers)


def _summary(inputs: Inputs, runs: Mapping[str, RunSummary], elevation: float | None) -> dict[str, Any]:
    answers = [answer for answer in inputs.answers if answer.elevation == elevation]
    name = answers[0].elevation_name if answers else ""
    parts = [(capital(answer.build_up), _short_answer(answer)) for answer in answers]
    bare = next((v for v in inputs.verdicts if v.elevation == elevation and is_bare(v.build_up)), None)
    warning = ""
    if bare is not None and bare.state in ("exceeded", "marginal"):
        found = _verdict_words(bare, inputs, runs)
        warning = f"The wall as it stands {state_words(bare.state)} already: {found}. {_CURE}"
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


def _elevation(inputs: Inputs, runs: Mapping[str, RunSummary], elevation: float | None) -> dict[str, Any]:
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
    text = (
        f"The bare wall loses {number(bare.year_heat_loss)} kWh/m² a (U = {number(bare.u_value, 2)} W/(m² K))"
    )
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
    return f"{number(answer.heat_saved)} kWh/m² a{share}, U = {number(answer.u_value, 2)} W/(m² K)"


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


def _sections(inputs: Inputs, titles: Mapping[str, str]) -> list[dict[str, Any]]:
    """Draw the bare wall and each build-up once, at the thickness of its first answer, else its thinnest."""
    shown: dict[str, str] = {}
    for verdict in inputs.verdicts:
        shown.setdefault(verdict.build_up, verdict.slug)
    for answer in reversed(inputs.answers):
        if answer.chosen:
            shown[answer.build_up] = answer.chosen
    variants = [inputs.variants[slug] for slug in shown.values()]
    most = max(sum(layer.thickness_mm or 0.0 for layer in variant.layers) for variant in variants)
    return [
        {
            "name": capital(variant_words(variant.build_up, variant.thickness_mm)),
            "svg": section_svg(variant, most, f"Section: {variant.build_up}"),
            "key": section_key(variant, titles),
        }
        for variant in variants
    ]


def _site(inputs: Inputs, runs: Mapping[str, RunSummary]) -> list[dict[str, str]]:
    """One row an elevation: rain of its bare wall, or of its first wall."""
    rows = []
    for elevation in dict.fromkeys(verdict.elevation for verdict in inputs.verdicts):
        verdict = next((v for v in inputs.verdicts if v.elevation == elevation and v.slug in runs), None)
        if verdict is None:
            continue
        year = runs[verdict.slug].climate
        rows.append(
            {
                "name": elevation_words(verdict.elevation_name),
                "rain": number(verdict.rain_on_wall),
                "uptake": number(verdict.rain_uptake),
                "of": variant_words(verdict.build_up, verdict.thickness_mm),
                "outdoors": f"{number(year.outdoor_mean, 1)} °C, {number(year.outdoor_humidity)} %",
                "coldest": f"{number(year.outdoor_least, 1)} °C",
                "winter": f"{number(year.room_winter[0], 1)} °C, {number(year.room_winter[1])} %",
                "summer": f"{number(year.room_summer[0], 1)} °C, {number(year.room_summer[1])} %",
            }
        )
    return rows


def _references(runs: Mapping[str, RunSummary]) -> list[str]:
    listed = [
        entry.strip() for run in runs.values() for entry in str(run.attrs.get("references", "")).split(";")
    ]
    return [entry for entry in dict.fromkeys(listed) if entry]


def _provenance(inputs: Inputs, runs: Mapping[str, RunSummary]) -> list[tuple[str, str]]:
    document = inputs.document
    first = next(iter(runs.values()), None)
    attrs = first.attrs if first else {}
    rows = [
        ("made by", str(document.get("source", ""))),
        ("case file", str(document.get("case_file", ""))),
        ("case, sha256", str(document.get("case_sha256", ""))),
        ("weather, sha256", str(attrs.get("climate_sha256", ""))),
        ("computed (UTC)", str(attrs.get("history", "")).split(" ")[0]),
        ("machine", str(attrs.get("platform", ""))),
        ("versions", ", ".join(f"{name} {text}" for name, text in document.get("versions", {}).items())),
    ]
    if runs:
        rows.append(
            (
                "largest balance error",
                f"{max(run.balance for run in runs.values()):.1e} of what is exchanged in a year",
            )
        )
    return [(name, text) for name, text in rows if text]


def _sentence(text: str) -> str:
    """Begin with a capital and end with a stop."""
    return capital(text) + ("" if text.endswith(".") else ".")
