"""What a march says where it could not go on."""

import numpy as np
import pytest
from solver_walls import run
from test_solve_kernels import spoilt
from walls_in_rain import insulated

from hygro.solve.failure import _moved
from hygro.solve.solves import NEVER

NO_NUMBER = "the last iteration gave no number"
OUT_OF_REACH = (
    "the last iteration would have left less than no water somewhere, or a temperature out of reach"
)


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (np.nan, NO_NUMBER),
        (np.inf, NO_NUMBER),
        (NEVER, OUT_OF_REACH),
        (3.0 * NEVER, OUT_OF_REACH),
        (12.345, "the last iteration still moved it by 12 times the tolerance"),
        (0.0123, "the last iteration still moved it by 0.012 times the tolerance"),
    ],
)
def test_what_the_last_iteration_did(change, sentence):
    """Marks that the kernels leave in place of a size are not printed as one."""
    assert _moved(change) == sentence


def test_sentences_of_marches_that_failed():
    """A climate that is no number, a step that would warm the wall beyond reach, and steps used up."""
    nothing = run(spoilt(4, 2, temperature=np.nan)).solution.failure
    assert nothing.startswith("hour 2: no step was short enough for the balance to close in layer '")
    assert nothing.endswith(f"in hour 2 of the weather; {NO_NUMBER}")
    hot = run(spoilt(4, 2, temperature=1e30)).solution.failure
    assert hot.endswith(OUT_OF_REACH)
    slow = run(insulated(48), accuracy="reference", most_steps=3).solution.failure
    assert ": too many steps were needed for the balance to close in layer '" in slow
    assert slow.endswith("times the tolerance")
