"""A short file is completed by the relations the documentation states, and slips are named."""

from pathlib import Path

import numpy as np
import pytest

from hygro.errors import MaterialError
from hygro.materials import load_material
from hygro.materials.completion_cups import DRY_CUP, WET_CUP, ramp_share, solve_cups
from hygro.materials.liquid import AbsorptionDiffusivity
from hygro.materials.measured import MeasuredPoints
from hygro.materials.storage import HyperbolicStorage
from hygro.materials.vapour import CupResistance

EXAMPLE = Path(__file__).parents[2] / "docs" / "own-materials" / "invented-brick.toml"
DERIVED = {
    "specific_heat", "porosity", "saturation", "free_saturation", "storage", "liquid", "vapour", "heat",
    "mould_sensitivity", "mould_decline",
}  # fmt: skip


@pytest.fixture
def own(tmp_path):
    """Write the example with replacements and load it."""

    def make(*changes, name="own"):
        text = EXAMPLE.read_text(encoding="utf-8")
        for old, new in changes:
            assert old in text
            text = text.replace(old, new, 1)
        path = tmp_path / f"{name}.toml"
        path.write_text(text, encoding="utf-8")
        return load_material(path)

    return make


def mean_mu(material, span):
    """Resistance factor of a cup: mean permeability over the span."""
    phi = np.linspace(*span, 200_001)
    return 1.0 / np.mean(1.0 / material.vapour.resistance_factor(phi, np.zeros_like(phi)))


def test_everything_left_out_is_marked_with_source_and_spread(own):
    material = own()
    for source in material.sources:
        assert (source.kind == "derived") == (source.key in DERIVED), source.key
        assert source.source
        if source.key in DERIVED - {"saturation", "mould_sensitivity", "mould_decline"}:
            assert source.low is not None
            assert source.low < source.high
            assert source.spread
    assert material.source("absorption_coefficient").low == 0.09
    assert material.content  # so that values can be moved within their spread


def test_the_relations_are_those_documented(own):
    material = own()
    assert material.porosity == pytest.approx(1.0 - 1720.0 / 2680.0, rel=2e-4)
    assert material.saturation == pytest.approx(1000.0 * material.porosity, rel=1e-9)
    assert material.free_saturation == pytest.approx(0.62 * material.saturation, rel=3e-4)
    assert isinstance(material.storage, HyperbolicStorage)
    assert material.water_content(0.8) == pytest.approx(4.5, rel=1e-9)
    assert isinstance(material.liquid, AbsorptionDiffusivity)
    assert material.liquid.absorption_coefficient == 0.18
    assert isinstance(material.vapour, CupResistance)
    assert mean_mu(material, DRY_CUP) == pytest.approx(17.0, rel=1e-4)
    assert mean_mu(material, WET_CUP) == pytest.approx(0.69 * 17.0, rel=1e-4)
    growth = material.heat.conductivity(np.array([0.0, 100.0]))
    assert growth == pytest.approx([0.66, 0.66 + 0.41])


def test_what_is_stated_is_never_touched(own):
    stated = (
        "[porosity]\nvalue = 0.3\nunit = '1'\nlow = 0.28\nhigh = 0.33\nkind = 'published'\nsource = 'x'\n\n"
    )
    material = own(("[absorption_coefficient]", stated + "[absorption_coefficient]"))
    assert material.porosity == 0.3
    assert material.source("porosity").kind == "published"
    assert material.saturation == 300.0
    assert material.free_saturation == pytest.approx(0.62 * 300.0)


def test_several_points_are_all_passed_through(own):
    material = own(
        ("[80.0]", "[50.0, 80.0, 95.0]"),
        ("water_content_kg_m3 = [4.5]", "water_mass_percent = [0.1, 0.2, 0.9]"),
    )
    assert isinstance(material.storage, MeasuredPoints)
    held = material.water_content(np.array([0.5, 0.8, 0.95]))
    assert held == pytest.approx(17.2 * np.array([0.1, 0.2, 0.9]))
    assert material.water_content(1.0) == pytest.approx(material.free_saturation, rel=1e-3)


def test_both_cups_are_met_as_means(own):
    material = own(("dry_cup = 17.0", "dry_cup = 17.0\nwet_cup = 9.0"))
    assert mean_mu(material, DRY_CUP) == pytest.approx(17.0, rel=1e-4)
    assert mean_mu(material, WET_CUP) == pytest.approx(9.0, rel=1e-4)
    only_wet = own(("dry_cup = 17.0", "wet_cup = 9.0"))
    assert mean_mu(only_wet, DRY_CUP) == pytest.approx(9.0 / 0.69, rel=1e-4)


