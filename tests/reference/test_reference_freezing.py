"""Ground that freezes from its face, against Neumann's solution of Stefan's problem (freezing_front.py).

The ground is invented. Its water leaves it evenly over suction, from none to the suction at which water
freezes WIDTH below 0 degC, so that it freezes evenly over that interval; no vapour and no liquid moves. hygro
counts ice with the heat capacity of water and leaves its conductivity out: both phases are alike.
"""

from functools import cache

import numpy as np
import pytest
from freezing_front import Front, IntervalFront
from solver_walls import fixed_boundary, layer, run, wall
from verification import Check, verifies

from hygro.materials import Material
from hygro.model.wall import PhysicsOptions
from hygro.solve.balance import ice_at

ZERO = 273.15
FUSION = 333.6e3  # J/kg, as hygro has it (CRC Handbook, from memory); typed anew, so that a change is seen
CLAPEYRON = 1000.0 * FUSION / ZERO  # Pa a kelvin
WATER_CAPACITY = 4187.0  # J/(kg K), as hygro has it (EN 15026:2007 Annex A)
CONDUCTIVITY, DRY_CAPACITY = 1.5, 1.6e6  # W/(m K), J/(m3 K); invented
FACE, START = -10.0, 5.0  # degC
DEPTH = 3.0  # m; erfc(DEPTH / sqrt(4 a t)) is below 1e-9 after two days
HOURS = 48
NEARLY_NO_SUCTION = 1.0  # Pa: lowers the freezing point by 1e-6 K

WIDTH = 0.1  # K, two thirds of a percent of the step of 15 K
WATER = {"0.36": 200.0, "1.08": 50.0}  # kg/m3, by Stefan number


def ground(water, width):
    """The invented ground."""
    empty = width * CLAPEYRON
    return Material.from_curves(
        name="invented ground",
        density=DRY_CAPACITY / 1000.0,
        specific_heat=1000.0,
        conductivity_dry=CONDUCTIVITY,
        porosity=0.4,
        free_saturation=water,
        # hygro's tables fall by at least 1e-4 of free saturation a decade, up to 1e10 Pa: 0.05 % of the water
        # stays liquid at the end of the interval, and the ice is short by about as much.
        storage=lambda suction: water * np.clip(1.0 - suction / empty, 1e-6, 1.0),
        vapour=1e9,
    )


def fronts(water, width):
    """Neumann's solution with the middle of the interval for a freezing point, and that of the interval."""
    sharp = Front(
        CONDUCTIVITY, DRY_CAPACITY + WATER_CAPACITY * water, FUSION * water, FACE, START, -0.5 * width
    )
    return sharp, IntervalFront(sharp, 0.0, -width)


@cache
def frozen(water, width, scale, hours=HOURS, **settings):
    """March the ground; the result with the depth of the ice of every hour, gathered at the face [m]."""

    def held(celsius):
        return fixed_boundary(temperature=ZERO + celsius, suction=NEARLY_NO_SUCTION, hours=hours)

    ground_layer = layer(ground(water, width), DEPTH, ZERO + START, suction=NEARLY_NO_SUCTION)
    model = wall([ground_layer], held(FACE), held(START), physics=PhysicsOptions(ice=True))
    result = run(model, scale=scale, accuracy="reference", field_every=1, **settings)
    solution, grid = result.solution, result.grid
    assert solution.failure == ""
    ice = ice_at(grid, solution.field_temperature, solution.field_log_suction) @ grid.size
    result.front = ice / water
    result.left = -result.heat_in[:, 0].cumsum()
    # Nothing but heat moves: a water content that crept would be a front of its own.
    assert np.ptp(result.water) < 1e-6 * water
    return result


def profile_errors(result, solution, hours, cells_off=0):
    """Temperature less the solution's [K], hour by hour, in cells at least so many sizes off the front."""
    errors = []
    for hour in hours:
        reach = solution.reach(3600.0 * hour)
        gap = result.temperature[hour] - ZERO - solution.temperature(result.depth / reach)
        front = solution.depth * reach
        cell = result.size[np.argmin(np.abs(result.depth - front))]
        errors.append(gap[np.abs(result.depth - front) >= cells_off * cell])
    return errors


@verifies(
    "heat",
    "What an interval of freezing does to a front",
    kind="property",
    source="the exact solution of three zones (frozen, freezing evenly from 0 to -0.1 degC, thawed) against "
    "Neumann's with a front at -0.05 degC; both against their own balance of heat",
    shows="Neumann's front is sharp; in pores water freezes over an interval. How far that alone takes the "
    "two solutions apart is known before hygro is asked.",
    checks=[
        Check(
            "heat left through the face over what cooled and froze",
            1.0,
            1e-9,
            "two quadratures",
        ),
        Check(
            "depth of the ice",
            "Neumann",
            0.002,
            "0.16 %, in proportion to the interval, rounded up: stated for the limits below to lean on",
            relative=True,
        ),
        Check("heat left through the face", "Neumann", 0.0007, "0.05 %, as above", "", True),
        Check("temperature outside the zone that freezes", "Neumann", 0.02, "0.015 K, as above", "K"),
    ],
)
def test_interval(verify):
    """For both Stefan numbers, two days on."""
    for number, water in WATER.items():
        sharp, wide = fronts(water, WIDTH)
        assert sharp.stefan_number == pytest.approx(float(number), abs=0.005)
        reach, left = sharp.reach(3600.0 * HOURS), sharp.heat_left(3600.0 * HOURS)
        low, high = wide.ends
        assert low < sharp.root < high
        for solution in (sharp, wide):
            # Simpson's rule by parts that end where the profile has a kink.
            cooled = 0.0
            for a, b in zip((0.0, low, sharp.root, high), (low, sharp.root, high, 6.0), strict=True):
                z = np.linspace(a, b, 20001)
                # One-sided at the kinks of either solution.
                z[0], z[-1] = np.nextafter(a, b), np.nextafter(b, a)
                short = START - solution.temperature(z)
                weights = np.ones(20001)
                weights[1:-1:2], weights[2:-1:2] = 4.0, 2.0
                cooled += (b - a) / 60000.0 * (weights * short).sum()
            given = reach * (sharp.capacity * cooled + sharp.latent * solution.depth)
            verify(
                "heat left through the face over what cooled and froze",
                solution.heat_left(3600.0 * HOURS) / given,
            )
        verify("depth of the ice", wide.depth, sharp.depth)
        verify("heat left through the face", wide.heat_left(3600.0 * HOURS), left)
        z = np.linspace(0.0, 3.0, 3001)
        z = z[(z < low) | (z > high)]
        verify("temperature outside the zone that freezes", wide.temperature(z), sharp.temperature(z))


