"""Everything the page shows, as plain values; the template only lays it out."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from hygro.case.run import REPEATING, UNTIL_STEADY
from hygro.case.variants import layer_name
from hygro.report.answers import elevation_of, summary_of
from hygro.report.assumptions import KINDS, assumptions, limit_rows, material_records, steady_words
from hygro.report.figures import curve_picture, history_pictures, map_picture
from hygro.report.inputs import Inputs
from hygro.report.runs import RunSummary
from hygro.report.section import section_key, section_svg
from hygro.report.words import capital, elevation_words, join_words, number, variant_words


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
    asked = inputs.case.run.years in (UNTIL_STEADY, REPEATING)
    records = material_records(runs)
    return {
        "title": inputs.case.title,
        "description": inputs.case.description.strip(),
        "wall_words": _wall_words(inputs),
        "summary": [summary_of(inputs, runs, elevation) for elevation in elevations if inputs.answers],
        "elevations": [elevation_of(inputs, runs, elevation) for elevation in elevations],
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
        f"{layer.thickness_mm:g} mm {layer_name(layer)}"
        for layer in inputs.case.wall.layer
        if isinstance(layer.thickness_mm, float)
    ]
    return join_words(layers)


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
