import json
from pathlib import Path

import pytest

from hygro.errors import SolverError
from hygro.results import load

RUN = "results/tiny/runs/wood-fibre-060mm-SW.nc"


def test_one_wall_is_simulated_and_summed_up(run, case_file):
    found = run("simulate", case_file, "--variant", "wood-fibre-060mm-SW")
    assert found.exit_code == 0, found.output
    assert "brick | insulation" in found.stdout
    assert "heat balance error" in found.stdout
    assert f"result: {RUN}" in found.stdout
    assert load(RUN).attrs["status"] == "complete"


def test_json_has_the_numbers_of_the_file(run, case_file):
    data = json.loads(run("simulate", case_file, "--variant", "wood-fibre-060mm-SW", "--json").stdout)
    dataset = load(data["file"])
    humidity = 100.0 * dataset["relative_humidity"].sel(place="brick | insulation")
    (place,) = [entry for entry in data["places"] if entry["place"] == "brick | insulation"]
    assert place["largest_RH_percent"] == pytest.approx(float(humidity.max()))
    assert place["mean_RH_percent"] == pytest.approx(float(humidity.mean()))
    assert place["depth_mm"] == pytest.approx(225.0)
    assert data["years"][0]["hours"] == 72.0
    assert data["years"][0]["balance_moisture"] == float(dataset["balance_moisture"][0])
    assert data["years"][0]["heat_loss_kWh_m2"] == float(dataset["year_heat_loss"][0])
    assert data["thickness_mm"] == 60.0


def test_a_case_with_one_wall_needs_no_name(run, single_file):
    found = run("simulate", single_file)
    assert found.exit_code == 0, found.output
    assert Path("results/single/runs/bare-wall-SW.nc").is_file()


def test_of_several_walls_one_must_be_named_and_they_are_listed(run, case_file):
    found = run("simulate", case_file)
    assert found.exit_code == 3
    assert "bare-wall-SW, wood-fibre-020mm-SW, wood-fibre-060mm-SW" in found.stderr


def test_a_near_miss_is_suggested(run, case_file):
    found = run("simulate", case_file, "--variant", "bare-wal-SW")
    assert found.exit_code == 3
    assert "did you mean 'bare-wall-SW'" in found.stderr


def test_a_result_of_the_same_wall_is_reused_unless_fresh(run, case_file, monkeypatch):
    arguments = ("simulate", case_file, "--variant", "bare-wall-SW")
    first = run(*arguments)
    with monkeypatch.context() as patched:
        patched.setattr("hygro.results.simulate.simulate", lambda *a, **k: pytest.fail("simulated again"))
        again = run(*arguments)
    assert "reused: " in again.stderr
    assert again.stdout == first.stdout
    fresh = run(*arguments, "--fresh")
    assert "is replaced" in fresh.stderr


def test_assess_takes_over_what_simulate_has_computed(run, case_file):
    run("simulate", case_file, "--variant", "bare-wall-SW")
    assert "1 of 3 runs are reused" in run("assess", case_file, "--workers", "1", "--no-report").stderr


def test_a_file_of_another_kind_is_not_replaced_unless_asked(run, case_file):
    arguments = ("simulate", case_file, "--variant", "bare-wall-SW", "--out", "notes.nc")
    Path("notes.nc").write_text("my notes")
    found = run(*arguments)
    assert found.exit_code == 3
    assert "there is a file already" in found.stderr
    assert Path("notes.nc").read_text() == "my notes"
    assert run(*arguments, "--fresh").exit_code == 0
    assert load("notes.nc").attrs["build_up"] == "bare wall"


def test_a_march_that_cannot_go_on_ends_with_4(run, case_file, monkeypatch):
    def fail(*arguments, **rest):
        raise SolverError("the march could not go on", where="bare-wall-SW", hint="the hours before are kept")

    monkeypatch.setattr("hygro.results.simulate.simulate", fail)
    found = run("simulate", case_file, "--variant", "bare-wall-SW")
    assert found.exit_code == 4
    assert found.stderr.endswith(
        "hygro: bare-wall-SW: the march could not go on; the hours before are kept.\n"
    )
