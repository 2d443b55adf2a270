"""Many jobs on local cores, one process each, every one limited to a single thread."""

from __future__ import annotations

import logging
import multiprocessing
import os
import signal
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from multiprocessing.reduction import ForkingPickler
from typing import Final, Protocol

from hygro.decide.jobs import Job, run_job
from hygro.decide.verdict import Verdict, failed_verdict
from hygro.errors import CaseError

Done = Callable[[int, Verdict], None]
"""Called with the position of a job and its verdict as soon as it is there."""

THREAD_VARIABLES: Final = (
    "OMP_NUM_THREADS",
    "OPENBLAS_NUM_THREADS",
    "MKL_NUM_THREADS",
    "BLIS_NUM_THREADS",
    "VECLIB_MAXIMUM_THREADS",
    "NUMEXPR_NUM_THREADS",
    "NUMBA_NUM_THREADS",
)
"""Read by numerical libraries when they are first imported, so set before a worker starts."""

_BROKEN = (
    "its worker process ended without an answer; memory may have run out (use fewer workers), or the calling "
    'script lacks the line if __name__ == "__main__"'
)

_log = logging.getLogger(__name__)


class _Flag(Protocol):
    def is_set(self) -> bool: ...


_stop: _Flag | None = None  # set once in each worker, before its first job


def worker_count(asked: int | None, jobs: int) -> int:
    """Return how many processes to use.

    Parameters
    ----------
    asked : int or None
        None takes every core that this process may run on.
    jobs : int
        How much there is to do.

    Returns
    -------
    int
        At least 1, at most `jobs`.

    Raises
    ------
    CaseError
        Fewer than 1 was asked for.
    """
    if asked is not None and asked < 1:
        raise CaseError("the number of workers is unusable", found=asked, expected="1 or more")
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return max(1, min(asked or cores, jobs))


def run_jobs(jobs: Sequence[Job], workers: int, done: Done) -> None:
    """Run jobs and hand over each verdict as it comes.

    Parameters
    ----------
    jobs : sequence of Job
        Of one case.
    workers : int
        With 1 everything runs in this process.
    done : callable
        Takes the position of the job and its verdict.

    Raises
    ------
    KeyboardInterrupt
        Passed on once the workers have stopped; finished runs are on disk.
    """
    if workers > 1 and not _can_travel(jobs[0]):
        _log.warning("the case holds materials made of Python functions; its variants run one after another")
        workers = 1
    if workers == 1:
        for position, job in enumerate(jobs):
            done(position, run_job(job))
        return
    _run_in_processes(jobs, workers, done)


def _run_in_processes(jobs: Sequence[Job], workers: int, done: Done) -> None:
    # A forked child would inherit the locks of threads that it does not have.
    context = multiprocessing.get_context("spawn")
    stop = context.Event()
    with (
        one_thread_each(),
        ProcessPoolExecutor(workers, mp_context=context, initializer=_begin, initargs=(stop,)) as pool,
    ):
        try:
            futures = {pool.submit(_work, job): position for position, job in enumerate(jobs)}
            for future in as_completed(futures):
                position = futures[future]
                done(position, _verdict(future, jobs[position]))
        except BaseException:
            stop.set()
            pool.shutdown(wait=True, cancel_futures=True)
            raise


def _verdict(future: Future[Verdict], job: Job) -> Verdict:
    try:
        return future.result()
    except BrokenProcessPool:
        return failed_verdict(job.variant, _BROKEN)


@contextmanager
def one_thread_each() -> Iterator[None]:
    """Limit numerical libraries to one thread in processes that are started meanwhile."""
    saved = {name: os.environ.get(name) for name in THREAD_VARIABLES}
    os.environ.update(dict.fromkeys(THREAD_VARIABLES, "1"))
    try:
        yield
    finally:
        for name, value in saved.items():
            if value is None:
                os.environ.pop(name, None)
            else:
                os.environ[name] = value


def _begin(stop: _Flag) -> None:
    """Prepare a worker: the parent alone answers an interrupt, and tells the workers by the flag."""
    global _stop
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _stop = stop


def _work(job: Job) -> Verdict:
    return run_job(job, None if _stop is None else _stop.is_set)


def _can_travel(job: Job) -> bool:
    """Tell whether a case can be sent to another process; curves given as local functions cannot."""
    try:
        ForkingPickler.dumps(job)
    except Exception:  # whatever hinders it, one process can do the work
        return False
    return True
