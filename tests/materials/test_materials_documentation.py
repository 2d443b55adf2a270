"""What docs/materials.md shows must run, and must name every form there is."""

import re
import runpy
from pathlib import Path

import numpy as np
import pytest

from hygro.materials import forms, load_film, load_material
from hygro.materials.document import resistance_at
from hygro.materials.parse import CATEGORIES, OPTIONAL_UNITS, UNITS
from hygro.materials.sources import DECLINES, KINDS, SENSITIVITIES

PAGE = (Path(__file__).parents[2] / "docs" / "materials.md").read_text(encoding="utf-8")
DATA = Path(load_material.__code__.co_filename).parent / "data"


def blocks(language):
    return re.findall(rf"```{language}\n(.*?)```", PAGE, flags=re.DOTALL)


def test_the_python_example_runs(tmp_path):
    (example,) = blocks("python")
    script = tmp_path / "example.py"
    script.write_text(example)
    mine = runpy.run_path(str(script))["mine"]
    assert mine.water_content(0.8) == pytest.approx(4.0)
    table = mine.table()
    assert table.flux_potential[0] > 0.0
    # K = 1e-8 / (1 + 1e-5 s)^2 integrates to 1e-3 / (1 + 1e-5 s).
    assert table.flux_potential[100] == pytest.approx(1e-3 / (1 + 1e-5), rel=1e-4)


def test_the_file_example_is_a_valid_beginning(tmp_path):
    (example,) = blocks("toml")
    rest = (DATA / "solid-brick.toml").read_text()
    path = tmp_path / "gable.toml"
    path.write_text(example + rest[rest.index("[specific_heat]") :])
    material = load_material(path)
    assert material.density == 1710.0
    assert material.title == "Brick of the north gable"
    assert material.source("density").low == 1650.0


@pytest.mark.parametrize("known", [forms.STORAGE, forms.LIQUID, forms.VAPOUR, forms.HEAT])
def test_every_form_is_described(known):
    for form in known:
        assert f"| `{form}` |" in PAGE


def test_every_value_unit_kind_and_class_is_described():
    for key, unit in {**UNITS, **OPTIONAL_UNITS}.items():
        assert f"| `{key}` | `{unit}` |" in PAGE
    for kind in KINDS:
        assert f"| `{kind}` |" in PAGE
    for word in (*CATEGORIES, *SENSITIVITIES, *DECLINES):
        assert word in PAGE


FORMS = {
    "liquid": [
        (
            'form = "conductivity table"\nsuction_Pa = [1e3, 1e6]\nconductivity_kg_msPa = [1e-9, 1e-12]',
            lambda m: m.liquid.conductivity(np.array([1e4]), np.zeros(1))[0],
            1e-10,
        ),
        (
            'form = "diffusivity table"\nwater_content_kg_m3 = [0.0, 100.0]\ndiffusivity_m2_s = [1e-9, 1e-7]',
            lambda m: m.liquid.diffusivity(np.array([50.0]))[0],
            1e-8,
        ),
        (
            'form = "constant diffusivity"\ndiffusivity_m2_s = 2e-9',
            lambda m: m.table().flux_potential[100],
            2e-9 * 240.0,
        ),
        ('form = "none"', lambda m: m.table().flux_potential[0], 0.0),
    ],
    "vapour": [
        (
            'form = "table"\nrelative_humidity_percent = [20.0, 60.0]\nresistance_factor = [12.0, 8.0]',
            lambda m: resistance_at(m, 0.4),
            10.0,
        ),
        ('form = "constant"\nresistance_factor = 7.0', lambda m: resistance_at(m, 0.4), 7.0),
    ],
    "heat": [
        ('form = "linear"\ngrowth_per_kg_m3 = 0.002', lambda m: m.heat.conductivity(np.array(100.0)), 0.84),
        (
            # 8 % per % by mass; 17 kg/m3 are 1 % of 1700 kg/m3.
            'form = "mass percent"\ngrowth_percent_per_mass_percent = 8.0',
            lambda m: m.heat.conductivity(np.array(17.0)),
            0.64 * 1.08,
        ),
        (
            'form = "exponential"\nfactor = 10.0\nup_to_kg_m3 = 50.0',
            lambda m: m.heat.conductivity(np.array(10.0)),
            0.64 * np.exp(0.1),
        ),
        ('form = "constant"', lambda m: m.heat.conductivity(np.array(100.0)), 0.64),
    ],
    "storage": [
        (
            'form = "points"\nrelative_humidity_percent = [50.0, 80.0]\nwater_content_kg_m3 = [2.0, 5.0]',
            lambda m: m.water_content(0.8),
            5.0,
        ),
        (
            'form = "points"\nsuction_Pa = [1e8, 1e6]\nsuction_water_content_kg_m3 = [2.0, 90.0]',
            lambda m: m.storage.water_content(np.array(1e6)),
            90.0,
        ),
        (
            'form = "logarithmic"\na = 0.1\nb = 0.9',
            lambda m: m.water_content(0.7),
            240.0 / (1.0 - np.log(0.7) / 0.1) ** 0.9,
        ),
        (
            'form = "pore classes"\ntop = "free_saturation"\nweights = [1.0]\nalpha_1_Pa = [1e-6]\nn = [2.0]',
            lambda m: m.storage.water_content(np.array(1e6)),
            240.0 / 2.0**0.5,
        ),
    ],
}


@pytest.mark.parametrize(
    ("section", "text", "value", "expected"),
    [(section, *case) for section, cases in FORMS.items() for case in cases],
)
def test_every_form_can_be_read_from_a_file(tmp_path, section, text, value, expected):
    whole = (DATA / "solid-brick.toml").read_text()
    start = whole.index(f"[{section}]")
    end = whole.index('kind = "', start)
    path = tmp_path / "trial.toml"
    path.write_text(whole[:start] + f"[{section}]\n{text}\n" + whole[end:])
    assert value(load_material(path)) == pytest.approx(expected, rel=1e-9)


def test_a_film_over_humidity_can_be_read_from_a_file(tmp_path):
    path = tmp_path / "trial.toml"
    path.write_text(
        'title = "Trial"\ndescription = "None."\n[s_d]\nrelative_humidity_percent = [0.0, 100.0]\n'
        'value_m = [4.0, 1.0]\nunit = "m"\nkind = "memory"\nsource = "here"\n'
        '[liquid_open]\nvalue = true\nkind = "memory"\nsource = "here"\n'
    )
    film = load_film(path)
    assert film.s_d[50] == pytest.approx(2.0)
    assert film.liquid_open
