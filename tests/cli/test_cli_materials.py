import json

import pytest

from hygro.materials import list_films, list_materials, load_film, load_material


def test_list_holds_every_material_and_film(run):
    entries = json.loads(run("materials", "list", "--json").stdout)
    assert sorted(entry["name"] for entry in entries) == sorted(list_materials() + list_films())
    text = run("materials", "list").stdout
    assert all(name in text for name in ("solid-brick", "vapour-open-paint", "wood-fibre-rigid"))


def test_a_category_narrows_the_list(run):
    entries = json.loads(run("materials", "list", "--category", "insulation", "--json").stdout)
    assert {entry["category"] for entry in entries} == {"insulation"}
    assert any(entry["name"] == "wood-fibre-rigid" for entry in entries)
    films = json.loads(run("materials", "list", "--category", "film", "--json").stdout)
    assert sorted(entry["name"] for entry in films) == list_films()


def test_an_unknown_category_names_those_there_are(run):
    found = run("materials", "list", "--category", "frogs")
    assert found.exit_code == 2
    assert "masonry" in found.stderr


def test_show_gives_values_with_source_and_kind(run):
    found = run("materials", "show", "solid-brick")
    assert found.exit_code == 0
    assert "1700 kg/m3" in found.stdout
    assert "derived" in found.stdout
    assert "Curves at 20 degC" in found.stdout
    data = json.loads(run("materials", "show", "solid-brick", "--json").stdout)
    assert len(data["sources"]) == len(load_material("solid-brick").sources)
    assert all(source["source"] and source["kind"] for source in data["sources"])


@pytest.mark.parametrize("name", list_materials())
def test_shown_curves_are_those_of_the_material(run, name):
    material = load_material(name)
    curves = json.loads(run("materials", "show", name, "--json").stdout)["curves"]
    by_humidity = {row["relative_humidity_percent"]: row for row in curves}
    # Linear in the table between nodes of a hundredth of a decade, hence the tolerance.
    assert by_humidity[80.0]["water_content_kg_m3"] == pytest.approx(
        float(material.water_content(0.8)), rel=0.02
    )
    assert by_humidity[100.0]["water_content_kg_m3"] == pytest.approx(material.free_saturation, rel=0.02)
    contents = [row["water_content_kg_m3"] for row in curves]
    assert contents == sorted(contents)
    assert all(row["vapour_resistance_factor"] > 0 and row["conductivity_W_mK"] > 0 for row in curves)
    assert all(row["liquid_conductivity_s"] >= 0 for row in curves)


def test_a_conductivity_of_liquid_is_the_slope_of_its_flux_potential(run):
    """The integral of the shown curve is the potential that the solver uses: compare at one suction."""
    import numpy as np

    from hygro.materials.tables import LOG_SUCTION

    material = load_material("solid-brick")
    curves = json.loads(run("materials", "show", "solid-brick", "--json").stdout)["curves"]
    shown = next(row for row in curves if row["relative_humidity_percent"] == 97.0)["liquid_conductivity_s"]
    suction = -np.log(0.97) * 1000.0 * 461.5 * 293.15
    table = material.table()
    near = [np.interp(np.log10(suction * f), LOG_SUCTION, table.flux_potential) for f in (0.97, 1.03)]
    # A difference over 6 % of the suction, of a curve whose power is about 2.
    assert shown == pytest.approx((near[0] - near[1]) / (0.06 * suction), rel=0.05, abs=0.0)


def test_grades_and_reasons_of_spreads_are_shown(run):
    entries = {entry["name"]: entry for entry in json.loads(run("materials", "list", "--json").stdout)}
    assert entries["dense-brick-1980"]["grade"] == "measured set"
    assert entries["limestone"]["grade"] == "partly from memory"
    assert entries["foil"]["grade"] is None
    found = run("materials", "show", "solid-brick").stdout
    assert "Grade: composite of sources" in found
    data = json.loads(run("materials", "show", "solid-brick", "--json").stdout)
    assert data["grade"] == "composite of sources"
    assert all(source["spread"] for source in data["sources"] if source["low"] is not None)


def test_show_knows_films(run):
    found = run("materials", "show", "membrane-humidity-dependent")
    assert found.exit_code == 0
    assert "s_d m" in found.stdout
    data = json.loads(run("materials", "show", "membrane-humidity-dependent", "--json").stdout)
    film = load_film("membrane-humidity-dependent")
    assert data["curves"][0]["s_d_m"] == film.s_d[0]
    assert data["curves"][-1]["s_d_m"] == film.s_d[100]
    assert data["category"] == "film"


def test_a_near_miss_is_suggested(run):
    found = run("materials", "show", "solid-brik")
    assert found.exit_code == 3
    assert "did you mean 'solid-brick'" in found.stderr


def test_a_file_of_ones_own_is_shown(run, tmp_path):
    from hygro.materials.library import DATA

    own = tmp_path / "own-plaster.toml"
    own.write_text((DATA / "lime-plaster.toml").read_text(encoding="utf-8"), encoding="utf-8")
    found = run("materials", "show", own)
    assert found.exit_code == 0
    assert "own-plaster" in found.stdout
