"""A process that is killed leaves nothing corrupt, and the same command ends with the same result."""

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest
from tiny_study import TEXT, write_study

import hygro
from hygro.case import load_case
from hygro.errors import SolverError
from hygro.results import load
from hygro.results import simulate as simulate_module
from hygro.results.checkpoint import SUFFIX, checkpoint_of, run_digest
from hygro.results.simulate import simulate
from hygro.solve import checkpoint as checkpoint_module
from hygro.solve import layout
from hygro.solve import march as march_module

SLUG = "wood-fibre-060mm-SW"
OF_THE_DAY = {"history", "wall_seconds", "compile_seconds"}
"""Attributes that hold a time of day or of work."""

SCRIPT = """\
import sys
from pathlib import Path

from hygro.case import load_case
from hygro.results.simulate import simulate
from hygro.solve import checkpoint, march

checkpoint.INTERVAL = 0.0
march.PORTION = 400
case = load_case("tiny.toml")
print("starts", flush=True)
variant, out = case.variant(sys.argv[1]), Path(sys.argv[2])
simulate(case, variant, out=out, progress=lambda done, most: print(done, flush=True))
print("ends", flush=True)
"""


@pytest.fixture
def study(tmp_path):
    return load_case(write_study(tmp_path, TEXT.replace("hours = 72", "years = 3")))


def start(folder, out):
    (folder / "script.py").write_text(SCRIPT)
    root = Path(hygro.__file__).parents[1]
    return subprocess.Popen(
        [sys.executable, "script.py", SLUG, out],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(root)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def assert_same(a, b):
    assert set(a.variables) == set(b.variables)
    for name in a.variables:
        assert np.array_equal(a[name].values, b[name].values), name
    for name in set(a.attrs) - OF_THE_DAY:
        assert a.attrs[name] == b.attrs[name], name


@pytest.mark.parametrize("kills", [1, pytest.param(5, marks=pytest.mark.slow)])
def test_killed_at_any_moment_and_restarted_to_the_same_bits(study, kills):
    """kill -9, each time at another moment of three years, then to the end."""
    folder = study.path.parent
    simulate(study, study.variant(SLUG), out=folder / "whole.nc")
    reached = 0
    moments = random.Random(time.time_ns())
    for _ in range(kills):
        process = start(folder, "killed.nc")
        until = int(reached + moments.uniform(0.05, 0.6) * (3 * 8760 - reached))
        for line in process.stdout:
            if line.strip().isdigit() and int(line) >= until:
                reached = int(line)
                break
        time.sleep(moments.uniform(0.0, 0.01))  # so that it may be in the middle of writing
        process.send_signal(signal.SIGKILL)
        process.communicate()
        assert not (folder / "killed.nc").exists()
    last = start(folder, "killed.nc")
    said, _ = last.communicate(timeout=120)
    assert last.returncode == 0
    hours = [int(line) for line in said.split() if line.isdigit()]
    assert not hours or hours[0] > reached - 400  # it goes on, it does not start anew
    assert_same(load(folder / "killed.nc"), load(folder / "whole.nc"))
    assert not [path for path in folder.iterdir() if SUFFIX in path.name]


@pytest.fixture
def often(monkeypatch):
    monkeypatch.setattr(checkpoint_module, "INTERVAL", 0.0)
    monkeypatch.setattr(march_module, "PORTION", 20)


def stopped(case, out, hours=40, **rest):
    def progress(done, most):
        if done >= hours:
            raise InterruptedError

    with pytest.raises(InterruptedError):
        simulate(case, case.variant(SLUG), out=out, progress=progress, **rest)


def first_hour(case, out, **rest):
    told = []
    simulate(case, case.variant(SLUG), out=out, progress=lambda done, most: told.append(done), **rest)
    return told[0]


@pytest.fixture
def short(tmp_path):
    return load_case(write_study(tmp_path))


def test_run_goes_on_and_says_so(short, tmp_path, often, caplog):
    out = tmp_path / "run.nc"
    stopped(short, out)
    with caplog.at_level("INFO", logger="hygro"):
        assert first_hour(short, out) == 60
    assert f"the run goes on from {out}{SUFFIX}" in caplog.text
    assert [path.name for path in tmp_path.glob("*run.nc*")] == ["run.nc"]


def test_without_resume_it_starts_anew(short, tmp_path, often, caplog):
    stopped(short, tmp_path / "run.nc")
    assert first_hour(short, tmp_path / "run.nc", resume=False) == 20
    assert not caplog.records


def test_state_of_another_case_is_not_used(short, tmp_path, often, caplog):
    stopped(short, tmp_path / "run.nc")
    other = load_case(write_study(tmp_path, TEXT.replace("thickness_mm = 225", "thickness_mm = 230")))
    assert first_hour(other, tmp_path / "run.nc") == 20
    assert "another case, wall, setting or version" in caplog.text


def test_digest_tells_walls_settings_grids_and_code_apart(short, monkeypatch):
    from dataclasses import replace

    from hygro.grid.cells import build_grid
    from hygro.model.build import build_wall
    from hygro.solve.settings import ACCURACIES

    variants = short.variants()
    models = [build_wall(short, variant) for variant in variants]
    base = (short, variants[2], ACCURACIES["draft"], build_grid(models[2]))
    found = {
        run_digest(*base),
        run_digest(short, variants[1], base[2], build_grid(models[1])),
        run_digest(*base[:2], replace(base[2], field_every=12), base[3]),
        run_digest(*base[:3], build_grid(models[2], 0.5)),
    }
    monkeypatch.setattr("hygro.results.checkpoint.code_digest", lambda: "other code")
    found.add(run_digest(*base))
    assert len(found) == 5


def test_march_that_stops_leaves_a_partial_result_and_no_state(short, tmp_path, often, monkeypatch):
    """What failed would fail again: there is nothing to go on from."""
    real = march_module.cpu_march()
    calls = []

    def fails_later(*arguments):
        calls.append(1)
        if len(calls) < 4:
            return real(*arguments)
        arguments[-1][layout.C_HOUR] = 0
        return layout.TOO_MANY_STEPS

    monkeypatch.setattr(march_module, "cpu_march", lambda: fails_later)
    out = tmp_path / "run.nc"
    with pytest.raises(SolverError, match="marked partial") as raised:
        simulate(short, short.variant(SLUG), out=out)
    for part in ("hour 60: ", "in layer 'brick' (solid-brick) at ", "node ", "%RH", "try [grid] scale"):
        assert part in raised.value.sentence()
    assert load(out).attrs["status"].startswith("partial: hour")
    assert not (tmp_path / f"run.nc{SUFFIX}").exists()


def test_checkpoint_lies_beside_the_result(short, tmp_path):
    from hygro.grid.cells import build_grid
    from hygro.model.build import build_wall
    from hygro.solve.settings import ACCURACIES

    variant = short.variant(SLUG)
    found = checkpoint_of(
        tmp_path / "runs" / "a.nc",
        short,
        variant,
        ACCURACIES["draft"],
        build_grid(build_wall(short, variant)),
    )
    assert found.path == tmp_path / "runs" / "a.nc.unfinished"
    assert simulate_module.checkpoint_of is checkpoint_of
