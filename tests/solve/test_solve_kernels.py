"""Kernels as code.

Compiled and plain give the same, the cache key sees every source, failures come back as text.
"""

import inspect
import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from solver_walls import constant_boundary, fixed_boundary, layer, plain_material, run, wall, within
from test_solve_sources import all_switches
from walls_in_rain import insulated

from hygro.materials.tables import LOG_SUCTION
from hygro.solve import binding, kernels
from hygro.solve import march as march_module

HERE = Path(__file__).parent

PLAIN = """
import json, sys
from solver_walls import run
from test_solve_sources import all_switches
from walls_in_rain import insulated
from hygro.solve import binding, kernels

assert binding.cpu_march() is kernels.march
model = {"insulated": insulated, "all_switches": all_switches}[sys.argv[2]]
solution = run(model(int(sys.argv[1])), field_every=1).solution
parts = (solution.temperature, solution.log_suction, solution.flows)
print(json.dumps([*(part.tolist() for part in parts), solution.steps]))
"""


@pytest.mark.parametrize(("model", "hours"), [(insulated, 16), (all_switches, 9)])
def test_plain_and_compiled_agree(model, hours):
    """The same source undecorated, in a process of its own.

    States to 1e-12, hourly flows to 1e-9 of the largest.

    Compilers may order and fuse operations differently; iterations keep such differences at rounding. With
    all switches on, the tenth hour has iterations that go to and fro and double it each time: it is left out.
    """
    path = os.pathsep.join(
        [str(HERE), str(HERE.parent), str(HERE.parents[1]), os.environ.get("PYTHONPATH", "")]
    )
    environment = {**os.environ, "NUMBA_DISABLE_JIT": "1", "PYTHONPATH": path}
    done = subprocess.run(
        [sys.executable, "-c", PLAIN, str(hours), model.__name__],
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    temperature, log_suction, flows, steps = json.loads(done.stdout)
    here = run(model(hours), field_every=1).solution
    assert steps == here.steps
    within(np.abs(np.array(temperature) / here.temperature - 1.0).max(), 1e-12, "temperature, share")
    within(np.abs(np.array(log_suction) - here.log_suction).max(), 1e-11, "log10 suction")
    within(
        np.abs(np.array(flows) - here.flows).max() / np.abs(here.flows).max(),
        1e-12,
        "flows, share of the largest",
    )


def test_kernels_run_undecorated_in_this_process():
    """The plain functions march as well, so that a debugger can walk through them."""
    assert not hasattr(kernels.march, "py_func")
    assert kernels.march.__module__ == "hygro.solve.kernels"


@pytest.mark.parametrize("module", binding.SOURCES, ids=lambda module: module.__name__)
def test_digest_sees_every_source(module, monkeypatch):
    """A change of text in any module that is compiled gives another cache."""
    before, folder = binding.source_digest(), binding.cache_directory()
    original = binding.inspect.getsource
    monkeypatch.setattr(
        binding.inspect, "getsource", lambda m: original(m) + ("\n# changed" if m is module else "")
    )
    assert binding.source_digest() != before
    assert binding.cache_directory() != folder


def test_digest_covers_what_kernels_import():
    """Every hygro module that a kernel module takes names from is among the sources."""
    names = {module.__name__ for module in binding.SOURCES}
    for module in binding.SOURCES:
        for value in vars(module).values():
            origin = getattr(value, "__module__", None)
            if callable(value) and origin and origin.startswith("hygro."):
                assert origin in names, f"{module.__name__} uses {value.__name__} of {origin}"


def test_kernel_modules_stand_in_the_order_in_which_they_are_compiled():
    """Each takes functions only from modules before it, and no two define one of the same name.

    A function is compiled with those that are compiled already; one scope holds them all by name.
    """
    seen, names = set(), set()
    for module in binding.COMPILED:
        functions = {name: f for name, f in vars(module).items() if inspect.isfunction(f)}
        own = {name for name, f in functions.items() if f.__module__ == module.__name__}
        assert own
        assert not own & names
        assert {f.__module__ for f in functions.values()} <= {*seen, module.__name__}
        names |= own
        seen.add(module.__name__)


def spoilt(hours, hour, **changes):
    """A wall whose outdoor climate becomes impossible at an hour; no loader would let it through."""
    model = insulated(hours)
    values = {name: getattr(model.external, name).copy() for name in changes}
    for name, value in changes.items():
        values[name][hour] = value
    return replace(model, external=replace(model.external, **values))


@pytest.mark.parametrize(
    "changes",
    [
        {"temperature": np.nan},
        {"heat_coefficient": np.inf},
        {"vapour_pressure": np.nan},
        {"rain": np.inf},
        {"temperature": 1e30},
    ],
    ids=lambda changes: "{} {}".format(*next(iter(changes.items()))),
)
def test_impossible_climate_stops_with_a_sentence(changes):
    """The march neither raises nor carries on with NaN.

    It says where it stopped and keeps the hours before.
    """
    sound = run(insulated(48), field_every=1).solution
    failed = run(spoilt(48, 20, **changes), field_every=1).solution
    assert failed.hours == 20
    assert failed.failure.startswith("hour 20: ")
    assert "mm" in failed.failure
    assert np.array_equal(failed.temperature, sound.temperature[:20])
    assert np.array_equal(failed.flows, sound.flows[:20])
    assert len(failed.field_hours) == 21
    assert np.isfinite(failed.field_temperature).all()


def test_impossible_climate_stops_undecorated_kernels_as_well(monkeypatch):
    """In plain Python NaN raises nothing either, and ends with the sentence of the compiled kernels."""
    model = spoilt(4, 2, temperature=np.nan)
    compiled = run(model).solution
    monkeypatch.setattr(march_module, "cpu_march", lambda: kernels.march)
    plain = run(model).solution
    assert plain.hours == 2
    assert plain.failure == compiled.failure


def test_too_many_steps_is_a_failure_with_a_sentence():
    stopped = run(insulated(48), accuracy="reference", most_steps=3).solution
    assert "too many steps" in stopped.failure
    assert stopped.hours < 48
    assert len(stopped.flows) == stopped.hours


def test_failure_in_the_first_hour_leaves_nothing():
    failed = run(spoilt(10, 0, temperature=np.nan)).solution
    assert failed.hours == 0
    assert failed.failure.startswith("hour 0: ")
    assert failed.year_edges.tolist() == [0]
    assert len(failed.field_hours) == 1


def smooth_wall(hours):
    """A slab with vapour and liquid that settles after a step of the air: one jump, then smooth."""
    material = plain_material(
        "slow",
        conductivity=0.5,
        capacity=1.2e6,
        resistance=8.0,
        full=100.0,
        liquid=lambda suction: 1e-15 / (1.0 + (suction / 1e7) ** 2),
    )
    outside = constant_boundary(
        hours=hours,
        temperature=275.15,
        relative_humidity=0.85,
        heat_coefficient=20.0,
        vapour_coefficient=1e-7,
    )
    inside = constant_boundary(
        hours=hours, temperature=293.15, relative_humidity=0.5, heat_coefficient=8.0, vapour_coefficient=4e-8
    )
    return wall([layer(material, 0.1, 285.15, 0.7)], outside, inside)


def end_errors(steps, reference, **settings):
    """Largest error of temperature [K] and humidity [1] after six hours, for steps of fixed length [s]."""
    errors = []
    for step in steps:
        fixed = {"longest_step": step, "shortest_step": step, **settings}
        result = run(smooth_wall(6), field_every=6, accuracy="reference", tolerance=1e-6, **fixed)
        assert result.solution.steps <= 1.05 * 6 * 3600 / step  # one that does not settle is divided
        errors.append(
            (
                np.abs(result.temperature[-1] - reference.temperature[-1]).max(),
                np.abs(result.humidity[-1] - reference.humidity[-1]).max(),
            )
        )
    return np.array(errors)


@pytest.fixture(scope="module")
def finest():
    """The same six hours in steps of half a second."""
    fixed = {"longest_step": 0.5, "shortest_step": 0.5}
    return run(smooth_wall(6), field_every=6, accuracy="reference", tolerance=1e-6, **fixed)


def test_second_order_in_time(finest):
    """Fixed steps of 112 and 28 s: a quarter of the step leaves a sixteenth of the error, in both unknowns.

    Below 28 s the vapour of the first jump, which surfaces get back a step late, is some 1e-8 and shows.
    """
    errors = end_errors((112.5, 28.125), finest)
    order = np.log2(errors[0] / errors[1]) / 2.0
    print("errors", errors.tolist(), "order of temperature and humidity:", order.tolist())
    assert order.min() > 1.85


def test_draft_is_of_first_order(finest):
    """Two solves: a quarter of the step, a quarter of the error; larger errors than with three."""
    errors = end_errors((900.0, 225.0), finest, solves=2)
    order = np.log2(errors[0] / errors[1]) / 2.0
    print("errors", errors.tolist(), "order of temperature and humidity:", order.tolist())
    assert order.min() > 0.7
    assert order.max() < 1.4
    assert np.all(errors[1] > end_errors((225.0,), finest)[0])


def test_time_error_falls_with_the_tolerance(finest):
    """Error control where it binds: a hundredth of the tolerance leaves less than a fifth of the error.

    The step goes with the cube root of the tolerance and the error with the square of the step: 100^(2/3)
    is 22.
    """
    errors = []
    for tolerance in (1e-4, 1e-6):
        end = run(smooth_wall(6), field_every=6, tolerance=tolerance, longest_step=3600.0, shortest_step=0.1)
        errors.append(np.abs(end.temperature[-1] - finest.temperature[-1]).max())
    print("temperature errors, K:", errors)
    assert errors[1] < errors[0] / 5.0


WORK = (
    *("Q_", "SUM_", "L_", "D_T", "D_X", "U_", "F_W", "F_H", "R_", "M_", "G_"),
    *("WEIGHT", "OLD_", "NEW_", "Z_", "MOVED", "DRIFT", "J_"),
)


def test_layout_has_no_overlaps():
    """Columns that share an array are distinct and within its width."""
    from hygro.solve import layout

    for prefixes, width in (
        (WORK, layout.J_HXI + 1),
        (
            (
                "E_BLOCK",
                "E_BEHIND",
                "E_COND",
                "E_HEAT_",
                "E_VAPOUR_",
                "E_RAIN",
                "E_SENSIBLE",
                "E_PRESSURE",
                "E_OWED",
                "E_BEYOND",
            ),
            layout.EDGE_COLUMNS - 10,
        ),
        (("B_",), layout.BOUNDARY_COLUMNS),
        (("C_",), layout.COUNTERS),
        (("S_",), layout.SETTINGS),
        (("K_",), layout.CONTROL),
        (("N_",), layout.SOURCE_COLUMNS),
        (("V_",), layout.V_RECORD + 1),
    ):
        columns = [
            v
            for k, v in vars(layout).items()
            if k.startswith(prefixes) and isinstance(v, int) and not k.endswith(("_EXT", "_INT", "_SOURCE"))
        ]
        first = 10 if prefixes[0] == "E_BLOCK" else 0  # below are the two flows with four slopes each
        assert sorted(columns) == list(range(first, first + width)), prefixes


def test_dry_end_of_the_table_is_not_left():
    """Air of 1 % humidity draws a slab towards the driest state without leaving the table."""
    ends = fixed_boundary(temperature=293.15, relative_humidity=1e-9, hours=24 * 30)
    result = run(wall([layer(plain_material("slab"), 0.02, 293.15, 0.5)], ends, ends))
    assert result.solution.failure == ""
    assert result.log_suction.max() <= LOG_SUCTION[-1]
    assert result.water.min() >= 0.0
