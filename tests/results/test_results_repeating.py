"""What a result tells about the repeating year."""

import numpy as np
import pytest
from tiny_study import TEXT, write_study

from hygro.case import load_case
from hygro.errors import CaseError
from hygro.results.simulate import simulate
from hygro.scores import score


def study(folder, run):
    return load_case(write_study(folder, TEXT.replace("hours = 72", run)))


def test_result_holds_the_repeating_year_and_the_one_before(tmp_path):
    case = study(tmp_path, 'years = "repeating"')
    found = simulate(case, case.variant("wood-fibre-060mm-SW"))
    assert found.sizes["year"] == 2
    assert found.attrs["steady_year"] == 2
    assert found.attrs["status"] == "complete"
    assert found.attrs["approach"].startswith("repeating year found (")
    assert found.attrs["years_simulated"] >= 4.0
    last = found["layer_water_content"].values[[365, 730]]
    np.testing.assert_allclose(last[1], last[0], rtol=1e-4)
    assert np.abs(found["balance_moisture"].values).max() < 1e-8
    (water,) = [entry for entry in score(found) if entry.name == "wall_water_change"]
    assert "steady" in water.note


def test_march_from_the_initial_moisture_says_so(tmp_path):
    case = study(tmp_path, "years = 1")
    found = simulate(case, case.variant("bare-wall-SW"))
    assert found.attrs["approach"] == "marched from the initial moisture"
    assert found.attrs["years_simulated"] == 1.0
    assert found.attrs["steady_year"] == 0


def test_profiles_of_two_years_must_be_comparable(tmp_path):
    text = TEXT.replace("hours = 72", 'years = "repeating"') + "\n[output]\nfield_every_h = 100\n"
    with pytest.raises(CaseError, match="do not divide a year"):
        load_case(write_study(tmp_path, text))


def test_another_word_is_refused_with_those_that_are_known(tmp_path):
    with pytest.raises(CaseError, match='"until steady" or "repeating"'):
        study(tmp_path, 'years = "periodic"')
