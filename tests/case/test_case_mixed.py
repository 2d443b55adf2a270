"""Mixed layers in case files: the U-value is that of ISO 6946, and what is wrong is told in one line."""

from __future__ import annotations

import numpy as np
import pytest

from hygro.case import parse_case
from hygro.errors import CaseError
from hygro.materials.mixed_heat import Strips, combined_resistance
from hygro.model.build import build_wall, describe
from hygro.model.steady import steady_condensation
from hygro.scores.steady_u import u_value

TEXT = """\
title = "Studs [invented]"
[wall]
[[wall.layer]]
name = "masonry"
mixed = [{ material = "solid-brick", share = 0.8 }, { material = "lime-mortar", share = 0.2 }]
thickness_mm = 225
[[build_up]]
name = "studs"
[[build_up.layer]]
name = "studs and fill"
mixed = [{ material = "softwood", share = 0.12 }, { material = "wood-fibre-flexible", share = 0.88 }]
thickness_mm = [60, 80]
[[build_up.layer]]
material = "lining-board"
thickness_mm = 12.5
[external]
kind = "constant"
temperature_C = 0
relative_humidity_percent = 80
heat_coefficient_W_m2K = 25
vapour_coefficient_kg_m2sPa = 1e-7
[internal]
kind = "constant"
temperature_C = 20
relative_humidity_percent = 50
heat_coefficient_W_m2K = 7.7
vapour_coefficient_kg_m2sPa = 2.5e-8
[run]
hours = 24
"""


def read(old="", new=""):
    assert old in TEXT
    return parse_case(TEXT.replace(old, new, 1))


def sentence(old, new):
    with pytest.raises(CaseError) as caught:
        read(old, new)
    return str(caught.value)


@pytest.mark.parametrize("slug", ["studs-060mm", "studs-080mm"])
def test_the_u_value_of_each_thickness_is_that_of_iso_6946(slug):
    case = read()
    variant = case.variant(slug)
    parts = {name: case.named_material(name, ()).conductivity_dry for name in
             ("solid-brick", "lime-mortar", "softwood", "wood-fibre-flexible", "lining-board")}  # fmt: skip
    expected = combined_resistance(
        [
            Strips(0.225, (0.8, 0.2), (parts["solid-brick"], parts["lime-mortar"])),
            Strips(
                variant.thickness_mm / 1000.0, (0.12, 0.88), (parts["softwood"], parts["wood-fibre-flexible"])
            ),
            Strips(0.0125, (1.0,), (parts["lining-board"],)),
        ]
    )
    layers = describe(case, variant)["layers"]
    thickness = np.array([layer["thickness"] for layer in layers])
    found = u_value(thickness, np.array([layer["conductivity_dry"] for layer in layers]))
    assert found == pytest.approx(1.0 / expected.total, rel=1e-12)


def test_parallel_is_the_area_weighted_mean():
    case = read("thickness_mm = [60, 80]", 'mixed_heat = "parallel"\nthickness_mm = 60')
    studs = case.variant("studs").layers[1]
    parts = [(case.named_material(name, ()).conductivity_dry, share) for name, share in studs.mixed]
    assert case.material(studs).conductivity_dry == pytest.approx(sum(k * f for k, f in parts))


def test_the_wall_is_built_and_described_with_its_parts():
    case = read()
    model = build_wall(case, case.variant("studs-080mm"))
    assert [layer.name for layer in model.layers] == ["masonry", "studs and fill", "lining-board"]
    described = describe(case, case.variant("studs-080mm"))["layers"][1]
    assert described["material"] == "softwood 12 % + wood-fibre-flexible 88 %"
    limits = next(source for source in described["sources"] if source["key"] == "mixed")
    assert "One-dimensional" in limits["source"]
    heat = next(source for source in described["sources"] if source["key"] == "conductivity_dry")
    assert "combined method of ISO 6946" in heat["source"]
    assert "% off" in heat["source"]


def test_one_material_twice_is_that_material():
    case = read('"lime-mortar", share = 0.2', '"solid-brick", share = 0.2')
    plain = parse_case(
        TEXT.replace(TEXT[TEXT.index("mixed") : TEXT.index("thickness")], 'material = "solid-brick"\n', 1)
    )
    tables = [build_wall(c, c.variant("bare-wall")).layers[0].table for c in (case, plain)]
    assert tables[0] is tables[1]


def test_dabs_of_adhesive_are_a_layer_with_air():
    layer = (
        '[[build_up.layer]]\nname = "dabs"\nthickness_mm = 10\nmixed = [{ material = "lime-plaster", '
        'share = 0.4 }, { material = "still-air", share = 0.6 }]\n[[build_up.layer]]\nname = "studs and fill"'
    )
    case = read('[[build_up.layer]]\nname = "studs and fill"', layer)
    dabs = case.variant("studs-060mm").layers[1]
    assert case.material(dabs).free_saturation == pytest.approx(0.4 * 260.0, rel=1e-3)
    assert 0.01 / 0.8 < 0.01 / case.material(dabs).conductivity_dry < 0.15


def test_other_doors_read_mixed_layers_too():
    case = parse_case(TEXT.replace("hours = 24", "years = 1", 1))
    found = steady_condensation(case, case.variant("studs-060mm"))
    assert found.layers[1].name == "studs and fill"


def test_shares_are_part_of_the_digest():
    assert read().digest() == read().digest()
    changed = parse_case(TEXT.replace("share = 0.12", "share = 0.10").replace("share = 0.88", "share = 0.90"))
    assert changed.digest() != read().digest()


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("share = 0.12", "share = 0.2", "do not make up the whole, found '0.2 + 0.88"),
        ("share = 0.12", "share = 1.2", "below 1"),
        ("share = 0.12", 'share = "0.12"', "a number"),
        ('"softwood"', '"softwod"', "softwood"),
        (', { material = "lime-mortar", share = 0.2 }', "", "too few parts"),
        ('name = "masonry"', 'material = "solid-brick"', "both mixed parts and a material"),
        ('name = "masonry"', 'film = "limewash"', "has a key 'mixed'"),
        (
            'material = "lining-board"',
            'material = "lining-board"\nmixed_heat = "parallel"',
            "nothing without",
        ),
        ("thickness_mm = 225", "", "has no thickness"),
        ("{ material =", "{ name =", "unknown key 'name'"),
    ],
)
def test_what_is_wrong_is_told_in_one_line(old, new, said):
    text = sentence(old, new)
    assert said in text
    assert "case.toml:" in text
    assert "\n" not in text
