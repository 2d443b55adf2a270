"""The order of work, and what is refused."""

import re
from pathlib import Path

import pytest
from coats_case import TEXT

from hygro.case import parse_case
from hygro.decide.coats_practice import FRESH_WATER
from hygro.decide.coats_steps import is_wet, steps_of
from hygro.errors import CaseError
from hygro.materials import list_films, list_materials, load_material


def read(old="", new="", text=TEXT):
    assert old in text
    return parse_case(text.replace(old, new, 1))


def steps(case):
    return steps_of(case, case.variants()[-1])


def sentence(old, new):
    with pytest.raises(CaseError) as caught:
        case = read(old, new)
        steps(case)
    return str(caught.value)


def test_a_layer_in_coats_gives_as_many_steps_and_a_film_one():
    case = read()
    found = steps(case)
    assert [(step.kind, step.name) for step in found] == [
        ("coat", "insulation, coat 1"),
        ("coat", "insulation, coat 2"),
        ("film", "vapour-open-paint"),
    ]
    assert [step.thickness for step in found] == [0.015, 0.015, 0.0]
    assert [is_wet(case, variant) for variant in case.variants()] == [False, True]


def test_fresh_and_dry_water_have_their_sources():
    first = steps(read())[0]
    plaster = load_material("insulating-lime-plaster")
    assert (first.fresh_water, first.hardens_days) == (350.0, 3)
    assert "from memory, unconfirmed" in first.fresh_source
    assert first.dry_water == pytest.approx(plaster.water_content(0.90))
    assert first.finish_water == pytest.approx(plaster.water_content(0.85))
    assert "common practice, no published source" in first.dry_source


def test_what_the_case_states_goes_before_the_table():
    keys = "coats = 2\nfresh_water_kg_m3 = 300\ndry_when_water_kg_m3 = 30\nhardens_days = 0"
    first = steps(read("coats = 2", keys))[0]
    assert (first.fresh_water, first.dry_water, first.hardens_days) == (300.0, 30.0, 0)
    assert first.fresh_source == "stated in the case"
    humid = steps(read("coats = 2", "coats = 2\ndry_when_humidity_percent = 80"))[0]
    assert humid.dry_water == pytest.approx(10.0, rel=1e-3)  # the material's w80


def test_a_board_waits_for_nothing():
    board = '[[build_up.layer]]\nmaterial = "lining-board"\nthickness_mm = 12.5\n[[build_up.layer]]\nfilm'
    kinds = [step.kind for step in steps(read("[[build_up.layer]]\nfilm", board))]
    assert kinds == ["coat", "coat", "layer", "film"]


@pytest.mark.parametrize("name", FRESH_WATER)
def test_the_table_fits_the_library(name):
    """Fresh water fits into the pores, and is more than the coat holds when it counts as dry."""
    water, source = FRESH_WATER[name]
    assert name in list_materials()
    material = load_material(name)
    assert material.water_content(0.9) < water <= material.saturation
    assert "unconfirmed" in source


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (
            '"insulating-lime-plaster"',
            '"mineral-wool"',
            "fresh coat of 'mineral-wool' is not known",
        ),
        ("coats = 2", "coats = 2\nfresh_water_kg_m3 = 900", "cannot start with this water content"),
        ("coats = 2", "coats = 2\nfresh_water_kg_m3 = 15", "counts as dry when fresh"),
        ("coats = 2", "fresh_water_kg_m3 = 300", "'fresh_water_kg_m3' means nothing without 'coats'"),
        ("coats = 2", "coats = 0", "at least 1"),
        (
            "coats = 2",
            "coats = 2\ndry_when_water_kg_m3 = 30\ndry_when_humidity_percent = 80",
            "dry by both a humidity and a water content",
        ),
        ("thickness_mm = 225", "thickness_mm = 225\ncoats = 2", "stands in the old wall"),
        ("coats = 2", "", "there is a [programme] but no wet coat"),
        ('film = "vapour-open-paint"', 'film = "vapour-open-paint"\ncoats = 1', "has a key 'coats'"),
        ('["05-01"]', '["05-01", "05-01"]', "one is there twice"),
        ('["05-01"]', "[]", "the starts are none"),
        ('["05-01"]', '["13-01"]', "is no day on which to start"),
        ('["05-01"]', '["02-29"]', "29 February"),
        ('["05-01"]', "[5]", "is no day on which to start"),
        ("[run]", '[[programme.room]]\nclimate = "constant"\n[run]', "lacks the key 'name'"),
        ("[run]", '[[programme.room]]\nname = "shut"\nclimate = "constant"\n[run]', "lacks the key"),
    ],
)
def test_what_does_not_go_together_is_refused_in_one_sentence(old, new, said):
    text = sentence(old, new)
    assert said in text
    assert "\n" not in text


def test_two_rooms_of_one_name_are_refused():
    room = '[[programme.room]]\nname = "shut"\nclimate = "EN 15026 normal"\n'
    assert "two rooms" in sentence("[run]", room + room + "[run]")


def test_the_keys_of_coats_do_not_change_cases_without_them():
    """Results of old stay usable: keys that are absent leave no trace in the resolved case."""
    case = read(TEXT[TEXT.index("[programme]") : TEXT.index("[run]")], "", TEXT.replace("coats = 2\n", ""))
    layer = case.resolved()["build_up"][0]["layer"][0]
    assert "programme" not in case.resolved()
    assert set(layer) == {"name", "material", "thickness_mm", "air_layer"}


def test_the_document_has_every_figure_of_the_table():
    text = (Path(__file__).parents[2] / "docs" / "coats.md").read_text(encoding="utf-8")
    rows = [line for line in text.splitlines() if line.startswith("| ") and "kg/m3 | from memory" in line]
    for name, (water, _) in FRESH_WATER.items():
        title = name.replace("lime-cement", "lime_cement").replace("-", " ").replace("_", "-")
        assert any(title in row and f"| {water:g} kg/m3 |" in row for row in rows), name


@pytest.mark.parametrize("page", ["layers.md", "case-file.md"])
def test_films_and_materials_named_in_the_documents_exist(page):
    text = (Path(__file__).parents[2] / "docs" / page).read_text(encoding="utf-8")
    for kind, name in re.findall(r'(film|material) = "([a-z0-9-]+)"', text):
        known = list_films() if kind == "film" else [*list_materials(), "still-air"]
        assert name in known


ROOM = """
[[programme.room]]
name = "aired by fans"
climate = "balance"
[programme.room.balance]
volume_m3 = 100
air_changes_per_hour = 0.6
moisture_kg_per_day = 5
"""


def test_a_room_of_the_programme_may_be_a_balance_but_not_a_coupled_one():
    case = read("[run]", f"{ROOM}\n[run]")
    assert case.spec.programme.room[0].balance.volume_m3 == 100.0
    text = sentence("[run]", f"{ROOM}coupled = true\nwall_area_m2 = 20\n[run]")
    assert "takes the air of the room as given" in text
