"""From two cup tests to a curve whose own dry and wet cup are the two that were measured."""

from __future__ import annotations

from typing import Final

from hygro.materials.vapour import DRY_CUP_HUMIDITY, WET_CUP_HUMIDITY

DRY_CUP: Final = (0.0, 0.50)
"""Relative humidities on the two faces of the dry cup test [1]; ISO 12572."""

WET_CUP: Final = (0.50, 0.93)
"""Relative humidities on the two faces of the wet cup test [1]; ISO 12572."""


def ramp_share(span: tuple[float, float]) -> float:
    """Mean over a span of humidities of the ramp that rises from 0 at the dry end to 1 at the wet one.

    Parameters
    ----------
    span : (float, float)
        Relative humidities on the two faces of a specimen [1].

    Returns
    -------
    float
        [1].
    """
    width = WET_CUP_HUMIDITY - DRY_CUP_HUMIDITY

    def integral(humidity: float) -> float:
        risen = min(max(humidity - DRY_CUP_HUMIDITY, 0.0), width)
        return risen**2 / (2.0 * width) + max(humidity - WET_CUP_HUMIDITY, 0.0)

    return (integral(span[1]) - integral(span[0])) / (span[1] - span[0])


def solve_cups(dry: float, wet: float) -> tuple[tuple[float, float], str]:
    """Find the ends of the cup form so that a dry and a wet cup test give back two measured values.

    A cup shows the mean permeability over the humidities between its two faces. The form has 1/mu constant
    up to 25 %, rising straight to 75 % and constant beyond: two ends, two means, two linear equations.

    Parameters
    ----------
    dry, wet : float
        Measured resistance factors [1], wet not above dry.

    Returns
    -------
    ends : (float, float)
        `dry_cup` and `wet_cup` of the form [1]; the measured ones where the equations have no answer.
    how : str
        What was done, for the source.
    """
    low, high = ramp_share(DRY_CUP), ramp_share(WET_CUP)
    step = (1.0 / wet - 1.0 / dry) / (high - low)
    ends = 1.0 / dry - low * step, 1.0 / dry + (1.0 - low) * step
    if ends[0] <= 0.0 or ends[1] > 1.0:
        return (dry, wet), (
            "permeability 1/mu linear over humidity from 25 to 75 %, ends as measured, since the cups "
            "differ too much to be met as means over 0 to 50 and 50 to 93 %"
        )
    return (float(f"{1.0 / ends[0]:.6g}"), float(f"{1.0 / ends[1]:.6g}")), (
        "permeability 1/mu linear over humidity from 25 to 75 %, ends such that its means over 0 to 50 and "
        "50 to 93 % are the measured cups (ISO 12572)"
    )
