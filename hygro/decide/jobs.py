"""One variant from start to verdict: reuse or simulate, then judge. Runs in the parent or in a worker."""

from __future__ import annotations

import logging
import traceback
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from hygro.case.case import Case
from hygro.case.variants import Variant
from hygro.decide.verdict import Verdict, failed_verdict, verdict_of
from hygro.errors import HygroError, ResultError

if TYPE_CHECKING:
    import xarray as xr

RUNS = "runs"
"""Directory of the result files within that of an assessment."""

_log = logging.getLogger(__name__)


class Stopped(Exception):  # noqa: N818 - not an error: the user has asked for it
    """The run was given up because the assessment was interrupted."""


@dataclass(frozen=True)
class Job:
    """One variant to judge.

    Parameters
    ----------
    case : Case
        The case.
    variant : Variant
        Which of its variants.
    out_dir : Path
        Directory of the assessment.
    reuse : bool
        Whether its result file stands for the variant as it is.
    resume : bool
        Whether to go on from what a run that was stopped has left.
    """

    case: Case
    variant: Variant
    out_dir: Path
    reuse: bool
    resume: bool = True

    @property
    def run_file(self) -> str:
        """Result file relative to the directory of the assessment."""
        return f"{RUNS}/{self.variant.slug}.nc"


def run_job(job: Job, stopped: Callable[[], bool] | None = None) -> Verdict:
    """Simulate a variant, or load what was simulated before, and judge it.

    Parameters
    ----------
    job : Job
        What to do.
    stopped : callable, optional
        Asked about once per simulated month whether to give up.

    Returns
    -------
    Verdict
        With status "failed" where the variant cannot be computed, whatever the reason.

    Raises
    ------
    Stopped
        `stopped` said so; nothing is left behind.
    """
    try:
        dataset, reused = _dataset(job, stopped)
        return verdict_of(dataset, job.variant, run_file=job.run_file, reused=reused)
    except Stopped:
        raise
    except HygroError as failure:
        return failed_verdict(job.variant, failure.sentence(), _kept(job))
    except Exception as failure:  # a bug in one variant must not cost the others
        _log.debug("%s", traceback.format_exc())
        return failed_verdict(job.variant, _unexpected(failure), _kept(job))


def _dataset(job: Job, stopped: Callable[[], bool] | None) -> tuple[xr.Dataset, bool]:
    from hygro.results import load
    from hygro.results.simulate import simulate

    path = job.out_dir / job.run_file
    if job.reuse:
        try:
            return load(path), True
        except ResultError as failure:
            _log.warning("%s It is computed again.", failure.sentence())

    def watch(done: int, most: int) -> None:
        if stopped is not None and stopped():
            raise Stopped

    path.unlink(missing_ok=True)  # an old result must not pass for this one if this one fails
    return simulate(job.case, job.variant, out=path, progress=watch, resume=job.resume), False


def _kept(job: Job) -> str:
    return job.run_file if (job.out_dir / job.run_file).is_file() else ""


def _unexpected(failure: Exception) -> str:
    last = traceback.extract_tb(failure.__traceback__)[-1]
    place = f"{Path(last.filename).name}:{last.lineno}"
    return f"unexpected {type(failure).__name__} at {place}: {failure}"