@pytest.mark.parametrize("number", WATER)
@verifies(
    "heat",
    "A freezing front: Neumann's solution",
    kind="exact",
    source="Stefan's problem of two phases (Carslaw and Jaeger, Conduction of Heat in Solids, 2nd ed. 1959, "
    "chapter XI, from memory; derived in tests/reference/freezing_front.py). Invented ground, 1.5 W/(m K), "
    "1.6 MJ/(m3 K), 200 and 50 kg/m3 of water, from 5 degC with its face at -10 degC",
    shows="Wet ground whose face is held below 0 degC, shut to vapour and liquid: the front moves with the "
    "root of time, held back by the heat of fusion. Stefan numbers 0.36 and 1.08, front at 0.06 to 0.36 m, "
    "hourly from 3 to 48 h. The ground freezes within 0.1 K.",
    checks=[
        Check(
            "depth of the front, every hour",
            "2 l sqrt(a t)",
            0.003,
            "0.16 % is what the interval of 0.1 K does to the exact solution (above), as much again for "
            "cells, of 3 % of the depth and less at the front",
            relative=True,
        ),
        Check(
            "temperature two cells and more from the front, every hour",
            "error functions on either side",
            0.075,
            "half a percent of the step of 15 K. The interval takes 0.015 K; a cell at the front freezes "
            "as one, as if the front were up to half of it off, which is 0.15 K there at 3 h, some of it two "
            "cells on",
            "K",
        ),
        Check(
            "heat left through the face, every hour",
            "2 k (T_f - T_s) / erf(l) sqrt(t / (pi a))",
            0.001,
            "0.05 % from the interval (above), as much again for cells",
            relative=True,
        ),
    ],
)
def test_freezing_front(number, verify):
    """A quarter of the default cells, accuracy named reference."""
    water = WATER[number]
    sharp, _ = fronts(water, WIDTH)
    result = frozen(water, WIDTH, 0.25)
    hours = np.arange(3, HOURS + 1)
    seconds = 3600.0 * hours
    verify("depth of the front, every hour", result.front[hours], sharp.depth * sharp.reach(seconds))
    errors = np.concatenate(profile_errors(result, sharp, hours, cells_off=2))
    verify("temperature two cells and more from the front, every hour", errors, 0.0)
    verify("heat left through the face, every hour", result.left[hours - 1], sharp.heat_left(seconds))


def root_mean_square(result, solution, hours):
    """Over the depth of every hour [K m^0.5], mean of the hours."""
    errors = profile_errors(result, solution, hours)
    return np.mean([np.sqrt((gap**2 * result.size).sum()) for gap in errors])


@verifies(
    "order",
    "Order in space with a freezing front",
    kind="exact",
    source="Neumann's solution for water that freezes within 0.02 K; the exact solution of three zones "
    "for water that freezes within 1 K. Stefan number 0.36, hourly from 6 to 24 h",
    shows="Within a cell, a front is known to the first order only: the cell freezes as one. Where more than "
    "a cell freezes at a time (1 K, 14 to 29 mm) the second order of the scheme is back.",
    checks=[
        Check(
            "front within a cell: worst temperature of an hour, root mean square of the hours",
            1.0,
            0.2,
            "the front passes cells at other hours when they are halved: over two halvings a fifth",
        ),
        Check(
            "freezing over several cells: root mean square over depth, mean of the hours",
            2.0,
            0.2,
            "heat capacity jumps at both ends of the zone, within a cell; over two halvings a fifth",
        ),
    ],
)
def test_order(verify):
    """Default cells against a quarter."""
    hours = np.arange(6, 25)
    narrow, wide = [], []
    for scale in (1.0, 0.25):
        worst = profile_errors(frozen(200.0, 0.02, scale, 24, tolerance=1e-3), fronts(200.0, 0.02)[0], hours)
        narrow.append(np.sqrt(np.mean([np.abs(gap).max() ** 2 for gap in worst])))
        result = frozen(200.0, 1.0, scale, 24, tolerance=1e-5)
        wide.append(root_mean_square(result, fronts(200.0, 1.0)[1], hours))
    print("errors of default cells and of a quarter:", narrow, wide)
    verify(
        "front within a cell: worst temperature of an hour, root mean square of the hours",
        0.5 * np.log2(narrow[0] / narrow[1]),
    )
    verify(
        "freezing over several cells: root mean square over depth, mean of the hours",
        0.5 * np.log2(wide[0] / wide[1]),
    )
