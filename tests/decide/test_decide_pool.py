import os
from concurrent.futures import Future
from concurrent.futures.process import BrokenProcessPool

import pytest
from tiny_study import TEXT

from hygro.case import parse_case
from hygro.decide import pool
from hygro.decide.jobs import Job, Stopped, run_job
from hygro.decide.pool import THREAD_VARIABLES, one_thread_each, run_jobs, worker_count
from hygro.errors import CaseError
from hygro.materials import Material


def jobs_of(case, folder):
    return [Job(case, variant, folder, reuse=False) for variant in case.variants()]


def test_there_are_no_more_workers_than_jobs_and_never_none():
    assert worker_count(8, 3) == 3
    assert worker_count(2, 30) == 2
    assert worker_count(None, 1) == 1
    assert worker_count(None, 1000) == len(os.sched_getaffinity(0))


def test_fewer_than_one_worker_is_refused():
    with pytest.raises(CaseError, match="number of workers is unusable, found 0"):
        worker_count(0, 3)


def test_libraries_have_one_thread_meanwhile_and_their_old_setting_after(monkeypatch):
    monkeypatch.setenv("OMP_NUM_THREADS", "7")
    monkeypatch.delenv("MKL_NUM_THREADS", raising=False)
    with one_thread_each():
        assert {os.environ[name] for name in THREAD_VARIABLES} == {"1"}
    assert os.environ["OMP_NUM_THREADS"] == "7"
    assert "MKL_NUM_THREADS" not in os.environ


def test_a_worker_that_died_leaves_a_failed_verdict(tiny_case, tmp_path):
    future = Future()
    future.set_exception(BrokenProcessPool())
    found = pool._verdict(future, jobs_of(tiny_case, tmp_path)[0])
    assert found.status == "failed"
    assert "memory may have run out" in found.message


def test_a_run_that_is_told_to_stop_leaves_no_file(tiny_case, tmp_path):
    with pytest.raises(Stopped):
        run_job(jobs_of(tiny_case, tmp_path)[0], stopped=lambda: True)
    assert list(tmp_path.rglob("*.nc")) == []


def test_a_failing_job_removes_the_old_result_that_it_was_to_replace(tiny_case, tmp_path, monkeypatch):
    job = jobs_of(tiny_case, tmp_path)[0]
    path = tmp_path / job.run_file
    path.parent.mkdir()
    path.write_text("old")
    monkeypatch.setattr("hygro.results.simulate.simulate", lambda *a, **k: 1 / 0)
    found = run_job(job)
    assert found.status == "failed"
    assert found.message.startswith("unexpected ZeroDivisionError at ")
    assert (found.run_file, path.exists()) == ("", False)


def test_a_damaged_result_is_computed_again(tiny_case, tmp_path):
    first = jobs_of(tiny_case, tmp_path)[0]
    path = tmp_path / first.run_file
    path.parent.mkdir()
    path.write_bytes(b"damaged")
    found = run_job(Job(tiny_case, first.variant, tmp_path, reuse=True))
    assert (found.status, found.reused) == ("complete", False)


def test_materials_made_of_python_functions_run_without_other_processes(tmp_path, monkeypatch, caplog):
    own = Material.from_curves(
        name="own",
        density=1700.0,
        specific_heat=850.0,
        conductivity_dry=0.6,
        porosity=0.3,
        free_saturation=200.0,
        storage=lambda suction: 200.0 / (1.0 + (suction / 1e5) ** 0.8),
        vapour=10.0,
    )
    case = parse_case(TEXT.replace("solid-brick", "own"), tmp_path / "own.toml", materials={"own": own})
    monkeypatch.setattr(pool, "_run_in_processes", lambda *a: pytest.fail("a process was started"))
    found = {}
    run_jobs(jobs_of(case, tmp_path)[:2], 2, found.__setitem__)
    assert [found[position].status for position in (0, 1)] == ["complete", "complete"]
    assert "one after another" in caplog.text
