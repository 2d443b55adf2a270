"""The methods of time as rational functions: order, damping, and the largest error at a jump.

A method of s solves answers y' = lambda y over a step, z = lambda h, by R(z) = 1 + z phi(z), phi = sum of
b_j w^j with w = 1 / (1 - gamma z): see the docstring of `hygro.solve.kernels`.
"""

import numpy as np
import pytest

from hygro.solve.layout import METHOD_FLOW, METHOD_GAMMA, METHOD_MISMATCH
from hygro.solve.packing import METHODS, method_array

ORDERS = {1: 1, 2: 1, 3: 2}

LARGEST_ERRORS = {1: 0.2036, 2: 0.0475, 3: 0.0325}
"""Greatest |R(z) - exp(z)| for z < 0, to four decimals.

Derived. One solve: R = 1 / (1 + a) at z = -a, and 1 / (1 + a) - exp(-a) is greatest where exp(a) = (1 + a)^2,
a = 2.5129, which gives a / (1 + a)^2 = 0.20363. Two and three: the greatest on the grid of `NEGATIVE`, for
the weights of `family`, which order and damping leave a function of gamma alone.
"""

NEGATIVE = -np.geomspace(1e-4, 1e6, 20_001)
"""Points of the negative axis, 0.12 % apart: between two, an error gains less than 1e-6 at its greatest."""


def growth(weights, gamma, z):
    """R(z) of a method, from the weights of its flow."""
    w = 1.0 / (1.0 - gamma * z)
    return 1.0 + z * sum(b * w**j for j, b in enumerate(weights, start=1))


def family(solves, gamma):
    """Return the weights that order and damping leave to a gamma.

    Derived: phi(0) = 1 asks that weights sum to 1. z w -> -1 / gamma for z -> -infinity, where w -> 0: R -> 1
    - b_1 / gamma, so b_1 = gamma. w^j = 1 + j gamma z + ..., and phi = 1 + z / 2 + ... of second order asks
    that gamma times the sum of j b_j is 1/2.
    """
    if solves == 1:
        return (1.0,)
    if solves == 2:
        return (gamma, 1.0 - gamma)
    last = 0.5 / gamma - gamma - 2.0 * (1.0 - gamma)
    return (gamma, 1.0 - gamma - last, last)


def largest_error(weights, gamma):
    return np.abs(growth(weights, gamma, NEGATIVE) - np.exp(NEGATIVE)).max()


@pytest.mark.parametrize("solves", METHODS)
def test_weights_are_those_of_their_family(solves):
    """Weights sum to 1, the first is gamma: consistent and damped."""
    gamma, weights = METHODS[solves]
    assert len(weights) == solves
    assert sum(weights) == pytest.approx(1.0, abs=1e-14)
    assert weights == pytest.approx(family(solves, gamma), abs=1e-14)


@pytest.mark.parametrize("solves", METHODS)
def test_what_is_stiff_is_forgotten(solves):
    """R tends to 0 on the negative axis, with 1 / z, and is at most 1 all the way: L-stable."""
    gamma, weights = METHODS[solves]
    assert abs(growth(weights, gamma, -1e8)) < 1e-7
    assert np.abs(growth(weights, gamma, NEGATIVE)).max() <= 1.0
    # A pole on the right, and at most 1 on the imaginary axis: at most 1 in all of the left half plane.
    assert np.abs(growth(weights, gamma, 1j * NEGATIVE)).max() <= 1.0 + 1e-12


@pytest.mark.parametrize("solves", METHODS)
def test_order(solves):
    """Halving z divides R - exp by 2^(order + 1); within 0.02, as the next term is z / 1000 of it."""
    gamma, weights = METHODS[solves]
    z = -np.array([2e-3, 1e-3])
    errors = np.abs(growth(weights, gamma, z) - np.exp(z))
    assert np.log2(errors[0] / errors[1]) - 1.0 == pytest.approx(ORDERS[solves], abs=0.02)


@pytest.mark.parametrize("solves", METHODS)
def test_largest_error_of_a_jump(solves):
    gamma, weights = METHODS[solves]
    assert largest_error(weights, gamma) == pytest.approx(LARGEST_ERRORS[solves], abs=5e-5)


def test_largest_error_of_one_solve_in_closed_form():
    """Where exp(a) = (1 + a)^2, found by iterating a = 2 log(1 + a)."""
    a = 2.0
    for _ in range(200):
        a = 2.0 * np.log1p(a)
    assert LARGEST_ERRORS[1] == pytest.approx(a / (1.0 + a) ** 2, abs=5e-5)


@pytest.mark.parametrize("solves", [2, 3])
def test_gamma_is_the_best_of_its_family(solves):
    """Within 1 % of the gamma whose largest error is smallest, and the best of all multiples of 0.005.

    The error has a kink at its smallest, where two extremes of R - exp are equally large: the third digit of
    gamma moves it by up to 2 %.
    """
    gamma, _ = METHODS[solves]
    scanned = np.arange(400, 4001) / 2000.0
    errors = np.array([largest_error(family(solves, g), g) for g in scanned])
    best = scanned[errors.argmin()]
    print("best gamma", best, "error", errors.min())
    assert gamma == pytest.approx(best, rel=0.01)
    assert gamma == pytest.approx(scanned[::10][errors[::10].argmin()], abs=1e-12)


@pytest.mark.parametrize("solves", METHODS)
@pytest.mark.parametrize("z", [-1e-3, -0.4, -3.0, -50.0, -1e4])
def test_solves_in_a_row_give_the_rational_function(solves, z):
    """The recursion of the kernels with its packed weights, for y' = lambda y about any state.

    A step from 1 about y*: rows are divided by gamma h, so that the flow is gamma z y* over that, the
    mismatch y* - 1.
    """
    gamma, weights = METHODS[solves]
    method = method_array(solves)
    assert method.shape == (solves, 3)
    assert method[0, METHOD_GAMMA] == gamma
    for about in (1.0, 0.3, -2.0):
        change = 0.0
        for row in method[::-1]:
            flow = gamma * row[METHOD_FLOW] * z * about
            mismatch = row[METHOD_MISMATCH] * (about - 1.0)
            change = (flow - mismatch + change) / (1.0 - gamma * z)
        assert about + change == pytest.approx(growth(weights, gamma, z), abs=1e-12 * max(1.0, -z))


@pytest.mark.parametrize("solves", [2, 3])
def test_a_decay_moves_more_than_its_estimated_error(solves):
    """Why the longest steps that move nothing beyond the tolerances need no estimate: it is a third at most.

    Flow at the end less its mean, z R - (R - 1), through the matrix of the step: times gamma w.
    """
    gamma, weights = METHODS[solves]
    end = growth(weights, gamma, NEGATIVE)
    estimate = gamma * (NEGATIVE * end - (end - 1.0)) / (1.0 - gamma * NEGATIVE)
    assert np.abs(estimate / (end - 1.0)).max() < 1.0 / 3.0
