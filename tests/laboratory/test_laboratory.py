"""Simulated laboratory tests give back what the material states."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from solver_walls import plain_material

from hygro.errors import MaterialError
from hygro.materials import load_material
from hygro.materials.liquid import AbsorptionDiffusivity
from hygro.results.laboratory import TESTS, laboratory
from hygro.results.laboratory_bench import LabResult
from hygro.results.laboratory_liquid import wet_bulb
from hygro.results.laboratory_vapour import cups, mean_resistance

DOCS = Path(__file__).parents[2] / "docs"
SOME = ["solid-brick", "wood-fibre-rigid", "mineral-wool", "en15026-annex-a"]


def only(results, test, quantity=None):
    found = [item for item in results if item.test == test and quantity in (None, item.quantity)]
    assert len(found) == 1
    return found[0]


@pytest.mark.parametrize("name", SOME)
def test_materials_give_back_what_they_state(name):
    results = laboratory(load_material(name))
    assert all(item.agrees for item in results), [item for item in results if not item.agrees]
    assert {item.test for item in results} >= {"water uptake", "dry cup", "wet cup", "drying", "sorption"}


def test_own_material_gives_back_its_measurements():
    """Uptake within the 5 % asked for; the dry cup within 0.5 %: cells, and 3 K between test and curve."""
    results = laboratory(load_material(DOCS / "own-materials" / "invented-brick.toml"))
    assert all(item.agrees for item in results)
    assert only(results, "water uptake").simulated == pytest.approx(0.18, rel=0.05)
    assert only(results, "dry cup").simulated == pytest.approx(17.0, rel=0.005)
    assert only(results, "sorption", "water content at 80 % RH").simulated == pytest.approx(4.5, rel=1e-3)


def test_uptake_follows_the_liquid_curve_and_not_the_label():
    """A file that states A_w 0.2 over a liquid curve for 0.1 misses; the slope is that of the curve."""
    material = load_material("solid-brick")
    slow = replace(material, liquid=AbsorptionDiffusivity(0.1, material.free_saturation), content="")
    result = only(laboratory(slow, ("uptake",)), "water uptake")
    assert not result.agrees
    assert result.simulated == pytest.approx(0.10085, rel=0.003)


def test_cups_of_a_constant_resistance_by_hand():
    material = plain_material(resistance=12.5)
    for result in cups(material):
        assert result.simulated == pytest.approx(12.5, rel=1e-3)


def test_cup_of_a_table_by_quadrature():
    """mu from 40 at 30 % to 10 at 70 %, linear: the mean of 1/mu by a plain sum, 20 degC curve at 23 degC."""
    material = replace(plain_material(), content="")
    steep = plain_material(resistance=None, vapour=([0.3, 0.7], [40.0, 10.0]))
    phi = np.linspace(0.5, 0.93, 100_001)
    expected = 1.0 / np.mean(1.0 / np.interp(phi, [0.3, 0.7], [40.0, 10.0]))
    assert mean_resistance(steep, (0.5, 0.93)) == pytest.approx(expected, rel=0.02)
    assert only(cups(steep), "wet cup").simulated == pytest.approx(
        mean_resistance(steep, (0.5, 0.93)), rel=0.005
    )
    assert material.name == "plain"


def test_liquid_shows_in_the_wet_cup_of_a_sucking_brick():
    """More flow than vapour alone; in the brick of the library more than twice as much."""
    results = cups(load_material("solid-brick"))
    alone, together = only(results, "wet cup"), only(results, "wet cup, liquid at work")
    assert together.simulated < 0.5 * alone.simulated
    assert together.allowed is None  # shown, not judged


def test_drying_has_two_stages():
    """Calcium silicate dries for days as a free wet surface would; timber never does."""
    board = laboratory(load_material("calcium-silicate"), ("drying",))
    rate = only(board, "drying", "first-stage rate")
    assert rate.simulated == pytest.approx(rate.stated, rel=0.01)
    assert only(board, "drying", "end of first stage").simulated > 100.0
    wood = laboratory(load_material("softwood"), ("drying",))
    assert only(wood, "drying", "first-stage rate").simulated is None
    assert only(wood, "drying", "end of first stage").simulated < 12.0
    assert (
        only(wood, "drying", "time to dry").simulated > 10.0 * only(board, "drying", "time to dry").simulated
    )


def test_wet_bulb_balances():
    temperature, rate = wet_bulb(293.15, 0.5)
    assert 20.0 * (293.15 - temperature) == pytest.approx(2.5e6 * rate, rel=1e-6)
    assert 285.0 < temperature < 288.0  # air of 20 degC and 50 %: psychrometric charts say 13.8 degC


def test_what_cannot_be_simulated_does_not_agree():
    """The recalled curve of a published board is so steep that no step is short enough from oven-dry."""
    result = laboratory(load_material("hamstad-bm5-insulation"), ("uptake",))[0]
    assert result.simulated is None
    assert not result.agrees
    assert "cannot be simulated" in result.note


def test_results_know_whether_they_agree():
    def make(**parts):
        return LabResult.of("t", "q", "1", **parts)

    assert make(simulated=1.04, stated=1.0, allowed=0.05).agrees
    assert make(simulated=1.04, stated=1.0, allowed=0.05).difference == pytest.approx(0.04)
    assert not make(simulated=1.06, stated=1.0, allowed=0.05).agrees
    assert make(simulated=9.0, stated=1.0).agrees
    assert make(simulated=None, stated=None, allowed=0.05).agrees
    assert not make(simulated=None, stated=1.0, allowed=0.05).agrees
    assert make(simulated=2.0, stated=None).difference is None


def test_unknown_tests_are_named():
    with pytest.raises(MaterialError, match="no such test.*uptake, cups, drying"):
        laboratory(load_material("solid-brick"), ("frost",))
    assert list(TESTS) == ["uptake", "cups", "drying", "sorption", "conductivity"]
