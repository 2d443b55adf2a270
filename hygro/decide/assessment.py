"""Assess a case: all of its variants side by side, then a verdict on each and an answer for each build-up."""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from hygro.case.case import Case
from hygro.case.limits import LIMITS, MARGINS
from hygro.decide.answers import Answer, answers_of
from hygro.decide.files import CSV_NAME, JSON_NAME, write_verdicts
from hygro.decide.jobs import RUNS, Job
from hygro.decide.pool import run_jobs, worker_count
from hygro.decide.reuse import is_reusable, made_by_modified_copy
from hygro.decide.verdict import Verdict, with_heat_saved
from hygro.decide.warm_up import warm_up
from hygro.results.provenance import source_text, versions
from hygro.whole_files import make_directory

Progress = Callable[[int, int, Verdict], None]
"""Called with the number of finished variants, the number of all, and the verdict that has just come."""

_log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Assessment:
    """What an assessment found.

    Parameters
    ----------
    title, description, case_file : str
        Of the case.
    case_sha256 : str
        Digest of everything the results depend on.
    case_resolved : mapping
        The case with every default filled in.
    limits : mapping
        "value", "source" and "meaning" of each limit and margin, by key.
    versions : mapping
        Of hygro and what it stands on.
    source : str
        hygro's version, in a working copy with the commit.
    out_dir : Path
        Where verdicts and runs lie.
    verdicts : tuple of Verdict
        One a variant, in the order of `case.variants()`.
    answers : tuple of Answer
        One for each build-up on each elevation.
    """

    title: str
    description: str
    case_file: str
    case_sha256: str
    case_resolved: Mapping[str, Any]
    limits: Mapping[str, Mapping[str, Any]]
    versions: Mapping[str, str]
    source: str
    out_dir: Path
    verdicts: tuple[Verdict, ...]
    answers: tuple[Answer, ...]

    @property
    def reused(self) -> int:
        """How many results were there already."""
        return sum(verdict.reused for verdict in self.verdicts)

    @property
    def failed(self) -> tuple[Verdict, ...]:
        """Variants that could not be computed."""
        return tuple(verdict for verdict in self.verdicts if verdict.status == "failed")

    @property
    def csv_path(self) -> Path:
        """Table of the verdicts."""
        return self.out_dir / CSV_NAME

    @property
    def json_path(self) -> Path:
        """Verdicts, answers, limits and the resolved case."""
        return self.out_dir / JSON_NAME


def assess(
    case: Case,
    *,
    out_dir: Path,
    workers: int | None = None,
    progress: Progress | None = None,
    resume: bool = True,
) -> Assessment:
    """Simulate and judge every variant of a case.

    Parameters
    ----------
    case : Case
        From `hygro.load_case`.
    out_dir : Path
        Gets runs/<slug>.nc, verdicts.csv and verdicts.json.
    workers : int, optional
        Processes; every core by default. With several, a script needs the guard
        ``if __name__ == "__main__":`` around the call, as always with processes that are spawned.
    progress : callable, optional
        Called after each variant.
    resume : bool
        Whether complete results of the same case, variant and version that lie in `out_dir` are taken as they
        are, and runs that were stopped go on from where they were. Without, and where anything differs, they
        are computed anew and replaced.

    Returns
    -------
    Assessment
        A variant that cannot be computed has a verdict of status "failed"; the others stand.

    Raises
    ------
    HygroError
        The climate or a material is not usable, or `out_dir` cannot be written to.
    KeyboardInterrupt
        Passed on; the runs that were complete are kept and will be reused.
    """
    jobs = _jobs(case, Path(out_dir), resume)
    new = [job for job in jobs if not job.reuse]
    if new:
        warm_up(case, new[0].variant)
    make_directory(Path(out_dir) / RUNS)
    verdicts = _run(jobs, worker_count(workers, len(jobs)), progress)
    assessment = _gather(case, Path(out_dir), with_heat_saved(verdicts))
    write_verdicts(assessment)
    return assessment


def _jobs(case: Case, out_dir: Path, resume: bool) -> list[Job]:
    """Plan every variant, and say what is reused and what is replaced."""
    paths = {variant.slug: out_dir / RUNS / f"{variant.slug}.nc" for variant in case.variants()}
    jobs = [
        Job(case, variant, out_dir, resume and is_reusable(paths[variant.slug], case, variant), resume)
        for variant in case.variants()
    ]
    reused = sum(job.reuse for job in jobs)
    replaced = sum(paths[job.variant.slug].is_file() for job in jobs if not job.reuse)
    if reused:
        _log.info("%d of %d runs are reused from %s", reused, len(jobs), out_dir / RUNS)
        if made_by_modified_copy():
            _log.warning("this working copy holds changes that reused runs may not know of")
    if replaced:
        reason = "differ from the case or version as it is now, or are incomplete" if resume else "are there"
        _log.info("%d runs in %s %s and are computed again", replaced, out_dir / RUNS, reason)
    return jobs


def _run(jobs: Sequence[Job], workers: int, progress: Progress | None) -> list[Verdict]:
    found: dict[int, Verdict] = {}

    def done(position: int, verdict: Verdict) -> None:
        found[position] = verdict
        if verdict.status == "failed":
            _log.warning("%s failed: %s", verdict.slug, verdict.message)
        if progress is not None:
            progress(len(found), len(jobs), verdict)

    try:
        run_jobs(jobs, workers, done)
    except KeyboardInterrupt:
        complete = sum(verdict.status == "complete" for verdict in found.values())
        _log.warning(
            "interrupted: %d of %d runs are complete and kept in %s; the same command goes on from there",
            complete, len(jobs), jobs[0].out_dir / RUNS,
        )  # fmt: skip
        raise
    return [found[position] for position in range(len(jobs))]


def _gather(case: Case, out_dir: Path, verdicts: tuple[Verdict, ...]) -> Assessment:
    meanings = {entry.key: entry.meaning for entry in (*LIMITS, *MARGINS)}
    sources = case.limit_sources()
    return Assessment(
        title=case.title,
        description=case.spec.description,
        case_file=case.path.name,
        case_sha256=case.digest(),
        case_resolved=case.resolved(),
        limits={
            key: {"value": value, "source": sources[key], "meaning": meanings[key]}
            for key, value in case.limits().items()
        },
        versions=versions(),
        source=source_text(),
        out_dir=out_dir,
        verdicts=verdicts,
        answers=answers_of(verdicts),
    )
