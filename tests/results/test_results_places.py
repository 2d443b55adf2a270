"""Where the places of a wall lie, and which of them the build-up answers for."""

from pathlib import Path

import numpy as np
import pytest

from hygro.case import load_case, parse_case
from hygro.results.simulate import simulate
from hygro.scores.access import judged_places

CASES = Path(__file__).parents[2] / "cases"


@pytest.fixture(scope="module")
def foamed():
    """The foam board of the invented terrace, foil on both faces, for a day."""
    case = load_case(CASES / "terrace-coast.toml")
    text = case.source_text.replace('years = "until steady"\nmost_years = 10', "hours = 24")
    case = parse_case(text, case.path)
    return simulate(case, case.variant("foam-foil-faced-100mm-SW"))


def test_both_faces_of_a_film_lie_where_the_layers_meet(foamed):
    depths = dict(zip(foamed["place"].values, foamed["place_depth"].values, strict=True))
    starts = dict(zip(foamed["layer"].values, foamed["layer_start"].values, strict=True))
    for face in ("outer", "inner"):
        behind = depths[f"old plaster | insulation, {face} face of outer foil"]
        before = depths[f"insulation | lining board, {face} face of inner foil"]
        assert behind == pytest.approx(starts["insulation"], abs=1e-12)
        assert before == pytest.approx(starts["lining board"], abs=1e-12)
    assert depths["under vinyl-paint, inside"] == depths["internal surface"]


def test_places_go_from_outside_to_inside(foamed):
    depths = foamed["place_depth"].values[foamed["place_kind"].values != "probe"]
    assert (np.diff(depths) >= 0.0).all()


def test_the_wall_side_of_the_foil_is_judged(foamed):
    """Where the wall's water is stopped by the build-up, not the sealed inside of the board."""
    judged = dict(zip(foamed["place"].values, judged_places(foamed), strict=True))
    assert judged["old plaster | insulation, outer face of outer foil"]
    assert not judged["old plaster | insulation, inner face of outer foil"]
    assert not judged["old brick | old plaster"]
