"""Interpolation through measured points without overshoot, and quadrature between table nodes."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from hygro.physics.typing import FloatArray

POINTS_PER_INTERVAL = 10
"""Gauss-Legendre points between neighbouring nodes; exact for polynomials of degree 19."""


def monotone_cubic(x: Sequence[float] | FloatArray, y: Sequence[float] | FloatArray) -> Callable:
    """Piecewise cubic through points that stays monotone wherever the points do.

    Parameters
    ----------
    x : array, shape (n,)
        Strictly rising.
    y : array, shape (n,)
        Values.

    Returns
    -------
    callable
        Takes an array; outside the points it holds the end values.

    References
    ----------
    Fritsch and Carlson 1980, Monotone piecewise cubic interpolation, SIAM J. Numer. Anal. 17, 238-246.
    """
    from scipy.interpolate import PchipInterpolator  # heavy, and not needed to list materials

    x = np.asarray(x, dtype=float)
    curve = PchipInterpolator(x, np.asarray(y, dtype=float))
    return lambda at: curve(np.clip(at, x[0], x[-1]))


def integrate_between(integrand: Callable[[FloatArray], FloatArray], nodes: FloatArray) -> FloatArray:
    """Integral of a function over each interval between neighbouring nodes.

    Parameters
    ----------
    integrand : callable
        Takes and returns arrays of shape (n - 1, POINTS_PER_INTERVAL).
    nodes : array, shape (n,)
        Monotone; where they fall, the integral carries the opposite sign.

    Returns
    -------
    array, shape (n - 1,)
    """
    abscissae, weights = np.polynomial.legendre.leggauss(POINTS_PER_INTERVAL)
    half = 0.5 * np.diff(nodes)
    middle = 0.5 * (nodes[1:] + nodes[:-1])
    values = integrand(middle[:, None] + half[:, None] * abscissae)
    return half * (values @ weights)
