import json

import pytest

from hygro.case import load_case
from hygro.model.steady import steady_condensation

SLUG = "wood-fibre-060mm-SW"

WET_ROOM = 'climate = "constant"\ntemperature_C = 20\nrelative_humidity_percent = 95\n'


def test_months_planes_and_the_limits_of_the_method_are_printed(run, case_file):
    found = run("condensation", case_file, "--variant", SLUG)
    assert found.exit_code == 0, found.output
    for word in ("Jan", "Dec", "g_c 1 g/m2", "M_a 1 g/m2", "plane 1: brick | insulation"):
        assert word in found.stdout
    assert "no rain, no capillary flow and no storage" in found.stdout
    assert "the transient assessment (hygro assess) decides" in found.stdout


def test_json_has_the_numbers_of_the_method(run, case_file):
    data = json.loads(run("condensation", case_file, "--variant", SLUG, "--json").stdout)
    case = load_case(case_file)
    found = steady_condensation(case, case.variant(SLUG))
    assert data["verdict"] == found.balance.verdict
    assert data["planes"] == ["brick | insulation"]
    (plane,) = found.wet_planes
    amounts = [month["amount_g_m2"][0] for month in data["months"]]
    assert amounts == pytest.approx([1000.0 * found.balance.amount[m, plane] for m in found.balance.order])
    gathered = [month["condensed_g_m2"][0] for month in data["months"]]
    assert sum(gathered) == pytest.approx(data["left_g_m2"], abs=1e-9)
    assert max(amounts) == pytest.approx(data["greatest_g_m2"])
    assert data["thermal_transmittance_W_m2K"] == pytest.approx(found.thermal_transmittance)
    assert "capillary" in data["note"]


def test_a_dry_wall_says_so(run, single_file):
    found = run("condensation", single_file)
    assert found.exit_code == 0, found.output
    assert "Nothing condenses inside the wall in any month." in found.stdout
    assert "plane 1" not in found.stdout


def test_water_that_stays_is_told(run, tmp_path, case_file):
    text = (tmp_path / "tiny.toml").read_text()
    skin = '[wall]\n[[wall.layer]]\nfilm = "foil"\n'
    tight = text.replace("[wall]\n", skin).replace('climate = "EN 15026 normal"\n', WET_ROOM)
    (tmp_path / "tight.toml").write_text(tight)
    found = run("condensation", "tight.toml", "--variant", SLUG)
    assert found.exit_code == 0, found.output
    assert "left after twelve months: water accumulates" in found.stdout


def test_dew_on_the_surface_is_told(run, tmp_path, case_file):
    text = (tmp_path / "tiny.toml").read_text()
    (tmp_path / "wet.toml").write_text(text.replace('climate = "EN 15026 normal"\n', WET_ROOM))
    found = run("condensation", "wet.toml", "--variant", "bare-wall-SW")
    assert "dew on the internal surface, not counted: " in found.stdout


def test_of_several_walls_one_must_be_named(run, case_file):
    found = run("condensation", case_file)
    assert found.exit_code == 3
    assert SLUG in found.stderr
