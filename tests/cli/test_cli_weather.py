"""`hygro weather`: what the commands print and write, and how they refuse."""

import json
from pathlib import Path

import pytest

from hygro.climate import load_weather

ROOT = Path(__file__).parents[2]
COAST = ROOT / "climate" / "exposed-coast.csv"
WHAT_IF = ROOT / "climate" / "what-if-warmer.toml"


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """Return a file of three years made from the normals of the invented coast, through the commands."""
    from click.testing import CliRunner

    from hygro.cli.main import cli

    folder = tmp_path_factory.mktemp("made")
    for arguments in (
        ("weather", "normals", str(COAST), "--out", str(folder / "coast.toml")),
        ("weather", "make", str(folder / "coast.toml"), "--years", "3", "--out", str(folder / "made.csv")),
    ):
        found = CliRunner().invoke(cli, list(arguments))
        assert found.exit_code == 0, found.output
    return folder / "made.csv"


def test_rain_tells_index_spell_and_exposure_of_each_elevation(run):
    found = run("weather", "rain", COAST, "--terrain", "I")
    assert found.exit_code == 0
    assert "very severe" in found.stdout
    assert "The record holds 1 year:" in found.stdout
    data = json.loads(run("weather", "rain", COAST, "--terrain", "I", "--json").stdout)
    assert [row["name"] for row in data["elevations"]] == ["N", "NE", "E", "SE", "S", "SW", "W", "NW"]
    assert data["elevations"][5]["airfield_index"] == pytest.approx(1522, abs=1)


def test_rain_of_one_elevation_with_methods(run):
    data = json.loads(
        run(
            "weather",
            "rain",
            COAST,
            "--elevation",
            "SW",
            "--obstruction-distance-m",
            "20",
            "--methods",
            "--json",
        ).stdout
    )
    (row,) = data["elevations"]
    assert row["wall_index"] == pytest.approx(row["airfield_index"] * 0.771 * 0.4 * 0.4, rel=1e-3)
    assert [m["method"] for m in data["methods"]["SW"]][0] == "ISO 15927-3, hourly"
    assert "ASHRAE 160" in run("weather", "rain", COAST, "--elevation", "SW", "--methods").stdout


def test_years_are_ranked_and_the_severe_one_is_written(run, made, tmp_path):
    out = tmp_path / "severe.csv"
    found = run("weather", "years", made, "--choose", "severe", "--out", out)
    assert found.exit_code == 0
    assert "wrote" in found.stderr
    data = json.loads(run("weather", "years", made, "--json").stdout)
    indices = [year["climatic_index"] for year in data["years"]]
    assert indices == sorted(indices, reverse=True)
    assert data["chosen"]["severe"] == data["years"][0]["year"]
    weather = load_weather(out)
    assert weather.sizes["time"] == 8760
    assert str(data["chosen"]["severe"]) in weather.attrs["source"][:5]


def test_years_can_be_stitched_in_an_order(run, made, tmp_path):
    out = tmp_path / "run.csv"
    found = run(
        "weather", "years", made, "--choose", "average", "--choose", "2003", "--choose", "all", "--out", out
    )
    assert found.exit_code == 0
    assert load_weather(out).sizes["time"] == 5 * 8760


def test_a_future_year_is_written_and_compared(run, tmp_path):
    out = tmp_path / "warmer.csv"
    found = run("weather", "future", COAST, WHAT_IF, "--out", out)
    assert found.exit_code == 0
    assert "mean air temperature C" in found.stdout
    assert load_weather(out).attrs["source"].startswith("MORPHED, not measured: what if")


@pytest.mark.parametrize(
    ("arguments", "code", "sentence"),
    [
        (("rain", "nowhere.csv"), 3, "nowhere.csv"),
        (("rain", COAST, "--terrain", "V"), 3, "the terrain is not known"),
        (("rain", COAST, "--elevation", "upwards"), 3, "the elevation is no direction"),
        (("years", COAST, "--choose", "severe"), 2, "--choose and --out go together"),
        (("years", COAST, "--choose", "severe", "--out", "a.csv"), 3, "nothing to choose from"),
        (("years", COAST, "--choose", "1999", "--out", "a.csv"), 2, "is none of"),
        (("make", WHAT_IF, "--out", "a.csv"), 3, "the table [wind] is missing"),
        (("future", COAST, WHAT_IF, "--out", "a.txt"), 2, "does not end in .csv"),
        (("normals", COAST), 2, "--out"),
    ],
)  # fmt: skip
def test_what_is_refused(run, tmp_path, monkeypatch, arguments, code, sentence):
    monkeypatch.chdir(tmp_path)
    found = run("weather", *arguments)
    assert found.exit_code == code
    assert sentence in found.stderr
    assert not list(tmp_path.iterdir())


def test_a_written_year_is_the_weather_of_a_case(run, made, case_file, tmp_path):
    """The chosen year drives a case like any other file."""
    run("weather", "years", made, "--choose", "driest", "--out", tmp_path / "dry.csv")
    text = (tmp_path / case_file).read_text()
    line = next(line for line in text.splitlines() if line.startswith("weather ="))
    (tmp_path / case_file).write_text(text.replace(line, 'weather = "dry.csv"'))
    found = run("simulate", case_file, "--variant", "bare-wall-SW", "--json")
    assert found.exit_code == 0, found.stderr
