import csv
import json

import pytest
from coats_case import TEXT

ROWS = ("insulation, coat 1", "insulation, coat 2", "vapour-open-paint")


@pytest.fixture
def coats_file(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "coats.toml").write_text(TEXT, encoding="utf-8")
    return "coats.toml"


def test_the_programme_is_printed_and_kept(run, coats_file, tmp_path):
    found = run("coats", coats_file)
    assert found.exit_code == 0, found.output
    for word in (*ROWS, "dry after days", "1 mm a day", "begun 1 May, room as used", "the finish may go on"):
        assert word in found.stdout
    assert "plaster-SW, from 1 May" in found.stderr
    folder = tmp_path / "results" / "coats"
    assert sorted(path.name for path in folder.iterdir()) == [
        "coats-water.csv", "coats.csv", "coats.json", "coats.svg",
    ]  # fmt: skip
    with (folder / "coats.csv").open(encoding="utf-8") as file:
        assert tuple(row["step"] for row in csv.DictReader(file)) == ROWS
    assert "water kg/m²" in (folder / "coats.svg").read_text(encoding="utf-8")


def test_json_is_what_the_document_holds(run, coats_file, tmp_path):
    found = run("coats", coats_file, "--json", "--no-picture", "--out", "here")
    assert found.exit_code == 0, found.output
    kept = json.loads((tmp_path / "here" / "coats.json").read_text(encoding="utf-8"))
    assert json.loads(found.stdout) == kept
    (programme,) = kept["programmes"]
    assert programme["finish_day"] < programme["settled_day"]
    assert not (tmp_path / "here" / "coats.svg").exists()


def test_a_wall_without_coats_is_told_in_one_sentence(run, coats_file):
    found = run("coats", coats_file, "--variant", "bare-wall-SW")
    assert found.exit_code == 3
    assert "no wall that was asked for has wet coats" in found.stderr


def test_a_case_without_programme_is_told_what_to_add(run, case_file):
    found = run("coats", case_file)
    assert found.exit_code == 3
    assert "[programme]" in found.stderr
