"""verdicts.csv and verdicts.json: what an assessment found, for people's tables and for the report."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Any, Final

from hygro.decide.governing import TREND
from hygro.decide.verdict import Verdict
from hygro.whole_files import write_text

if TYPE_CHECKING:
    from hygro.decide.assessment import Assessment

CSV_NAME: Final = "verdicts.csv"
JSON_NAME: Final = "verdicts.json"

_COLUMNS: Final[dict[str, Callable[[Verdict], Any]]] = {
    "variant": lambda v: v.slug,
    "build_up": lambda v: v.build_up,
    "thickness_mm": lambda v: v.thickness_mm,
    "elevation_deg": lambda v: v.elevation,
    "elevation": lambda v: v.elevation_name,
    "status": lambda v: v.status,
    "state": lambda v: v.state,
    "governing": lambda v: v.governing.name if v.governing else None,
    "governing_place": lambda v: v.governing.place if v.governing else None,
    "governing_value": lambda v: v.governing.value if v.governing else None,
    "governing_limit": lambda v: v.governing.limit if v.governing else None,
    "governing_unit": lambda v: v.governing.unit if v.governing else None,
    "governing_when": lambda v: v.governing.when if v.governing else None,
    "margin": lambda v: v.margin,
    "u_value_W_m2K": lambda v: v.u_value,
    "heat_loss_kWh_m2a": lambda v: v.year_heat_loss,
    "heat_saved_kWh_m2a": lambda v: v.heat_saved,
    "heat_saved_percent": lambda v: v.heat_saved_percent,
    "interface": lambda v: v.interface,
    "interface_mean_RH_percent": lambda v: v.interface_humidity_mean,
    "interface_largest_RH_percent": lambda v: v.interface_humidity_most,
    "rain_on_wall_kg_m2a": lambda v: v.rain_on_wall,
    "rain_taken_up_kg_m2a": lambda v: v.rain_uptake,
    "water_trend": lambda v: v.water_trend,
    "water_change_percent_a": lambda v: next((s.value for s in v.scores if s.name == TREND), None),
    "years": lambda v: v.years,
    "steady": lambda v: "yes" if v.steady else "no",
    "seconds": lambda v: v.seconds,
    "run_file": lambda v: v.run_file,
    "message": lambda v: v.message,
}


def document(assessment: Assessment) -> dict[str, Any]:
    """Return an assessment as plain values, as verdicts.json holds it.

    Parameters
    ----------
    assessment : Assessment
        From `hygro.assess`.

    Returns
    -------
    dict
        "title", "description", "case_file", "case_sha256", "versions", "source", "limits" (value, source and
        meaning of each), "answers", "verdicts", "case_resolved".
    """
    return {
        "title": assessment.title,
        "description": assessment.description,
        "case_file": assessment.case_file,
        "case_sha256": assessment.case_sha256,
        "source": assessment.source,
        "versions": dict(assessment.versions),
        "limits": {key: dict(entry) for key, entry in assessment.limits.items()},
        "answers": [answer.to_dict() for answer in assessment.answers],
        "verdicts": [verdict.to_dict() for verdict in assessment.verdicts],
        "case_resolved": dict(assessment.case_resolved),
    }


def write_verdicts(assessment: Assessment) -> None:
    """Write verdicts.csv and verdicts.json into the directory of the assessment.

    Raises
    ------
    ResultError
        Where that cannot be written to.
    """
    text = json.dumps(document(assessment), indent=1, ensure_ascii=False, allow_nan=False)
    write_text(assessment.out_dir / JSON_NAME, text + "\n")
    write_text(assessment.out_dir / CSV_NAME, csv_text(assessment.verdicts))


def csv_text(verdicts: Iterable[Verdict]) -> str:
    """Return the table of verdicts, one row a variant, missing values empty."""
    buffer = io.StringIO()
    writer = csv.writer(buffer, lineterminator="\n")
    writer.writerow(_COLUMNS)
    for verdict in verdicts:
        writer.writerow([_cell(column(verdict)) for column in _COLUMNS.values()])
    return buffer.getvalue()


def _cell(value: Any) -> str:
    if value is None:
        return ""
    # Seven digits hide the last bits, in which machines differ, and nothing that anybody could measure.
    return f"{value:.7g}" if isinstance(value, float) else str(value)
