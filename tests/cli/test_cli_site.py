import json
from pathlib import Path

import pytest

from hygro.climate import load_weather

INLAND = Path(__file__).parents[2] / "climate" / "sheltered-inland.csv"
HEAD = 7


@pytest.fixture
def broken(tmp_path, monkeypatch):
    """A year with a stuck thermometer and five hours without it, in the working directory."""
    monkeypatch.chdir(tmp_path)
    lines = INLAND.read_text().splitlines()
    for row, cell in [*((r, "") for r in range(100, 105)), *((r, "4.3") for r in range(2000, 2030))]:
        cells = lines[HEAD + row].split(",")
        cells[1] = cell
        lines[HEAD + row] = ",".join(cells)
    Path("broken.csv").write_text("\n".join(lines) + "\n")
    return "broken.csv"


def test_findings_figures_and_files(run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    found = run("site", INLAND)
    assert found.exit_code == 0, found.output
    assert "Sky long-wave is worked out" in found.stdout
    assert "rain 692 mm a year" in found.stdout
    assert "sheltered" in found.stdout
    assert Path("results/site-sheltered-inland/site.html").is_file()
    assert Path("results/site-sheltered-inland/site.csv").is_file()


def test_refused_after_its_findings(run, broken):
    found = run("site", broken)
    assert found.exit_code == 3
    assert "Air temperature is missing in 5 h" in found.stdout
    assert "stuck sensor" in found.stdout
    assert "broken.csv: air temperature has gaps of more than 3 hours" in found.stderr
    assert not Path("results").exists()


def test_refused_as_json(run, broken):
    found = run("site", broken, "--json")
    assert found.exit_code == 3
    data = json.loads(found.stdout)
    assert data["refused"] is True
    assert {entry["kind"] for entry in data["findings"]} >= {"gap", "stuck sensor", "refusal"}


def test_prepared_record_is_read_again(run, broken):
    found = run("site", broken, "--fill-hours", "5", "--prepared", "whole.csv", "--out", "sheet")
    assert found.exit_code == 0, found.output
    assert "wrote whole.csv" in found.stderr
    again = load_weather("whole.csv")
    assert "longwave_sky" in again.attrs["modelled"]
    first = load_weather(broken, fill_hours=5)
    assert float(abs(again["air_temperature"] - first["air_temperature"]).max()) < 0.006


def test_options_of_reading(run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    lines = INLAND.read_text().splitlines()[6:]
    lines[0] = lines[0].replace("air_temperature_C", "temp")
    Path("plain.csv").write_text("\n".join(lines) + "\n")
    place = ("--place", "52", "0", "80")
    found = run(
        "site", "plain.csv", *place, "--column", "air_temperature_C=temp", "--yearly-rain-mm", "900", "--json"
    )
    assert found.exit_code == 0, found.output
    data = json.loads(found.stdout)
    assert any(entry["kind"] == "rain total" for entry in data["findings"])
    assert len(data["elevations"]) == 8 and len(data["months"]) == 12
    wrong = run("site", "plain.csv", *place, "--column", "temp")
    assert wrong.exit_code == 2
    assert "is not NAME=COLUMN" in wrong.stderr
