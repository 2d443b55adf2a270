"""Interrupting an assessment that runs in several processes, as Ctrl-C does."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from tiny_study import SLUGS, TEXT, write_study

from hygro.case import load_case
from hygro.decide import warm_up as warm_up_module
from hygro.decide.reuse import is_reusable
from hygro.decide.warm_up import warm_up

SCRIPT = """\
import logging, os, signal, sys
from pathlib import Path
from hygro.case import load_case
from hygro.decide.assessment import assess

def interrupt(done, total, verdict):
    os.kill(os.getpid(), signal.SIGINT)

if __name__ == "__main__":
    logging.basicConfig(level=logging.INFO)
    signal.signal(signal.SIGINT, signal.default_int_handler)  # a parent in the background ignores it
    try:
        assess(load_case("tiny.toml"), out_dir=Path("out"), workers=2, progress=interrupt)
    except KeyboardInterrupt:
        sys.exit(130)
"""


@pytest.fixture
def study(tmp_path):
    """A year of five walls, so that some are under way while the first verdict arrives."""
    text = TEXT.replace("hours = 72", "years = 1").replace("[20, 60]", "[20, 60, 100, 140]")
    return load_case(write_study(tmp_path, text))


@pytest.mark.slow
def test_workers_stop_what_is_complete_stays_and_nothing_else_is_left(study):
    folder = study.path.parent
    (folder / "script.py").write_text(SCRIPT)
    done = subprocess.run(
        [sys.executable, "script.py"],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(Path(warm_up_module.__file__).parents[2])},
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert done.returncode == 130, done.stderr
    assert "runs are complete and kept in" in done.stderr
    assert "Traceback" not in done.stderr
    files = [path for path in (folder / "out").rglob("*") if path.is_file()]
    kept = {path.stem for path in files}
    # At least the run whose verdict set off the interrupt; never all five.
    assert 1 <= len(kept) < len(study.variants())
    assert all(is_reusable(path, study, study.variant(path.stem)) for path in files)


@pytest.mark.parametrize(("compiled", "said"), [(False, True), (True, False)])
def test_compiling_is_announced_where_it_happens(tiny_case, monkeypatch, caplog, compiled, said):
    monkeypatch.setattr("hygro.solve.binding.is_compiled", lambda: compiled)
    with caplog.at_level("INFO", logger="hygro"):
        warm_up(tiny_case, tiny_case.variants()[0])
    assert ("compiling the solver for this machine, once" in caplog.text) is said


def test_warming_up_marches_one_hour_of_the_variant_asked_for(tiny_case, monkeypatch):
    from hygro.solve import march as march_module

    seen = []
    march = march_module.march

    def watch(model, grid, span, *rest):
        solution = march(model, grid, span, *rest)
        seen.append((len(model.layers), solution.hours))
        return solution

    monkeypatch.setattr(march_module, "march", watch)
    warm_up(tiny_case, tiny_case.variant(SLUGS[2]))
    assert seen == [(2, 1)]
