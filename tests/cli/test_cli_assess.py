import json
from dataclasses import replace
from pathlib import Path

import pytest
from tiny_study import SLUGS, TEXT

from hygro.errors import ResultError, SolverError

ONE = ("--workers", "1", "--no-report")


def test_tables_go_to_stdout_and_messages_to_stderr(run, case_file):
    found = run("assess", case_file, *ONE)
    assert found.exit_code == 0, found.output
    assert "How thick it may be" in found.stdout
    assert "State of every variant" in found.stdout
    assert "within" in found.stdout
    assert "Three days of a wall [invented]" in found.stdout  # brackets are text, never markup
    assert "verdicts.csv" in found.stdout
    again = run("assess", case_file, *ONE)
    assert "3 of 3 runs are reused" in again.stderr
    assert "reused" not in again.stdout


def test_results_go_to_a_directory_named_after_the_case(run, case_file):
    run("assess", case_file, *ONE)
    assert sorted(path.stem for path in Path("results/tiny/runs").iterdir()) == SLUGS


def test_out_puts_results_elsewhere(run, case_file):
    assert run("assess", case_file, *ONE, "--out", "else/where").exit_code == 0
    assert Path("else/where/verdicts.json").is_file()
    assert not Path("results").exists()


def test_json_is_all_there_is_on_stdout(run, case_file):
    found = run("assess", case_file, *ONE, "--json")
    data = json.loads(found.stdout)
    assert [verdict["slug"] for verdict in data["verdicts"]] == SLUGS
    assert data["answers"][0]["thicknesses_mm"] == [20.0, 60.0]
    assert (data["report"], data["directory"]) == (None, str(Path("results/tiny")))


def test_fresh_computes_everything_anew(run, case_file):
    run("assess", case_file, *ONE)
    found = run("assess", case_file, *ONE, "--fresh")
    assert "reused" not in found.stderr
    assert "3 runs in" in found.stderr


def test_the_report_is_made_from_the_directory_and_named(run, case_file, monkeypatch):
    given = []

    def write_report(out_dir):
        given.append((out_dir, (out_dir / "verdicts.json").is_file()))
        return out_dir / "report.html"

    monkeypatch.setattr("hygro.report.write_report", write_report, raising=False)
    found = run("assess", case_file, "--workers", "1")
    assert given == [(Path("results/tiny"), True)]
    assert f"report: {Path('results/tiny/report.html')}" in found.stdout


def test_a_report_that_cannot_be_made_hides_neither_the_tables_nor_itself(run, case_file, monkeypatch):
    def refuse(out_dir):
        raise ResultError("the verdicts cannot be read")

    monkeypatch.setattr("hygro.report.write_report", refuse, raising=False)
    found = run("assess", case_file, "--workers", "1")
    assert found.exit_code == 3
    assert "State of every variant" in found.stdout
    assert "tables: " in found.stdout
    assert "report: " not in found.stdout
    assert "there is no report: the verdicts cannot be read." in found.stderr


@pytest.fixture
def failing(monkeypatch):
    from hygro.results.simulate import simulate

    def fail_on_thick(case, variant, **rest):
        if variant.thickness_mm == 60:
            raise SolverError("the march could not go on", where=variant.slug)
        return simulate(case, variant, **rest)

    monkeypatch.setattr("hygro.results.simulate.simulate", fail_on_thick)


def test_a_failed_variant_ends_with_6_after_the_tables(run, case_file, failing):
    found = run("assess", case_file, *ONE)
    assert found.exit_code == 6
    assert "? failed" in found.stdout
    assert "60 mm could not be computed" in found.stdout
    assert "hygro: 1 of 3 variants failed; " in found.stderr
    assert len(list(Path("results/tiny/runs").iterdir())) == 2


def exceed(monkeypatch):
    """Let every score that is judged exceed its limit."""
    from hygro.decide import verdict
    from hygro.scores import score

    def exceeded(dataset):
        return [
            replace(s, state="exceeded", value=99.0) if s.limit is not None else s for s in score(dataset)
        ]

    monkeypatch.setattr(verdict, "score", exceeded)


def test_nothing_within_is_an_answer_and_an_error_only_where_asked(run, case_file, monkeypatch):
    exceed(monkeypatch)
    found = run("assess", case_file, *ONE)
    assert found.exit_code == 0
    assert "none" in found.stdout
    assert "exceeded" in found.stdout
    assert "the bare wall exceeds a limit by itself" in found.stdout
    found = run("assess", case_file, *ONE, "--require-within")
    assert found.exit_code == 5
    assert "no thickness of any build-up stays within every limit" in found.stderr


def test_require_within_is_content_where_something_is(run, case_file):
    assert run("assess", case_file, *ONE, "--require-within").exit_code == 0


def test_a_case_without_build_up_shows_the_bare_wall_alone(run, single_file):
    found = run("assess", single_file, *ONE)
    assert found.exit_code == 0, found.output
    assert "bare wall" in found.stdout
    assert "How thick it may be" not in found.stdout


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (TEXT.replace("solid-brick", "solid-brik"), "did you mean 'solid-brick'"),
        (TEXT.replace("terrain", "x").replace("hours = 72", "hour = 72"), "tiny.toml:"),
        ("title = ", "tiny.toml:1"),
    ],
)
def test_a_wrong_case_is_one_sentence_and_ends_with_3(run, case_file, text, words):
    Path(case_file).write_text(text, encoding="utf-8")
    found = run("assess", case_file, *ONE)
    assert found.exit_code == 3
    assert found.stderr.startswith("hygro: ")
    assert words in found.stderr
    assert "Traceback" not in found.stderr
    assert found.stdout == ""


def test_a_missing_case_ends_with_3(run):
    found = run("assess", "no-such.toml", *ONE)
    assert found.exit_code == 3
    assert "no-such.toml" in found.stderr


def test_a_directory_that_cannot_be_made_ends_with_3(run, case_file):
    Path("taken").write_text("a file")
    found = run("assess", case_file, *ONE, "--out", "taken")
    assert found.exit_code == 3
    assert found.stderr.startswith("hygro: taken/runs: the directory cannot be made")
    assert Path("taken").read_text() == "a file"
