"""Heat conduction in a dry material that neither holds nor passes water (Carslaw and Jaeger, Conduction of
Heat in Solids).

lambda 0.6 W/(m K), rho c 1.7e6 J/(m3 K). Numbers typed here were worked out apart from hygro.
"""

from functools import cache, partial

import numpy as np
import pytest
from scipy.interpolate import CubicSpline
from scipy.special import erfc, erfcx
from solver_walls import (
    constant_boundary,
    fixed_boundary,
    layer,
    plain_material,
    run,
    series_boundary,
    wall,
)
from verification import Check, verifies

LAMBDA, CAPACITY = 0.6, 1.7e6
DIFFUSIVITY = LAMBDA / CAPACITY
START = 283.15
STEP = 10.0


def dry():
    """Shut to vapour, so that no latent heat enters.

    The water in it (0.001 kg/m3) holds no heat worth naming.
    """
    return plain_material("dry", conductivity=LAMBDA, capacity=CAPACITY, resistance=1e9, full=1e-3)


def step_solution(x, seconds):
    """Share of the step after a fixed surface has jumped."""
    return erfc(x / (2.0 * np.sqrt(DIFFUSIVITY * seconds)))


def convective_solution(x, seconds, h):
    """Share of the step after the air behind a coefficient has jumped."""
    xi = x / (2.0 * np.sqrt(DIFFUSIVITY * seconds))
    eta = xi + h * np.sqrt(DIFFUSIVITY * seconds) / LAMBDA
    return erfc(xi) - np.exp(-(xi**2)) * erfcx(eta)


HELD_STEP = {(0.05, 1): 0.32126, (0.1, 6): 0.41802, (0.1, 24): 0.68553, (0.225, 24): 0.36225}
AIR_STEP = {(0.0, 1): 0.37141, (0.0, 6): 0.61343, (0.05, 6): 0.38162, (0.1, 24): 0.49888}


def test_solutions_give_the_typed_numbers():
    """The formulas of this file against values to five digits."""
    for (x, hours), value in HELD_STEP.items():
        assert step_solution(x, 3600.0 * hours) == pytest.approx(value, abs=5.1e-6)
    for (x, hours), value in AIR_STEP.items():
        assert convective_solution(x, 3600.0 * hours, 8.0) == pytest.approx(value, abs=5.1e-6)


def warmed(outside, hours=24, scale=0.25, **settings):
    """March a metre of the material from START."""
    inside = fixed_boundary(temperature=START, relative_humidity=0.5, hours=hours)
    model = wall([layer(dry(), 1.0, START, 0.5)], outside, inside)
    return run(model, scale=scale, accuracy="reference", field_every=1, **settings)


def shares(result, hours, solution):
    """Share of the step in every cell at some hours, and the solution's."""
    ours = np.concatenate([(result.temperature[hour] - START) / STEP for hour in hours])
    return ours, np.concatenate([solution(result.depth, 3600.0 * hour) for hour in hours])


def at_depths(result, table):
    """Share of the step at typed depths and hours, on a cubic through the cells."""
    values = [CubicSpline(result.depth, result.temperature[hour])(x) for x, hour in table if x > 0.0]
    return (np.array(values) - START) / STEP


CELLS = (
    "the project's own: 0.02 K in 10 K. Cells of 2 mm err by (2 mm)^2 / (12 a t) = 0.03 % in the first "
    "hour, the "
    "steps that follow the jump by about as much"
)


@verifies(
    "heat",
    "A step of the surface temperature",
    kind="exact",
    source="Carslaw and Jaeger, erfc(x / sqrt(4 a t)); lambda 0.6 W/(m K), rho c 1.7e6 J/(m3 K), half-space",
    shows="A metre of dry, vapour-tight masonry whose surface jumps by 10 K: conduction and storage of heat.",
    checks=[
        Check("every cell after 1, 6 and 24 h", "the formula", 0.002, CELLS, "of the step"),
        Check(
            "0.05 m at 1 h, 0.1 m at 6 and 24 h, 0.225 m at 24 h",
            tuple(HELD_STEP.values()),
            0.002,
            "as above; the numbers were worked out apart from hygro",
            "of the step",
        ),
        Check("heat taken up in a day", "2 dT sqrt(lambda rho c t / pi)", 0.002, "as above", relative=True),
    ],
)
def test_step_of_the_surface(verify):
    """At the accuracy named reference."""
    result = warmed(fixed_boundary(temperature=START + STEP, relative_humidity=0.5, hours=24))
    verify("every cell after 1, 6 and 24 h", *shares(result, (1, 6, 24), step_solution))
    verify("0.05 m at 1 h, 0.1 m at 6 and 24 h, 0.225 m at 24 h", at_depths(result, HELD_STEP))
    heat = 2.0 * STEP * np.sqrt(LAMBDA * CAPACITY * 24 * 3600.0 / np.pi)
    verify("heat taken up in a day", result.heat_in[:, 0].sum(), heat)