@pytest.mark.parametrize(("dry", "wet"), [(16.0, 10.0), (9.0, 9.0), (200.0, 60.0), (5.0, 3.0)])
def test_cup_ends_by_quadrature(dry, wet):
    """The closed form against a plain mean over the two spans."""
    ends, how = solve_cups(dry, wet)
    curve = CupResistance(*ends)
    for span, expected in ((DRY_CUP, dry), (WET_CUP, wet)):
        phi = np.linspace(*span, 100_001)
        assert 1.0 / np.mean(1.0 / curve.resistance_factor(phi, phi)) == pytest.approx(expected, rel=1e-4)
    assert "means" in how


def test_ramp_shares_by_hand():
    """0 to 50 %: a triangle of 25 x 0.5 / 2 over 50; 50 to 93 %: all but such a triangle over 43."""
    assert ramp_share(DRY_CUP) == pytest.approx(0.125)
    assert ramp_share(WET_CUP) == pytest.approx(1.0 - 0.0625 / 0.43)


def test_cups_too_far_apart_stay_as_measured():
    ends, how = solve_cups(300.0, 10.0)
    assert ends == (300.0, 10.0)
    assert "differ too much" in how


def test_every_end_of_every_spread_makes_a_material(own):
    """Ends that need the others to move too (a fuller sorption than the low w_f holds) do not occur here."""
    material = own()
    for source in material.sources:
        if source.low is not None and source.key not in ("liquid", "heat"):
            for end in ("low", "high"):
                assert material.with_value(source.key, end).table().water_content[0] > 0.0


SLIPS = [
    ("value = 1720.0", "value = 1.72", "g/cm3, write 1720 kg/m3"),
    ('unit = "kg/m3"', 'unit = "g/cm3"', "1720 g/cm3 is"),
    ("value = 0.66", "value = 660.0", "mW/(m K), write 0.66 W/(m K)"),
    ("value = 0.18", "value = 12.0", "kg/(m2 h^0.5), write 0.2"),
    ("value = 0.18\nunit = \"kg/(m2 s^0.5)\"\nlow = 0.09\nhigh = 0.32",
     "value = 1.4\nunit = \"kg/(m2 s^0.5)\"\nlow = 0.09\nhigh = 3.0", "square root of a minute, write 0.181"),
    ('unit = "kg/(m2 s^0.5)"', 'unit = "kg/(m² min^0.5)"', "stated in the wrong unit"),
    ("[80.0]", "[0.8]", "looks like a fraction"),
    ("[80.0]", "[80.0, 90.0]", "differ in length"),
    ("[4.5]", "[190.0]", "percent by mass or kg/m3"),
    ("[4.5]", "[0.0]", "between dry and the straight line"),
    ("[80.0]", "[100.0]", "understood and not listed"),
    ("dry_cup = 17.0", "dry_cup = 0.7", "still air"),
    ("dry_cup = 17.0", "dry_cup = 9.0\nwet_cup = 17.0", "swapped"),
    ("dry_cup = 17.0", "", "neither dry_cup nor wet_cup"),
    ("dry_cup = 17.0", "dry_cup = 17.0\nwett_cup = 9.0", "wett_cup"),
    ("complete = true", "complete = false", "is missing"),
    ("complete = true\n", "", "is missing"),
    ('category = "masonry"', 'category = "insulation"', "porosity is missing"),
    ("[absorption_coefficient]", "[absorption]", "how liquid water moves"),
    ("[cups]", "[vapour]\nform = 'constant'\nresistance_factor = 9.0\nkind = 'memory'\nsource = 'x'\n[cups]",
     "state the same thing twice"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "answer"), SLIPS, ids=[slip[2] for slip in SLIPS])
def test_slips_get_one_sentence(own, old, new, answer):
    with pytest.raises(MaterialError) as caught:
        own((old, new))
    sentence = str(caught.value)
    assert answer in sentence
    assert "own.toml" in sentence
    assert "\n" not in sentence


@pytest.mark.parametrize(
    ("section", "unit", "value", "answer"),
    [
        ("porosity", "1", 36.0, "meant in %, write 0.36"),
        ("specific_heat", "J/(kg K)", 0.88, "kJ/(kg K), write 880"),
        ("free_saturation", "kg/m3", 1.0e5, None),
    ],
)
def test_slips_in_values_that_could_have_been_left_out(own, section, unit, value, answer):
    stated = f"[{section}]\nvalue = {value}\nunit = '{unit}'\nkind = 'memory'\nsource = 'x'\n\n[cups]"
    with pytest.raises(MaterialError) as caught:
        own(("[cups]", stated))
    assert "not plausible" in str(caught.value)
    assert answer is None or answer in str(caught.value)


def test_the_page_shows_the_example_as_it_is():
    page = (EXAMPLE.parents[1] / "own-materials.md").read_text(encoding="utf-8")
    for line in EXAMPLE.read_text(encoding="utf-8").splitlines():
        assert line in page
