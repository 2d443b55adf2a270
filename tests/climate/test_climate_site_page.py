"""docs/site.md: its examples run, its keys are complete, its figures are those of the files that ship."""

import re

import pytest
from climate_years import ROOT

from hygro.climate import SiteFactors, load_weather
from hygro.climate.exposure import method_table
from hygro.climate.future import CHANGES
from hygro.climate.normals import load_normals
from hygro.climate.stochastic import generated_hours

TEXT = (ROOT / "docs" / "site.md").read_text(encoding="utf-8")


def block(language):
    (found,) = re.findall(rf"```{language}\n(.*?)```", TEXT, flags=re.DOTALL)
    return found


def test_the_python_example_runs(monkeypatch, capsys):
    monkeypatch.chdir(ROOT)
    exec(compile(block("python"), "site.md", "exec"), {})
    assert "SW 1522 110 very severe" in capsys.readouterr().out


def test_the_climate_table_makes_a_year(tmp_path):
    path = tmp_path / "place.toml"
    path.write_text(block("toml"), encoding="utf-8")
    hours = generated_hours(load_normals(path), 1)
    assert len(hours["rain_mm"]) == 8760
    assert 300.0 < hours["rain_mm"].sum() < 1000.0


def test_every_change_factor_is_described():
    assert set(re.findall(r"`(\w+_(?:K|percent|points))`", TEXT)) >= set(CHANGES)


PLACES = {
    "exposed-coast": SiteFactors(terrain="I", wall_factor=0.3),
    "sheltered-inland": SiteFactors(terrain="IV", obstruction=0.4, wall_factor=0.3),
    "greensboro-typical": SiteFactors(),
}


@pytest.mark.parametrize("name", PLACES)
def test_methods_side_by_side(name):
    column = list(PLACES).index(name)
    start = TEXT.index("| ISO 15927-3, hourly |")
    rows = TEXT[start:].split("\n")[:5]
    printed = [int(row.split("|")[2 + column]) for row in rows]
    table = method_table(load_weather(ROOT / "climate" / f"{name}.csv"), PLACES[name], 225.0)
    assert [round(row.on_the_wall) for row in table] == printed
