"""`hygro assess`: which thickness of which build-up stays within the limits."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from hygro.cli.options import case_argument, default_directory, json_option
from hygro.cli.output import print_json, print_table, state_words
from hygro.errors import BatchError, HygroError, LimitError

if TYPE_CHECKING:
    from hygro.decide import Answer, Assessment, Verdict
    from hygro.decide.assessment import Progress


@click.command("assess")
@case_argument
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="Directory for results; default: results/<name of the case>.",
)
@click.option("--workers", type=click.IntRange(min=1), help="Processes to use; default: every core.")
@json_option
@click.option("--fresh", is_flag=True, help="Compute every variant anew, even those whose results are there.")
@click.option("--no-report", is_flag=True, help="Leave out report.html.")
@click.option(
    "--require-within", is_flag=True, help="Exit with code 5 where nothing stays within every limit."
)
def command(
    case_file: Path,
    out: Path | None,
    workers: int | None,
    as_json: bool,
    fresh: bool,
    no_report: bool,
    require_within: bool,
) -> None:
    """Tell how thick each build-up of a case may be on each elevation.

    Every variant of the case (each build-up, thickness and elevation, and the bare wall) is simulated on all
    cores and judged against the limits. Complete results of the same case and version are reused, so an
    interrupted assessment goes on where it stopped.

    \b
    Example:
      hygro assess cases/first-look.toml
    """  # noqa: D301
    from hygro.case import load_case
    from hygro.decide import assess

    case = load_case(case_file)
    out_dir = out or default_directory(case_file)
    with _progress() as progress:
        assessment = assess(case, out_dir=out_dir, workers=workers, progress=progress, resume=not fresh)
    if not as_json:
        _print_tables(assessment)
    report, trouble = (None, None) if no_report else _write_report(out_dir)
    if as_json:
        _print_json(assessment, report)
    else:
        _print_paths(assessment, report)
    _exit_code(assessment, require_within)
    if trouble is not None:
        raise trouble


@contextmanager
def _progress() -> Iterator[Progress | None]:
    """Show a bar on stderr where that is a terminal."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("walls", total=None)
        yield lambda done, total, verdict: bar.update(task, completed=done, total=total)


def _write_report(out_dir: Path) -> tuple[Path | None, HygroError | None]:
    """Write the report; what hinders it must not hide what was found."""
    from hygro.report import write_report

    try:
        return write_report(out_dir), None
    except HygroError as failure:
        click.echo(f"warning: there is no report: {failure.sentence()}", err=True)
        return None, failure


def _print_json(assessment: Assessment, report: Path | None) -> None:
    from hygro.decide.files import document

    where = {"directory": str(assessment.out_dir), "report": None if report is None else str(report)}
    print_json(document(assessment) | where)


def _print_tables(assessment: Assessment) -> None:
    click.echo(f"{assessment.title}\n")
    by_slug = {verdict.slug: verdict for verdict in assessment.verdicts}
    if assessment.answers:
        columns = [
            "build-up",
            "elevation",
            "within every limit",
            "or marginal",
            "U>",
            "heat saved>",
            "what governs",
        ]
        print_table("How thick it may be", columns, [_answer_row(a, by_slug) for a in assessment.answers])
        click.echo("U in W/(m2 K); heat saved in a year against the bare wall.\n")
    _print_matrix(assessment)
    _print_notes(assessment)


def _print_paths(assessment: Assessment, report: Path | None) -> None:
    for name, path in (
        ("report", report),
        ("tables", assessment.csv_path),
        ("runs", assessment.out_dir / "runs"),
    ):
        if path is not None:
            click.echo(f"{name}: {path}")


def _answer_row(answer: Answer, by_slug: Mapping[str, Verdict]) -> list[str]:
    from hygro.decide.words import heat_words, percent_words, thickness_words

    within, marginal = "none", "none"
    if answer.outcome == "within":
        within = thickness_words(answer.greatest_within_mm)
    if answer.outcome in ("within", "marginal"):
        marginal = thickness_words(answer.greatest_marginal_mm)
    if answer.outcome == "unknown":
        within = marginal = "unknown"
    saved = "-"
    if answer.heat_saved is not None:
        saved = f"{heat_words(answer.heat_saved)}, {percent_words(answer.heat_saved_percent)}"
    u_value = "-" if answer.u_value is None else f"{answer.u_value:.2f}"
    governs = _what_governs(answer, by_slug)
    return [answer.build_up, answer.elevation_name, within, marginal, u_value, saved, governs]


def _what_governs(answer: Answer, by_slug: Mapping[str, Verdict]) -> str:
    """Say what makes the chosen thickness marginal, and what stops the next."""
    from hygro.decide.words import governing_words, thickness_words

    parts = []
    if answer.outcome == "marginal":
        chosen = by_slug[answer.chosen]
        parts.append(f"{thickness_words(chosen.thickness_mm)} marginal: {governing_words(chosen.governing)}")
    if answer.next_state == "unknown":
        parts.append(f"{thickness_words(answer.next_thicker_mm)} could not be computed")
    elif answer.next_state:
        governing = governing_words(answer.next_governing)
        parts.append(f"{thickness_words(answer.next_thicker_mm)} {answer.next_state}: {governing}")
    return "; ".join(parts) or "-"


def _print_matrix(assessment: Assessment) -> None:
    """Print the state of every variant: a row a build-up and elevation, a column a thickness."""
    from hygro.decide.words import thickness_words

    verdicts = assessment.verdicts
    thicknesses = sorted({v.thickness_mm for v in verdicts}, key=lambda t: -1.0 if t is None else t)
    rows: dict[tuple[str, str], dict[float | None, str]] = {}
    for verdict in verdicts:
        cells = rows.setdefault((verdict.build_up, verdict.elevation_name), {})
        cells[verdict.thickness_mm] = "? failed" if verdict.status == "failed" else state_words(verdict.state)
    columns = ["build-up", "elevation", *(thickness_words(thickness) for thickness in thicknesses)]
    table = [[*key, *(cells.get(thickness, "") for thickness in thicknesses)] for key, cells in rows.items()]
    print_table("State of every variant", columns, table)


def _print_notes(assessment: Assessment) -> None:
    notes: dict[str, list[str]] = {}
    for answer in assessment.answers:
        for note in answer.notes:
            notes.setdefault(note, []).append(f"{answer.build_up}, {answer.elevation_name}".rstrip(", "))
    for note, where in notes.items():
        click.echo(f"note: {note} ({'; '.join(where)})")
    if notes:
        click.echo("")


def _exit_code(assessment: Assessment, require_within: bool) -> None:
    """End with an error where variants failed, or where nothing is within and that was asked for."""
    failed = assessment.failed
    if failed:
        raise BatchError(
            f"{len(failed)} of {len(assessment.verdicts)} variants failed",
            hint=f"{assessment.csv_path} says why; the results of the others are kept",
        )
    if require_within and not any(answer.outcome == "within" for answer in assessment.answers):
        raise LimitError("no thickness of any build-up stays within every limit", where=assessment.case_file)