@verifies(
    "heat",
    "A step of the air temperature",
    kind="exact",
    source="Carslaw and Jaeger, the same half-space behind 8 W/(m2 K)",
    shows="The surface is free to find its own temperature between air and wall.",
    checks=[
        Check("every cell after 1, 6 and 24 h", "the formula", 0.002, CELLS, "of the step"),
        Check(
            "surface after 1 and 6 h",
            (AIR_STEP[0.0, 1], AIR_STEP[0.0, 6]),
            0.002,
            "as above; worked out apart from hygro",
            "of the step",
        ),
        Check(
            "0.05 m at 6 h, 0.1 m at 24 h",
            (AIR_STEP[0.05, 6], AIR_STEP[0.1, 24]),
            0.002,
            "as above",
            "of the step",
        ),
    ],
)
def test_step_of_the_air(verify):
    """Limits as for the fixed surface."""
    outside = constant_boundary(
        hours=24,
        temperature=START + STEP,
        relative_humidity=0.0001,
        heat_coefficient=8.0,
        vapour_coefficient=0.0,
    )
    result = warmed(outside)
    verify("every cell after 1, 6 and 24 h", *shares(result, (1, 6, 24), partial(convective_solution, h=8.0)))
    surface = (result.solution.temperature[:, 0] - START) / STEP
    verify("surface after 1 and 6 h", surface[[0, 5]])
    verify("0.05 m at 6 h, 0.1 m at 24 h", at_depths(result, AIR_STEP))


TERMS = 20_000


def held_response(x, period_hours, hours):
    """Temperature at hour ends, and mean surface flux of each hour, for a sine held at its mid-hour value
    through each hour.

    The held signal is a sum of waves at w + 2 pi m (per hour), each of which decays into the half-space in
    its own way.
    """
    w = 2.0 * np.pi / period_hours
    m = np.arange(-TERMS, TERMS + 1)
    waves = w + 2.0 * np.pi * m
    amplitude = np.exp(0.5j * w) * (1.0 - np.exp(-1j * waves)) / (1j * waves)
    wave_number = np.sqrt(1j * waves / 3600.0 / DIFFUSIVITY + 0j)
    t = hours[:, None]
    temperature = (amplitude * np.exp(-wave_number * x) * np.exp(1j * waves * t)).sum(axis=1).imag
    mean = (1.0 - np.exp(-1j * waves)) / (1j * waves)  # of exp(i w t) over the hour before t
    flux = (amplitude * LAMBDA * wave_number * mean * np.exp(1j * waves * t)).sum(axis=1).imag
    return temperature, flux


DAY_DEPTH = np.sqrt(2.0 * DIFFUSIVITY * 24 * 3600.0 / (2.0 * np.pi))


@cache
def daily_wave():
    """Eight days of a daily sine of 1 K held through each hour; the last day is free of the start."""
    hours = np.arange(8 * 24)
    outside = fixed_boundary(
        temperature=START + np.sin(2 * np.pi * (hours + 0.5) / 24), relative_humidity=0.5
    )
    # Tight in time: the wave jumps every hour, and what is asked here is whether conduction is right.
    return warmed(outside, len(hours), tolerance=1e-5)


WAVE_CELLS = (
    "what the first day leaves has decayed below 0.1 % by then; cells of 2 mm and steps take the rest, and "
    "so do "
    "the jumps of a held wave"
)


@verifies(
    "heat",
    "A daily wave, held hour by hour",
    kind="exact",
    source="sum of the waves that a sine held through each hour consists of, each damped in its own way",
    shows="The march sees weather as hourly steps; against the exact answer to those steps nothing but the "
    "numerics is left.",
    checks=[
        Check("every hour of the eighth day at 0.1 and 0.225 m", "the sum", 0.003, WAVE_CELLS, "K a K"),
        Check(
            "mean surface flux of each hour, over its amplitude",
            "the sum",
            0.005,
            "the flux after each jump runs as 1/sqrt(t), which the first cells (0.03 mm) and steps catch "
            "to 0.2 %",
        ),
    ],
)
def test_daily_wave(verify):
    """The eighth day, hour by hour."""
    result = daily_wave()
    last = np.arange(7 * 24 + 1, 8 * 24 + 1)
    cells = [int(np.argmin(np.abs(result.depth - x))) for x in (0.1, 0.225)]
    exact = [held_response(result.depth[cell], 24, last)[0] for cell in cells]
    ours = result.temperature[last][:, cells].T - START
    verify("every hour of the eighth day at 0.1 and 0.225 m", ours, exact)
    _, flux = held_response(0.0, 24, last)
    marched, most = result.sensible_in[last - 1, 0] / 3600.0, np.abs(flux).max()
    verify("mean surface flux of each hour, over its amplitude", marched / most, flux / most)


