"""hygro materials check, plot and compare."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from hygro.cli.main import cli

EXAMPLE = str(Path(__file__).parents[2] / "docs" / "own-materials" / "invented-brick.toml")


def run(*arguments):
    return CliRunner().invoke(cli, ["materials", *arguments])


def test_check_of_an_own_material():
    result = run("check", EXAMPLE)
    assert result.exit_code == 0, result.output
    for word in ("Invented brick", "plausible", "water uptake", "dry cup", "drying", "sorption", "agrees"):
        assert word in result.output
    assert "misses" not in result.output


def test_check_as_json():
    result = run("check", "mineral-wool", EXAMPLE, "--json")
    assert result.exit_code == 0
    wool, own = json.loads(result.stdout)
    assert wool["name"] == "mineral-wool"
    assert all(item["plausible"] for item in own["plausibility"])
    uptake = next(item for item in own["laboratory"] if item["test"] == "water uptake")
    assert uptake["agrees"]
    assert uptake["stated"] == 0.18


def test_check_fails_where_something_is_doubtful(tmp_path):
    """A_w stated as 0.3 for information over a liquid curve for 0.2: both parts of the check see it."""
    from hygro.materials.library import DATA

    text = (DATA / "en15026-annex-a.toml").read_text(encoding="utf-8")
    path = tmp_path / "odd.toml"
    path.write_text(
        text
        + "\n[absorption_coefficient]\nvalue = 0.3\nunit = 'kg/(m2 s^0.5)'\nkind = 'memory'\nsource = 'x'\n",
        encoding="utf-8",
    )
    result = run("check", "mineral-wool", str(path))
    assert result.exit_code == 3
    assert "doubtful" in result.output
    assert "misses" in result.output
    assert "odd: does not agree" in result.stderr


def test_plot_and_compare(tmp_path):
    out = tmp_path / "brick.svg"
    result = run("plot", EXAMPLE, "--out", str(out))
    assert result.exit_code == 0
    assert result.stdout.strip() == str(out)
    assert out.is_file()
    both = tmp_path / "both.png"
    result = run("compare", "solid-brick", EXAMPLE, "--out", str(both))
    assert result.exit_code == 0
    assert both.is_file()
    for word in ("solid-brick", "invented-brick", "1720", "A_w of the liquid curve", "partly from memory"):
        assert word in result.stdout


def test_plot_goes_to_a_file_of_its_name(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert run("plot", "mineral-wool").exit_code == 0
    assert (tmp_path / "mineral-wool.png").is_file()


@pytest.mark.parametrize("command", ["check", "plot", "compare"])
def test_unknown_materials_get_a_hint(command):
    result = run(command, "solid-brik")
    assert result.exit_code == 3
    assert "did you mean 'solid-brick'" in result.stderr
