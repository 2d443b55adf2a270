"""U-values against worked examples."""

import numpy as np
import pytest

from hygro.errors import ResultError
from hygro.scores.steady_u import EXTERNAL_RESISTANCE, INTERNAL_RESISTANCE, total_resistance, u_value


def temperatures(thickness, conductivity, inside, outside):
    """Surface and interface temperatures from inside to outside."""
    steps = np.cumsum([INTERNAL_RESISTANCE, *np.divide(thickness, conductivity)])
    return inside - (inside - outside) * steps / total_resistance(thickness, conductivity)


def test_worked_example_with_external_insulation():
    # Course text of the University of Iceland: render, insulation, masonry, plaster; R 3.08, U 0.33 as
    # printed, 3.0752 and 0.3252 recomputed from the same layers. Temperatures as recomputed.
    thickness, conductivity = np.array([0.025, 0.100, 0.180, 0.020]), np.array([1.2, 0.036, 1.95, 1.4])
    assert total_resistance(thickness, conductivity) == pytest.approx(3.0752, abs=5e-5)
    assert u_value(thickness, conductivity) == pytest.approx(0.3252, abs=5e-5)
    assert temperatures(thickness, conductivity, 20, -5) == pytest.approx(
        [18.94, 18.77, -3.81, -4.56, -4.67], abs=5e-3
    )


def test_worked_example_of_a_faced_wall():
    # Plaster, masonry, insulation, facing (Willems ed. 2022, second-hand): U 0.212, q 6.36 W/m2 at 30 K.
    thickness, conductivity = np.array([0.015, 0.240, 0.100, 0.115]), np.array([0.51, 0.16, 0.035, 0.68])
    assert u_value(thickness, conductivity) == pytest.approx(0.212, abs=5e-4)
    # The printed flux was computed from the rounded U.
    assert 30 * u_value(thickness, conductivity) == pytest.approx(6.36, abs=30 * 5e-4)
    assert temperatures(thickness, conductivity, 20, -10) == pytest.approx(
        [19.17, 18.99, 9.47, -8.67, -9.75], abs=5.1e-3
    )


def test_solid_brick_wall_has_the_value_long_assumed():
    # 215 mm brick and 13 mm dense plaster: 2.12, against the 2.1 long assumed (Li et al. 2015).
    found = u_value(np.array([0.215, 0.013]), np.array([0.77, 0.57]))
    assert found == pytest.approx(2.12, abs=5e-3)
    assert found == pytest.approx(2.1, abs=0.05)


def test_surface_resistances_alone():
    assert total_resistance(np.array([]), np.array([])) == pytest.approx(
        INTERNAL_RESISTANCE + EXTERNAL_RESISTANCE
    )


@pytest.mark.parametrize(
    ("thickness", "conductivity"), [([0.1], [0.0]), ([0.0], [1.0]), ([0.1, 0.2], [1.0]), ([0.1], [-1.0])]
)
def test_unusable_layers_are_refused(thickness, conductivity):
    with pytest.raises(ResultError, match="layers are unusable"):
        u_value(np.array(thickness), np.array(conductivity))
