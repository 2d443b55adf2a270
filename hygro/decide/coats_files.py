"""coats.csv, coats-water.csv and coats.json: what the programmes of wet coats found."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any, Final

from hygro.case.case import Case
from hygro.decide.coats_practice import TRADE_MM_PER_DAY, TRADE_SOURCE
from hygro.decide.coats_programme import Programme, StepRow
from hygro.decide.words import date_words
from hygro.whole_files import write_text

TABLE: Final = "coats.csv"
WATER: Final = "coats-water.csv"
DOCUMENT: Final = "coats.json"


def sentence(programme: Programme) -> str:
    """Tell how a programme went, in one sentence.

    Parameters
    ----------
    programme : Programme
        From `hygro.decide.coats.coat_programmes`.
    """
    said = f"Begun {date_words(programme.start)}, room {programme.room}: "
    if programme.finish_day is None:
        return said + programme.note + "."
    said += f"the finish may go on after {programme.finish_day} days"
    said += f" (rule of the trade: {programme.trade_days:.0f})"
    if programme.excess_at_finish is not None:
        said += f", with {programme.excess_at_finish:.1f} kg/m2 more water than in the repeating year"
    if programme.settled_day is None:
        return f"{said}; {programme.note.rstrip('.')}."
    return f"{said}; back to its repeating year after {programme.settled_day} days."


def step_data(row: StepRow) -> dict[str, Any]:
    """Return a step as plain values."""
    step = row.step
    wet = step.kind == "coat"
    return {
        "step": step.name,
        "kind": step.kind,
        "thickness_mm": round(1000.0 * step.thickness, 9),
        "applied_day": row.day,
        "applied": row.date,
        "ready_day": row.ready_day,
        "days": row.days if wet else None,
        "trade_days": row.trade_days if wet else None,
        "fresh_water_kg_m2": step.fresh_water * step.thickness if wet else None,
        "to_room_kg_m2": row.to_room if wet else None,
        "into_wall_kg_m2": row.into_wall if wet else None,
        "fresh_water_kg_m3": step.fresh_water if wet else None,
        "fresh_water_source": step.fresh_source if wet else None,
        "dry_at_kg_m3": step.dry_water if wet else None,
        "dry_at_source": step.dry_source if wet else None,
    }


def programme_data(programme: Programme) -> dict[str, Any]:
    """Return a programme as plain values, its daily water aside."""
    return {
        "variant": programme.variant.slug,
        "build_up": programme.variant.build_up,
        "elevation": programme.variant.elevation_name,
        "start": programme.start,
        "room": programme.room,
        "sentence": sentence(programme),
        "finish_day": programme.finish_day,
        "settled_day": programme.settled_day,
        "trade_days": programme.trade_days,
        "fresh_water_kg_m2": programme.fresh_water,
        "excess_at_finish_kg_m2": programme.excess_at_finish,
        "note": programme.note,
        "balance_error_kg_m2": programme.balance,
        "steps": [step_data(row) for row in programme.rows],
    }


def document(case: Case, programmes: Iterable[Programme]) -> dict[str, Any]:
    """Return what coats.json holds."""
    from hygro.results.provenance import versions

    return {
        "title": case.title,
        "description": case.spec.description,
        "case_file": case.path.name,
        "case_sha256": case.digest(),
        "versions": dict(versions()),
        "trade_rule": f"{TRADE_MM_PER_DAY:g} mm a day, {TRADE_SOURCE}",
        "programmes": [programme_data(programme) for programme in programmes],
        "case_resolved": case.resolved(),
    }


def write_coats(case: Case, programmes: Sequence[Programme], directory: Path) -> list[Path]:
    """Write both tables and the document, each whole or not at all.

    Parameters
    ----------
    case : Case
        Where the programmes come from.
    programmes : sequence of Programme
        Found.
    directory : Path
        Made where it is missing.

    Returns
    -------
    list of Path
        What was written.

    Raises
    ------
    ResultError
        Where that cannot be written to.
    """
    text = json.dumps(document(case, programmes), indent=1, ensure_ascii=False, allow_nan=False)
    return [
        write_text(directory / TABLE, table_text(programmes)),
        write_text(directory / WATER, water_text(programmes)),
        write_text(directory / DOCUMENT, text + "\n"),
    ]


def table_text(programmes: Iterable[Programme]) -> str:
    """Return the table of steps, missing values empty."""
    rows = [
        {"variant": p.variant.slug, "start": p.start, "room": p.room} | step_data(row)
        for p in programmes
        for row in p.rows
    ]
    return _csv(list(rows[0]), [list(row.values()) for row in rows])


def water_text(programmes: Iterable[Programme]) -> str:
    """Return the water of each layer on each day [kg/m2], one row a layer and day."""
    rows = []
    for p in programmes:
        for day, (date, held) in enumerate(zip(p.dates, p.water, strict=True)):
            for name, water in zip(p.layers, held, strict=True):
                rows.append([p.variant.slug, p.start, p.room, day, date, name, float(water)])
    return _csv(["variant", "start", "room", "day", "date", "layer", "water_kg_m2"], rows)


def _csv(head: list[str], rows: list[list[Any]]) -> str:
    buffer = io.StringIO()
    writer = csv.writer(buffer, lineterminator="\n")
    writer.writerow(head)
    for row in rows:
        writer.writerow([_cell(value) for value in row])
    return buffer.getvalue()


def _cell(value: Any) -> str:
    if value is None:
        return ""
    return f"{value:.6g}" if isinstance(value, float) else str(value)
