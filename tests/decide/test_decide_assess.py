import csv
import json
import logging

import pytest
from tiny_study import CLIMATE, SLUGS, TEXT, write_study

import hygro
from hygro.case import load_case
from hygro.decide.assessment import assess
from hygro.errors import ClimateError, SolverError
from hygro.results import load
from hygro.scores import score


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("assessed")


@pytest.fixture(scope="module")
def assessed(folder):
    """Assess the study in two processes, once for all tests of this file."""
    case = load_case(write_study(folder))
    seen = []
    found = assess(case, out_dir=folder / "out", workers=2, progress=lambda *step: seen.append(step))
    return found, seen


def test_the_package_offers_the_function_and_not_the_module():
    assert hygro.assess is assess


def test_every_variant_has_a_verdict_in_the_order_of_the_case(assessed):
    found, _ = assessed
    assert [verdict.slug for verdict in found.verdicts] == SLUGS
    assert {verdict.status for verdict in found.verdicts} == {"complete"}
    assert (found.failed, found.reused) == ((), 0)


def test_progress_counts_up_to_all(assessed):
    _, seen = assessed
    assert [(done, total) for done, total, _ in seen] == [(1, 3), (2, 3), (3, 3)]
    assert sorted(verdict.slug for _, _, verdict in seen) == SLUGS


def test_more_insulation_lets_less_heat_through(assessed):
    bare, thin, thick = assessed[0].verdicts
    assert bare.u_value > thin.u_value > thick.u_value
    assert bare.year_heat_loss > thin.year_heat_loss > thick.year_heat_loss > 0.0
    assert 0.0 < thin.heat_saved < thick.heat_saved
    assert thick.heat_saved == pytest.approx(bare.year_heat_loss - thick.year_heat_loss)


def test_the_interface_is_behind_the_insulation(assessed):
    _, thin, thick = assessed[0].verdicts
    assert thin.interface == thick.interface == "brick | insulation"
    assert 50.0 < thick.interface_humidity_mean <= thick.interface_humidity_most <= 100.0


def test_a_verdict_says_what_the_scores_of_its_file_say(assessed):
    found, _ = assessed
    verdict = found.verdicts[2]
    assert list(verdict.scores) == score(load(found.out_dir / verdict.run_file))


def test_json_holds_verdicts_answers_limits_with_sources_and_the_case(assessed):
    found, _ = assessed
    data = json.loads(found.json_path.read_text(encoding="utf-8"))
    assert [verdict["slug"] for verdict in data["verdicts"]] == SLUGS
    assert [answer["build_up"] for answer in data["answers"]] == ["wood fibre"]
    assert all(limit["source"] and limit["meaning"] for limit in data["limits"].values())
    assert data["limits"]["timber_percent"]["value"] == 20.0
    assert data["case_resolved"]["run"]["hours"] == 72
    assert data["versions"]["hygro"] == hygro.__version__


def test_csv_has_a_row_a_variant(assessed):
    found, _ = assessed
    rows = list(csv.DictReader(found.csv_path.read_text(encoding="utf-8").splitlines()))
    assert [row["variant"] for row in rows] == SLUGS
    assert [row["thickness_mm"] for row in rows] == ["", "20", "60"]
    assert float(rows[2]["u_value_W_m2K"]) == pytest.approx(found.verdicts[2].u_value, rel=1e-6)
    assert rows[1]["state"] == found.verdicts[1].state


def test_nothing_but_whole_files_is_left(assessed):
    found, _ = assessed
    files = sorted(
        str(path.relative_to(found.out_dir)) for path in found.out_dir.rglob("*") if path.is_file()
    )
    assert files == [*(f"runs/{slug}.nc" for slug in SLUGS), "verdicts.csv", "verdicts.json"]


def test_a_second_assessment_reuses_every_run_and_finds_the_same(assessed, caplog, monkeypatch):
    first, _ = assessed
    monkeypatch.setattr("hygro.results.simulate.simulate", lambda *a, **k: pytest.fail("simulated again"))
    with caplog.at_level(logging.INFO, logger="hygro"):
        second = assess(load_case(first.out_dir.parent / "tiny.toml"), out_dir=first.out_dir, workers=1)
    assert second.reused == 3
    assert "3 of 3 runs are reused" in caplog.text
    assert [(v.state, v.margin, v.scores) for v in second.verdicts] == [
        (v.state, v.margin, v.scores) for v in first.verdicts
    ]


