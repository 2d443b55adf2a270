"""What the spread of a material does to a wall."""

from pathlib import Path

import pytest

from hygro import load_case
from hygro.decide.material_spread import spread_effect
from hygro.errors import CaseError, MaterialError
from hygro.materials import load_material

ROOT = Path(__file__).parents[2]
OWN = ROOT / "docs" / "own-materials" / "invented-brick.toml"


@pytest.fixture(scope="module")
def case():
    return load_case(ROOT / "cases" / "first-look.toml")


@pytest.fixture(scope="module")
def wall(case):
    return case.variant("wood-fibre-rigid-060mm-SW")


def test_each_value_is_moved_alone(case, wall):
    """Figures as docs/own-materials.md gives them.

    Under the little rain of the sheltered street a brick that sucks more carries more of it inwards; its
    vapour resistance matters little.
    """
    seen = []
    effects = spread_effect(case, wall, "solid-brick", load_material(OWN), progress=seen.append)
    assert seen == effects
    by = {(effect.key, effect.end): effect for effect in effects}
    assert [effect.value for effect in effects[:3]] == [None, 0.09, 0.32]
    assert {effect.place for effect in effects} == {"levelling coat | insulation"}
    slow, plain, fast = by["absorption_coefficient", "low"], by["", ""], by["absorption_coefficient", "high"]
    assert slow.most < plain.most < fast.most
    assert slow.mean < plain.mean < fast.mean
    assert slow.heat_loss < plain.heat_loss < fast.heat_loss
    shift = by["vapour", "high"].most - by["vapour", "low"].most
    assert 0.0 < shift < 0.3 * (fast.most - slow.most)
    assert (plain.mean, plain.most) == pytest.approx((76.0, 87.5), abs=0.06)


def test_what_cannot_be_moved_is_named(case, wall):
    with pytest.raises(CaseError, match="no layer of this material.*lime-plaster"):
        spread_effect(case, wall, "limestone")
    with pytest.raises(MaterialError, match="states no spread"):
        spread_effect(case, wall, "solid-brick", load_material(OWN), keys=["density"])
