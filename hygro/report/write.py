"""The report of an assessment: one HTML file that needs nothing else."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from hygro.report.content import content
from hygro.report.inputs import read_inputs
from hygro.report.runs import summarise_runs
from hygro.whole_files import write_text

REPORT: Final = "report.html"
_TEMPLATES: Final = Path(__file__).parent / "templates"


def write_report(out_dir: Path | str) -> Path:
    """Write the report of an assessment.

    Parameters
    ----------
    out_dir : Path or str
        Directory in which `hygro.assess` left verdicts.json and runs/.

    Returns
    -------
    Path
        report.html in that directory: pictures inside, no scripts, nothing to load. The same assessment gives
        the same file.

    Raises
    ------
    ResultError
        Verdicts or a result file are missing or unusable, or the report cannot be written.
    """
    inputs = read_inputs(Path(out_dir))
    page = render(content(inputs, summarise_runs(inputs)))
    return write_text(inputs.out_dir / REPORT, page)


def render(values: dict[str, object], template: str = "report.html.j2") -> str:
    """Lay the content out as a page.

    Parameters
    ----------
    values : dict
        As from `hygro.report.content.content`.
    template : str
        Which page.
    """
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    environment = Environment(
        loader=FileSystemLoader(_TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    return environment.get_template(template).render(values)
