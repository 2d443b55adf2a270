"""Exact nonlinear capillary suction into a dry half-space.

A family of curves for which the front is known in closed form.

w = 300 / (1 + 1e-6 P) kg/m3 over suction P, and

    K = -dw/dP (n + 1)/(2 n) (A/300)^2 (w/300)^n (n + 1 - (w/300)^n)

give, from dry, with a saturated face,

    w = 300 (1 - x / (C sqrt t))^(1/n) with C = (A/300)(n + 1)/n

and an uptake of A sqrt(t) exactly. Functions: Sasic Kalagasidis 2004, Buildings IX; the solution was
derived from them and checked apart from hygro.
"""

import numpy as np
import pytest
from solver_walls import fixed_boundary, layer, plain_material, run, series_boundary, wall
from verification import Check, verifies

ABSORPTION = 10.0 / 60.0  # 10 kg/(m2 h^0.5)
HOURS = 4
DRIEST = 1.0e9  # suction of the start [Pa]: 0.3 kg/m3, a thousandth of saturation


def exact_water(x, seconds, n):
    """Water content [kg/m3]."""
    front = ABSORPTION / 300.0 * (n + 1) / n * np.sqrt(seconds)
    return 300.0 * np.maximum(1.0 - x / front, 0.0) ** (1.0 / n)


def exact_cells(edges, seconds, n):
    """Mean water content of cells between edges [kg/m3]."""
    front = ABSORPTION / 300.0 * (n + 1) / n * np.sqrt(seconds)
    filled = 1.0 - np.maximum(1.0 - edges / front, 0.0) ** ((n + 1) / n)
    return 300.0 * front * n / (n + 1) * np.diff(filled) / np.diff(edges)


def suction_material(n):
    """The test material; vapour is shut out."""

    def conductivity(suction):
        share = 1.0 / (1.0 + 1e-6 * suction)
        slope = 300.0 * 1e-6 * share**2
        return slope * (n + 1) / (2 * n) * (ABSORPTION / 300.0) ** 2 * share**n * (n + 1 - share**n)

    return plain_material(
        f"capillary {n}",
        free_saturation=300.0,
        storage=lambda suction: 300.0 / (1.0 + 1e-6 * suction),
        liquid=conductivity,
        resistance=1e9,
    )


def wet_face(hours):
    """A face held at a suction of 1 Pa, the lowest that a case can ask for: 0.0003 kg/m3 below saturation."""
    return fixed_boundary(temperature=293.15, suction=1.0, hours=hours)


def heavy_rain(hours):
    """1 kg/(m2 s) of rain, of which the wall takes what it can."""
    return series_boundary(
        temperature=293.15,
        relative_humidity=0.5,
        heat_coefficient=20.0,
        vapour_coefficient=0.0,
        rain=1.0,
        hours=hours,
    )


def soak(n, face, scale=0.25):
    """Let the half-space suck; snapshots every hour."""
    far = fixed_boundary(temperature=293.15, suction=DRIEST, hours=HOURS)
    model = wall([layer(suction_material(n), 0.4, 293.15, suction=DRIEST)], face(HOURS), far)
    return run(model, scale=scale, field_every=1)


CAPILLARY_SOURCE = (
    "functions of Sasic Kalagasidis 2004, Buildings IX, read second-hand: w = 300 / (1 + 1e-6 P), A = 10 "
    "kg/(m2 h^0.5); "
    "from dry w/300 = (1 - x / (C sqrt t))^(1/n), C = (A/300)(n + 1)/n"
)


@pytest.mark.parametrize("face", [wet_face, heavy_rain])
@pytest.mark.parametrize("n", [1, 2, 5, 13])
@verifies(
    "liquid",
    "Capillary suction from dry, gentle to steep",
    kind="exact",
    source=CAPILLARY_SOURCE,
    shows="One of the few strongly nonlinear problems with a closed solution, for exponents n of 1, 2, 5 "
    "and 13: from a "
    "wedge of water to a front like a wall. Once from a surface held wet, once from 1 kg/(m2 s) of rain, of "
    "which "
    "the wall takes what it can: both must be the same.",
    checks=[
        Check(
            "uptake after 1 to 4 h",
            "A sqrt t",
            0.005,
            "the start is not quite dry (0.1 %), rain takes 7 ms to fill the face (0.07 % after an hour), "
            "the rest is "
            "for cells",
            "kg/m2",
            True,
        ),
        Check(
            "water misplaced, over what the cell at the front holds when full",
            0.0,
            0.5,
            "where a profile ends with a vertical tangent, cells know the front to half their size",
            "of a cell",
        ),
        Check(
            "profile in the outer half of the wet zone",
            "the formula",
            0.005,
            "free of the smear at the front, so the limit of the uptake",
            "of saturation",
        ),
    ],
)
def test_exact_front(n, face, verify):
    """Both faces and all exponents at the same limits."""
    result = soak(n, face)
    edges = np.concatenate([[0.0], np.cumsum(result.size)])
    for hour in range(1, HOURS + 1):
        seconds = 3600.0 * hour
        verify("uptake after 1 to 4 h", result.water_in[:hour, 0].sum(), ABSORPTION * np.sqrt(seconds))
        front = ABSORPTION / 300.0 * (n + 1) / n * np.sqrt(seconds)
        expected = np.maximum(exact_cells(edges, seconds, n), 0.3)
        area = (np.abs(result.water[hour] - expected) * result.size).sum()
        cell = result.size[np.searchsorted(edges, front) - 1]
        verify("water misplaced, over what the cell at the front holds when full", area / (300.0 * cell))
        half = edges[1:] < front / 2
        verify(
            "profile in the outer half of the wet zone",
            result.water[hour][half] / 300.0,
            expected[half] / 300.0,
        )


FRONTS = {1: 66.7, 2: 50.0, 5: 40.0, 13: 35.9}
SHAPES = {
    1: (0.75, 0.5, 0.25, 0.1),
    2: (0.866, 0.707, 0.5, 0.316),
    5: (0.944, 0.871, 0.758, 0.631),
    13: (0.978, 0.948, 0.899, 0.838),
}


def test_printed_front_positions():
    """The formulas give the front after an hour, and the shape at four places, worked out apart (rounded)."""
    for n, front in FRONTS.items():
        length = ABSORPTION / 300.0 * (n + 1) / n * 60.0
        assert 1000 * length == pytest.approx(front, abs=0.06)
        x = length * np.array([0.25, 0.5, 0.75, 0.9])
        assert exact_water(x, 3600.0, n) / 300.0 == pytest.approx(SHAPES[n], abs=6e-4)


@verifies(
    "liquid",
    "Uptake over the root of time is a straight line",
    kind="property",
    source="none needed: the problem above has no length and no time of its own",
    shows="A check without any reference solution, for n = 2.",
    checks=[
        Check(
            "spread of A over four hours",
            0.0,
            0.002,
            "half the wobble that the front makes as it passes from cell to cell",
        )
    ],
)
def test_uptake_is_a_straight_line_over_root_time(verify):
    """From hour to hour the uptake over sqrt(t) stays the same."""
    result = soak(2, wet_face)
    ratio = np.cumsum(result.water_in[:, 0]) / np.sqrt(3600.0 * np.arange(1, HOURS + 1))
    verify("spread of A over four hours", np.ptp(ratio) / ratio.mean())