HOLD = "a wave held through each hour has 0.29 % less amplitude (sin(a)/a, a = pi/24); cells and steps 0.2 %"


@verifies(
    "heat",
    "Damping and lag of the daily wave",
    kind="exact",
    source="textbook: amplitude exp(-x/d), lag x/(d w), d = sqrt(2 a/w) = 0.0985 m",
    shows="What insulation does to the day, in the two numbers that practitioners use.",
    checks=[
        Check("amplitude at 0.1 m", 0.3624, 0.005, HOLD, "K a K", relative=True),
        Check(
            "amplitude at 0.225 m", 0.1019, 0.005, "as above, and half the last digit", "K a K", relative=True
        ),
        Check(
            "lag at 0.1 m", 3.877, 0.05, "1 % of an hour's hold at each end, and the sampling by hours", "h"
        ),
        Check("lag at 0.225 m", 8.723, 0.05, "as above", "h"),
    ],
)
def test_damping_and_lag_of_the_daily_wave(verify):
    """Amplitude and lag from a least-squares fit through the hours of the last day."""
    assert pytest.approx(0.0985, abs=5e-5) == DAY_DEPTH
    result = daily_wave()
    hours = np.arange(7 * 24 + 1, 8 * 24 + 1)
    waves = np.stack([np.sin(2 * np.pi * hours / 24), np.cos(2 * np.pi * hours / 24)], axis=1)
    for x in (0.1, 0.225):
        cell = int(np.argmin(np.abs(result.depth - x)))
        depth = result.depth[cell]
        a, b = np.linalg.lstsq(waves, result.temperature[hours, cell] - START, rcond=None)[0]
        # Carried from the cell's centre to the depth of the typed number.
        shown = np.hypot(a, b) * np.exp((depth - x) / DAY_DEPTH)
        late = (-np.arctan2(b, a) - (depth - x) / DAY_DEPTH) % (2 * np.pi) * 24 / (2 * np.pi)
        verify(f"amplitude at {x} m", shown)
        verify(f"lag at {x} m", late)


U_OF_TWO = 1.0 / (1 / 25.0 + 0.3 / 0.6 + 0.08 / 0.05 + 1 / 7.7)


@verifies(
    "heat",
    "Steady transmittance of two layers",
    kind="exact",
    source="ISO 6946: U = 1 / (1/h_e + sum d/lambda + 1/h_i), for 0.3 m of 0.6 and 0.08 m of 0.05 W/(m K)",
    shows="Left alone between two airs, the transient model becomes the sum of resistances.",
    checks=[
        Check(
            "U from the flux of the room", U_OF_TWO, 1e-8, "3000 h leave 1e-9 of the start", "W/(m2 K)", True
        ),
        Check("U from the flux to outdoors", U_OF_TWO, 1e-8, "as above", "W/(m2 K)", True),
        Check(
            "internal surface temperature",
            293.15 - 25.0 * U_OF_TWO / 7.7,
            1e-6,
            "1e-8 of 25 K, rounded up",
            "K",
        ),
    ],
)
def test_steady_transmittance(verify):
    """Two layers between airs."""
    hours = 3000
    outside = constant_boundary(
        hours=hours, temperature=268.15, relative_humidity=1e-4, heat_coefficient=25.0, vapour_coefficient=0.0
    )
    inside = constant_boundary(
        hours=hours, temperature=293.15, relative_humidity=1e-4, heat_coefficient=7.7, vapour_coefficient=0.0
    )
    board = plain_material("board", conductivity=0.05, capacity=2e5, resistance=1e9, full=1e-3)
    result = run(wall([layer(dry(), 0.3, START), layer(board, 0.08, START)], outside, inside))
    flux = result.sensible_in[-1] / 3600.0
    verify("U from the flux of the room", flux[1] / 25.0)
    verify("U from the flux to outdoors", -flux[0] / 25.0)
    verify("internal surface temperature", result.solution.temperature[-1, -1])


@verifies(
    "heat",
    "Half a day warm, half a day back",
    kind="exact",
    source="two of the steps above, one from noon on, subtracted",
    shows="An hourly series of air is taken hour by hour, at the right hours.",
    checks=[Check("every cell after 24 h", "the formula", 0.002, CELLS, "of the step")],
)
def test_hourly_series_of_air_is_read_hour_by_hour(verify):
    """Two half-days of different air give the sum of two steps."""
    air = np.where(np.arange(24) < 12, START + STEP, START)
    outside = series_boundary(
        temperature=air, relative_humidity=1e-4, heat_coefficient=8.0, vapour_coefficient=0.0
    )
    result = warmed(outside)
    exact = convective_solution(result.depth, 24 * 3600.0, 8.0) - convective_solution(
        result.depth, 12 * 3600.0, 8.0
    )
    verify("every cell after 24 h", (result.temperature[24] - START) / STEP, exact)
