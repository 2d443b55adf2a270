"""What was assumed, section by section of the case; where limits and material data come from."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from hygro.case.base import Section
from hygro.case.schema import CaseFile
from hygro.materials.grade import grade_of
from hygro.materials.sources import Source
from hygro.report.inputs import Inputs
from hygro.report.runs import RunSummary

KINDS: Final = ("published", "derived", "common practice", "memory")
"""Kinds of sources, from the surest on."""

_UNITS: Final[tuple[tuple[str, str], ...]] = (
    ("_g_m2percent", " g/(m² %)"),
    ("_kg_per_day", " kg/d"),
    ("_m3_per_hour", " m³/h"),
    ("_per_hour_K", " 1/(h K)"),
    ("_per_hour", " 1/h"),
    ("_W_m2K", " W/(m² K)"),
    ("_kg_m2sPa", " kg/(m² s Pa)"),
    ("_kg_m3", " kg/m³"),
    ("_percent_RH", " % RH"),
    ("_percent", " %"),
    ("_every_h", " h"),
    ("_offset_h", " h"),
    ("_deg", "°"),
    ("_mm", " mm"),
    ("_m2", " m²"),
    ("_m3", " m³"),
    ("_K", " K"),
    ("_hours", " h"),
    ("_C", " °C"),
    ("_m", " m"),
)
_SECTIONS: Final[tuple[tuple[str, str], ...]] = (
    ("room", "Room"),
    ("site", "Site"),
    ("wall", "Surfaces and initial state of the wall"),
    ("external", "Outer boundary"),
    ("internal", "Inner boundary"),
    ("run", "Length of the run"),
    ("grid", "Division of the wall"),
    ("output", "What is kept"),
    ("physics", "Physics"),
)
_LISTED_ELSEWHERE: Final = ("layer",)
_CLIMATE: Final = "climate"


@dataclass(frozen=True)
class Assumption:
    """One value of the case: its key, what it is, and the value with its unit."""

    key: str
    meaning: str
    value: str


@dataclass(frozen=True)
class MaterialRecord:
    """Where the data of a material come from.

    Parameters
    ----------
    name, title, digest : str
        As in the library.
    counts : mapping
        How many values of each kind of source.
    sources : sequence of mapping
        Key, value, source and kind of each value.
    grade : str
        How well the material is known, by the rule of `hygro.materials.grade`; empty for a film.
    """

    name: str
    title: str
    digest: str
    counts: Mapping[str, int]
    sources: Sequence[Mapping[str, Any]]
    grade: str = ""


def assumptions(case: CaseFile) -> list[tuple[str, list[Assumption]]]:
    """List the assumptions of a case under headings.

    Parameters
    ----------
    case : CaseFile
        With every default filled in.

    Returns
    -------
    list of (heading, list of Assumption)
        Sections that the case does without are left out.
    """
    found = []
    for key, heading in _SECTIONS:
        section = getattr(case, key)
        plain = key in ("external", "internal") and section.kind == _CLIMATE  # [site] and [room] say it
        rows = _rows(section) if isinstance(section, Section) and not plain else []
        if rows:
            found.append((heading, rows))
    return found


def _rows(section: Section) -> list[Assumption]:
    rows = []
    for name, field in type(section).model_fields.items():
        value = getattr(section, name)
        if isinstance(value, Section):  # a table within, such as [room.balance]
            rows += _rows(value)
        elif name not in _LISTED_ELSEWHERE and value is not None:
            rows.append(Assumption(name, field.description or "", value_words(name, value)))
    return rows


def value_words(key: str, value: Any) -> str:
    """Return a value of the case with the unit that its key carries."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple | list):
        return ", ".join(value_words("", entry) for entry in value)
    if isinstance(value, dict):
        return ", ".join(f"{name} = {entry}" for name, entry in value.items())
    if not isinstance(value, int | float):
        return str(value)
    unit = next((unit for suffix, unit in _UNITS if key.endswith(suffix)), "")
    return f"{value:g}".replace("-", "\N{MINUS SIGN}") + unit


def limit_rows(inputs: Inputs) -> list[tuple[str, str, str]]:
    """Return meaning, value and source of each limit and margin."""
    rows = []
    for key, entry in inputs.document.get("limits", {}).items():
        rows.append((str(entry["meaning"]), value_words(key, entry["value"]), str(entry["source"])))
    return rows


def material_records(runs: Mapping[str, RunSummary]) -> list[MaterialRecord]:
    """Collect the materials and films of all runs, each once, in the order of their first use."""
    found: dict[str, MaterialRecord] = {}
    for run in runs.values():
        for entry in run.materials:
            name = str(entry.get("name", ""))
            if name not in found:
                sources = list(entry.get("sources", []))
                counts = Counter(str(source.get("kind", "")) for source in sources)
                title, digest = str(entry.get("title") or name), str(entry.get("digest", ""))
                found[name] = MaterialRecord(name, title, digest, counts, sources, _grade(sources))
    return list(found.values())


def _grade(sources: Sequence[Mapping[str, Any]]) -> str:
    """Grade a material by its sources as the result file keeps them; films have no density and no grade."""
    kept = [
        Source(
            key=str(source.get("key", "")),
            value=str(source.get("value", "")),
            source=str(source.get("source", "")),
            kind=source.get("kind", "memory"),
            sample=str(source.get("sample", "")),
        )
        for source in sources
    ]
    return grade_of(kept) if any(source.key == "density" for source in kept) else ""


def steady_words(runs: Mapping[str, RunSummary], names: Mapping[str, str], asked: bool) -> str:
    """Say whether the runs came to repeat themselves.

    Parameters
    ----------
    runs : mapping
        Summaries by slug.
    names : mapping
        Name of the build-up, by slug.
    asked : bool
        Whether the case asks to run until steady.
    """
    years = sorted({run.years for run in runs.values()})
    span = " to ".join(f"{value:.3g}" for value in dict.fromkeys((years[0], years[-1])))
    restless = [slug for slug, run in runs.items() if run.steady_year == 0]
    if not asked:
        return f"Each wall was run for {span} years; whether a year repeats the one before was not asked for."
    if not restless:
        return f"All {len(runs)} walls came to repeat themselves from year to year ({span} years were run)."
    counts = Counter(names[slug] for slug in restless)
    listed = "; ".join(f"{name} ({count})" for name, count in counts.items())
    return (
        f"{len(restless)} of {len(runs)} walls did not come to repeat themselves within the years allowed "
        f"({span} were run): {listed}. Their numbers may still drift."
    )
