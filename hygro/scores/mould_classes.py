"""Material classes of the mould model of Ojanen et al. 2010, coefficients read second-hand from two texts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True)
class Sensitivity:
    """Growth coefficients of a sensitivity class (Ojanen et al. 2010).

    Parameters
    ----------
    k1_below, k1_above : float
        Growth against pine for M < 1 and M >= 1 [1].
    a, b, c : float
        M_max = a + b r - c r^2, r from 0 at the critical humidity to 1 at 100 %.
    least_humidity : float
        Below it nothing grows [%].
    """

    k1_below: float
    k1_above: float
    a: float
    b: float
    c: float
    least_humidity: float


SENSITIVITIES: Final[dict[str, Sensitivity]] = {
    "very sensitive": Sensitivity(1.0, 2.0, 1.0, 7.0, 2.0, 80.0),
    "sensitive": Sensitivity(0.578, 0.386, 0.3, 6.0, 1.0, 80.0),
    "medium resistant": Sensitivity(0.072, 0.097, 0.0, 5.0, 1.5, 85.0),
    "resistant": Sensitivity(0.033, 0.014, 0.0, 3.0, 1.0, 85.0),
}
"""Sensitivity classes, from pine sapwood to smooth synthetic surfaces."""

DECLINES: Final[dict[str, float]] = {
    "strong": 1.0,
    "significant": 0.5,
    "relatively low": 0.25,
    "almost none": 0.1,
}
"""Factor on the decline of pine by decline class (Ojanen et al. 2010)."""
