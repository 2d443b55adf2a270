"""The page about the whole library says what the laboratory says."""

import re
from pathlib import Path

import pytest

from hygro.materials import load_material
from hygro.results.laboratory import laboratory
from hygro.results.laboratory_table import laboratory_page, library_results, worst

PAGE = Path(__file__).parents[2] / "docs" / "laboratory.md"


@pytest.fixture(scope="module")
def library():
    return library_results()


def test_page_of_two_materials():
    results = {name: laboratory(load_material(name)) for name in ("gypsum-plaster", "hemp-fibre")}
    page = laboratory_page(results)
    row = next(line for line in page.splitlines() if line.startswith("| `gypsum-plaster` | 0.3 "))
    assert re.search(r"\| \+0\.[1-9] % \|", row), "what is taken up is above A_w by what cells and steps err"
    assert "| `hemp-fibre` | - | - | - | - | 1.5 | 1.5 | 0.0 % |" in page
    assert page.rstrip().endswith("Nothing.")
    widths = {line.count("|") for line in page.splitlines() if line.startswith("| `hemp-fibre`")}
    assert widths == {13, 6, 4}
    assert worst(results["hemp-fibre"], "water uptake") is None


@pytest.mark.slow
def test_the_page_is_the_library_as_it_is(library):
    """Numbers within one unit of their last digit: machines differ in the last bits, which rounding shows."""
    made, kept = laboratory_page(library), PAGE.read_text(encoding="utf-8")
    pattern = re.compile(r"[-+]?\d+(?:\.\d+)?(?:e[-+]\d+)?")
    assert pattern.sub("#", made) == pattern.sub("#", kept)
    for new, old in zip(pattern.findall(made), pattern.findall(kept), strict=True):
        digits = len(old.split("e")[0].partition(".")[2])
        scale = 10.0 ** int(old.split("e")[1]) if "e" in old else 1.0
        assert abs(float(new) - float(old)) <= 1.01 * scale * 10.0**-digits


@pytest.mark.slow
def test_the_library_agrees_but_for_one_recalled_curve(library):
    odd = {(name, item.test) for name, found in library.items() for item in found if not item.agrees}
    # From oven-dry the front in this recalled board is too steep for the march, which says so and stops.
    assert odd == {("hamstad-bm5-insulation", "water uptake")}