def test_processes_and_this_process_give_the_same_numbers(assessed, tmp_path):
    first, _ = assessed
    alone = assess(load_case(write_study(tmp_path)), out_dir=tmp_path / "out", workers=1)
    assert [v.scores for v in alone.verdicts] == [v.scores for v in first.verdicts]


def test_a_changed_case_replaces_what_is_there_and_says_so(tmp_path, caplog):
    single = TEXT.replace("[20, 60]", "[20]")
    out = tmp_path / "out"
    first = assess(load_case(write_study(tmp_path, single)), out_dir=out, workers=1)
    changed = load_case(write_study(tmp_path, single.replace("225", "330")))
    with caplog.at_level(logging.INFO, logger="hygro"):
        second = assess(changed, out_dir=out, workers=1)
    assert second.reused == 0
    assert "2 runs in" in caplog.text
    assert second.verdicts[0].u_value < first.verdicts[0].u_value


def test_without_resume_everything_is_computed_anew(tiny_case, tmp_path):
    assess(tiny_case, out_dir=tmp_path / "out", workers=1)
    assert assess(tiny_case, out_dir=tmp_path / "out", workers=1, resume=False).reused == 0


@pytest.fixture
def failing(monkeypatch):
    """Let the march fail for one variant."""
    from hygro.results.simulate import simulate

    def fail_on_thick(case, variant, **rest):
        if variant.thickness_mm == 60:
            raise SolverError("the march could not go on", where=variant.slug, hint="try a finer grid")
        return simulate(case, variant, **rest)

    monkeypatch.setattr("hygro.results.simulate.simulate", fail_on_thick)


def test_one_variant_that_fails_does_not_cost_the_others(tiny_case, tmp_path, failing):
    found = assess(tiny_case, out_dir=tmp_path / "out", workers=1)
    assert [verdict.status for verdict in found.verdicts] == ["complete", "complete", "failed"]
    assert found.failed[0].message == "wood-fibre-060mm-SW: the march could not go on; try a finer grid."
    assert found.verdicts[1].heat_saved > 0.0
    assert json.loads(found.json_path.read_text())["verdicts"][2]["state"] == "unknown"
    assert "the march could not go on" in found.csv_path.read_text()


def test_what_failed_is_tried_again_and_the_rest_reused(tiny_case, tmp_path, failing, monkeypatch):
    assess(tiny_case, out_dir=tmp_path / "out", workers=1)
    monkeypatch.undo()
    again = assess(tiny_case, out_dir=tmp_path / "out", workers=1)
    assert [verdict.reused for verdict in again.verdicts] == [True, True, False]
    assert again.failed == ()


def test_an_interrupt_keeps_what_is_complete(tiny_case, tmp_path, monkeypatch, caplog):
    from hygro.results.simulate import simulate

    def interrupt_on_second(case, variant, **rest):
        if variant.thickness_mm == 20:
            raise KeyboardInterrupt
        return simulate(case, variant, **rest)

    monkeypatch.setattr("hygro.results.simulate.simulate", interrupt_on_second)
    with pytest.raises(KeyboardInterrupt):
        assess(tiny_case, out_dir=tmp_path / "out", workers=1)
    assert "1 of 3 runs are complete and kept" in caplog.text
    monkeypatch.undo()
    assert assess(tiny_case, out_dir=tmp_path / "out", workers=1).reused == 1


def test_an_unusable_climate_is_one_error_and_not_one_a_variant(tmp_path):
    (tmp_path / "weather.csv").write_text("no,weather\n1,2\n")
    case = load_case(write_study(tmp_path, TEXT.replace(CLIMATE.as_posix(), "weather.csv")))
    with pytest.raises(ClimateError):
        assess(case, out_dir=tmp_path / "out", workers=1)
    assert not (tmp_path / "out").exists()
