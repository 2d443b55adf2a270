"""A directory as an assessment leaves it, made of synthetic results: verdicts, answers and runs."""

from __future__ import annotations

import json
from pathlib import Path

from report_walls import wall_dataset

from hygro.case.limits import LIMITS, MARGINS, limit_sources
from hygro.case.schema import CaseFile
from hygro.case.variants import BARE_WALL, expand
from hygro.decide.answers import answers_of
from hygro.decide.assessment import Assessment
from hygro.decide.files import write_verdicts
from hygro.decide.verdict import failed_verdict, verdict_of, with_heat_saved
from hygro.results import save

BUILD_UP = "wood fibre, rigid"


def case_table(
    thicknesses=(40.0, 80.0, 120.0), elevations=("SW", "N"), title="A terrace (invented)", **changes
):
    """Case as its file would hold it."""
    layers = [
        {"material": "lime-plaster", "name": "levelling coat", "thickness_mm": 10.0},
        {"material": "wood-fibre-rigid", "name": "insulation", "thickness_mm": list(thicknesses)},
        {"material": "lime-plaster", "name": "finish", "thickness_mm": 8.0},
        {"film": "vapour-open-paint"},
    ]
    table = {
        "title": title,
        "description": "Invented for a test.",
        "site": {"weather": "weather.csv", "elevations": list(elevations)},
        "room": {"climate": "EN 15026 normal"},
        "wall": {
            "layer": [
                {"material": "solid-brick", "name": "old brick", "thickness_mm": 225.0},
                {"material": "lime-plaster", "name": "old plaster", "thickness_mm": 15.0},
            ]
        },
        "build_up": [{"name": BUILD_UP, "layer": layers}] if thicknesses else [],
        "probe": [{"name": "joist end", "depth_mm": 125.0, "timber": True}],
    }
    return table | changes


def write_study(
    out_dir: Path, table=None, *, failing=(), steady_year=2, years=2, materials=None, drawn_mm=None
) -> Path:
    """Write verdicts and runs; `failing` holds slugs, `drawn_mm` is for a build-up that does not vary."""
    spec = CaseFile.model_validate(table or case_table())
    resolved = spec.model_dump(mode="json", by_alias=True, exclude_none=True)
    sources = limit_sources(spec.limits.values(), spec.limits.sources)
    resolved["limits"]["sources"] = sources
    verdicts = []
    for variant in expand(spec):
        if variant.slug in failing:
            verdicts.append(failed_verdict(variant, "the march could not go on, found 'no step'."))
            continue
        dataset = wall_dataset(
            None if variant.build_up == BARE_WALL else (variant.thickness_mm or drawn_mm),
            variant.elevation_name,
            years=years,
            build_up=variant.build_up,
            case_resolved=resolved,
            steady_year=steady_year,
            materials=materials,
        )
        run_file = f"runs/{variant.slug}.nc"
        save(dataset, out_dir / run_file)
        verdicts.append(verdict_of(dataset, variant, run_file=run_file))
    judged = with_heat_saved(verdicts)
    meanings = {entry.key: entry.meaning for entry in (*LIMITS, *MARGINS)}
    write_verdicts(
        Assessment(
            title=spec.title,
            description=spec.description,
            case_file="terrace.toml",
            case_sha256="c" * 64,
            case_resolved=resolved,
            limits={
                key: {"value": value, "source": sources[key], "meaning": meanings[key]}
                for key, value in spec.limits.values().items()
            },
            versions={"hygro": "0.0.0"},
            source="hygro 0.0.0",
            out_dir=out_dir,
            verdicts=judged,
            answers=answers_of(judged),
        )
    )
    return out_dir


def change_verdicts(out_dir: Path, change) -> None:
    """Let `change` alter the document of verdicts.json."""
    path = out_dir / "verdicts.json"
    document = json.loads(path.read_text(encoding="utf-8"))
    change(document)
    path.write_text(json.dumps(document), encoding="utf-8")
