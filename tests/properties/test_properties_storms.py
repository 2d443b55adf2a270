"""Random walls in storms and frost: none fails, balances close, states stay within their tables.

`python -m benchmarks storms` does the same for two thousand walls over a year each.
"""

import numpy as np
import pytest
from witness_walls import random_wall

from hygro.grid.cells import build_grid
from hygro.materials.tables import LOG_SUCTION_HIGH
from hygro.physics.moist_air import relative_humidity
from hygro.solve.march import march
from hygro.solve.settings import ACCURACIES, Span

BALANCE = 1e-8
"""Of what crossed the faces: where balances are taken iterations end at 1e-7 and leave its square."""


def check(seed, hours, accuracy="standard"):
    model = random_wall(seed, hours)
    solution = march(model, build_grid(model), Span((0, hours), hours), ACCURACIES[accuracy])
    assert solution.failure == ""
    water, heat = solution.balance_errors()
    assert np.abs(water).max() < BALANCE
    assert np.abs(heat).max() < BALANCE
    assert solution.log_suction.max() <= LOG_SUCTION_HIGH
    humidity = relative_humidity(10.0**solution.log_suction, solution.temperature)
    assert humidity.min() > 0.0
    assert humidity.max() <= 1.0
    # Sun on the wall is at most 25 K warmer than air of at most 35 degC, frost not below -25 degC.
    assert solution.temperature.min() > 240.0
    assert solution.temperature.max() < 345.0


@pytest.mark.parametrize("accuracy", ACCURACIES)
@pytest.mark.parametrize("seed", range(7000, 7003))
def test_three_weeks(seed, accuracy):
    check(seed, 504, accuracy)


@pytest.mark.parametrize("seed", [1312, 425])
def test_walls_that_once_failed(seed):
    """Updates that overshot to the dry end of the table and stuck there; a balance that closed to 6e-8."""
    check(seed, 2160)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(8000, 8040))
def test_a_year(seed):
    check(seed, 8760)
