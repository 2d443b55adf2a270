"""What recalled values decide."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from hygro.case import load_case, parse_case
from hygro.decide.memory_effect import memory_effect
from hygro.decide.memory_table import MARK, answer_words, memory_table
from hygro.materials import load_film, load_material
from hygro.materials.sources import KINDS
from hygro.materials.varied import value_at_spread

ROOT = Path(__file__).parents[2]
CASE = ROOT / "cases" / "first-look.toml"
PAGE = ROOT / "docs" / "materials.md"

FIGURES = {5: 0.011, 6: 0.11}
"""Columns of computed figures, and what they may miss: one in the last digit shown, as rounding falls."""


def marked(name, recalled):
    """Return a material of the library of which only the values named are recalled."""
    material = load_material(name)
    kinds = {key: "memory" for key in recalled}
    sources = [replace(each, kind=kinds.get(each.key, "derived")) for each in material.sources]
    return replace(material, sources=tuple(sources))


@pytest.fixture(scope="module")
def effects():
    """One thickness of the example as if the brick's A and its liquid law were recalled, and nothing else."""
    text = CASE.read_text(encoding="utf-8")
    assert "[40, 60, 80]" in text
    recalled = {"solid-brick": ["absorption_coefficient", "liquid"]}
    materials = {
        name: marked(name, recalled.get(name, []))
        for name in ("solid-brick", "lime-plaster", "wood-fibre-rigid")
    }
    return memory_effect(parse_case(text.replace("[40, 60, 80]", "[40]"), CASE, materials=materials))


def test_a_recalled_value_moves_the_answer(effects):
    """The more the brick sucks, the more of the rain reaches the joist end; figures as docs/materials.md."""
    moved = effects[0]
    assert (moved.material, moved.source.key, moved.typical) == ("solid-brick", "absorption_coefficient", 0.2)
    assert moved.answer_moves
    assert not moved.not_moved
    outcomes = [moved.low, moved.stated, moved.high]
    assert [outcome.answer.outcome for outcome in outcomes] == ["within", "marginal", "none"]
    followed = [outcome.followed for outcome in outcomes]
    assert {(score.name, score.place) for score in followed} == {("timber_moisture_content", "joist end")}
    assert followed[0].value < followed[1].value < 20.0 < followed[2].value
    humidity = [outcome.verdict.interface_humidity_most for outcome in outcomes]
    assert humidity == sorted(humidity)


def test_what_cannot_be_moved_is_listed_with_the_reason(effects):
    left = effects[1]
    assert len(effects) == 2
    assert (left.source.key, left.low, left.high, left.typical) == ("liquid", None, None, None)
    assert left.not_moved == "liquid states no spread"
    assert not left.answer_moves
    assert left.stated is effects[0].stated


def test_the_table_says_what_moves_and_what_does_not(effects):
    table = memory_table(effects).splitlines()
    assert table[0].startswith("wood fibre, rigid, SW: as stated 40 mm marginal; 40 mm: moisture content")
    row = next(line for line in table if line.startswith("| `solid-brick` absorption"))
    cells = [cell.strip() for cell in row.split("|")[1:-1]]
    assert cells[1:5] == ["memory", "0.083 / 0.2 / 0.42", "**40 mm within**", "**none**"]
    assert table[-1] == "Not moved, they state no spread: `solid-brick` liquid (memory)."
    assert len({line.count("|") for line in table if line.startswith("|")}) == 1


def test_answers_in_short(effects):
    answer = effects[0].stated.answer
    both = replace(answer, outcome="within", greatest_within_mm=20.0, greatest_marginal_mm=40.0)
    assert answer_words(both) == "20 mm within, 40 mm marginal"
    assert answer_words(replace(answer, outcome="none", chosen="")) == "none"


def test_values_are_told_where_their_spread_is_stated():
    plaster, paint = load_material("lime-plaster"), load_film("vapour-open-paint")
    assert value_at_spread(plaster, "storage") == pytest.approx(12.0)
    assert value_at_spread(plaster, "vapour") == 11.0
    assert value_at_spread(plaster, "porosity") == plaster.porosity
    assert value_at_spread(plaster, "mould_decline") is None
    assert value_at_spread(paint, "s_d") == pytest.approx(0.05)
    assert value_at_spread(paint, "liquid_open") is None


@pytest.mark.parametrize("name", ["lime-plaster", "wood-fibre-rigid", "solid-brick"])
def test_every_recalled_value_of_the_example_is_in_the_table(name):
    text = PAGE.read_text(encoding="utf-8").split(f"<!-- {MARK} -->")[1].split(f"<!-- end of {MARK}")[0]
    for source in load_material(name).sources:
        if source.kind == "memory":
            assert f"| `{name}` {source.key.replace('_', ' ')} | memory |" in text


@pytest.mark.slow
def test_the_table_of_the_documentation_is_as_computed_anew():
    """`python -m hygro.decide.memory_table` writes it."""
    text = PAGE.read_text(encoding="utf-8").split(f"<!-- {MARK} -->")[1].split(f"<!-- end of {MARK}")[0]
    effects = memory_effect(load_case(CASE), kinds=KINDS)
    assert [e.source.key for e in effects if e.source.kind == "memory" and e.answer_moves] == []
    written, anew = text.strip().splitlines(), memory_table(effects).splitlines()
    assert len(written) == len(anew)
    for before, after in zip(written, anew, strict=True):
        compare(before.split("|"), after.split("|"))


def compare(before, after):
    """Words the same, computed figures within a digit."""
    assert len(before) == len(after)
    for column, (old, new) in enumerate(zip(before, after, strict=True), start=-1):
        numbers = [[float(x) for x in re.findall(r"\d+\.\d+", cell)] for cell in (old, new)]
        if column in FIGURES and numbers[0]:
            assert numbers[1] == pytest.approx(numbers[0], abs=FIGURES[column])
        else:
            assert new == old
