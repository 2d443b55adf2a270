"""Variants: how many, in which order, with which names and layers."""

from __future__ import annotations

import pytest

from hygro.case.variants import BARE_WALL, slugify
from hygro.errors import CaseError


def test_bare_wall_and_each_thickness_for_each_elevation(read):
    slugs = [variant.slug for variant in read().variants()]
    assert slugs == [
        "bare-wall-SW",
        "wood-fibre-rigid-040mm-SW",
        "wood-fibre-rigid-080mm-SW",
        "bare-wall-N",
        "wood-fibre-rigid-040mm-N",
        "wood-fibre-rigid-080mm-N",
    ]


def test_without_the_bare_wall(read, text):
    case = read(text.replace('title = "A wall"', 'title = "A wall"\nbare_wall = false'))
    assert [v.build_up for v in case.variants()] == ["Wood fibre, rigid"] * 4


def test_layers_run_from_outside_to_inside_and_share_no_name(read):
    bare, thin, *_ = read().variants()
    assert bare.build_up == BARE_WALL
    assert [layer.name for layer in bare.layers] == ["brick", "plaster"]
    assert [layer.name for layer in thin.layers] == ["brick", "plaster", "plaster (2)", "fibre", "paint"]
    assert [layer.thickness_mm for layer in thin.layers] == [225.0, 15.0, 10.0, 40.0, None]
    assert [layer.part for layer in thin.layers] == ["wall", "wall"] + 3 * ["build-up"]
    assert [layer.varied for layer in thin.layers] == [False, False, False, True, False]
    assert thin.thickness_mm == 40.0
    assert (thin.elevation, thin.elevation_name) == (225.0, "SW")


def test_layers_that_come_off(read, text):
    case = read(text.replace("[[build_up]]\n", '[[build_up]]\nremoves = ["plaster"]\n'))
    bare, thin, *_ = case.variants()
    assert [layer.name for layer in bare.layers] == ["brick", "plaster"]
    assert [layer.name for layer in thin.layers] == ["brick", "plaster", "fibre", "paint"]
    assert thin.layers[1].part == "build-up"


def test_a_build_up_without_a_list_is_one_variant(read, text):
    case = read(text.replace("[40, 80]", "60"))
    build_up = case.variants()[1]
    assert build_up.slug == "wood-fibre-rigid-SW"
    assert build_up.thickness_mm is None
    assert build_up.layers[3].thickness_mm == 60.0


def test_odd_directions_and_thicknesses_make_safe_names(read, text):
    case = read(text.replace('["SW", "N"]', "[200.5, 360]").replace("[40, 80]", "[12.5, 100]"))
    assert [v.slug for v in case.variants()] == [
        "bare-wall-200_5deg",
        "wood-fibre-rigid-012_5mm-200_5deg",
        "wood-fibre-rigid-100mm-200_5deg",
        "bare-wall-N",
        "wood-fibre-rigid-012_5mm-N",
        "wood-fibre-rigid-100mm-N",
    ]


@pytest.mark.parametrize(
    ("name", "slug"),
    [
        ("Hemp / lime", "hemp-lime"),
        ("  Käse  ", "kase"),
        ("../../etc/passwd", "etc-passwd"),
        ("CON", "con"),
        ("墙", ""),
    ],
)
def test_slugs_hold_letters_digits_and_hyphens(name, slug):
    assert slugify(name) == slug


def test_prescribed_boundary_has_no_elevation(read, text):
    side = 'kind = "fixed"\ntemperature_C = 30\nrelative_humidity_percent = 95\n'
    head, _, rest = text.partition("[site]")
    wall = rest[rest.index("[wall]") : rest.index("[[build_up]]")]
    case = read(f"{head}[external]\n{side}[internal]\n{side}[run]\nhours = 24\n{wall}")
    (only,) = case.variants()
    assert (only.slug, only.elevation, only.elevation_name) == ("bare-wall", None, "")
    assert case.spec.run.years is None


def test_a_variant_is_found_by_its_slug(read):
    case = read()
    assert case.variant("wood-fibre-rigid-080mm-N").thickness_mm == 80.0
    with pytest.raises(
        CaseError, match="no variant 'wood-fibre-rigid-80mm-N'; did you mean 'wood-fibre-rigid-080mm-N'"
    ):
        case.variant("wood-fibre-rigid-80mm-N")


def test_initial_state_of_the_wall_holds_where_a_layer_says_nothing(read, text):
    case = read(
        text.replace(
            "[wall]\n", "[wall]\ninitial_temperature_C = 12\ninitial_relative_humidity_percent = 70\n"
        ).replace("thickness_mm = 10\n", "thickness_mm = 10\ninitial_relative_humidity_percent = 99\n")
    )
    layers = case.variants()[1].layers
    assert [layer.initial_relative_humidity_percent for layer in layers] == [70.0, 70.0, 99.0, 70.0, 70.0]
    assert {layer.initial_temperature_C for layer in layers} == {12.0}
