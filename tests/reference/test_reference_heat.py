"""Heat conduction in a dry material that neither holds nor passes water (Carslaw and Jaeger, Conduction of
Heat in Solids).

lambda 0.6 W/(m K), rho c 1.7e6 J/(m3 K). Numbers typed here were worked out apart from hygro.
"""

from functools import cache

import numpy as np
import pytest
from scipy.special import erfc, erfcx
from solver_walls import (
    constant_boundary,
    fixed_boundary,
    layer,
    plain_material,
    run,
    series_boundary,
    wall,
    within,
)

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


def test_solutions_give_the_typed_numbers():
    """The formulas of this file against values to five digits."""
    for x, hours, value in ((0.05, 1, 0.32126), (0.1, 6, 0.41802), (0.1, 24, 0.68553), (0.225, 24, 0.36225)):
        assert step_solution(x, 3600.0 * hours) == pytest.approx(value, abs=5.1e-6)
    for x, hours, value in ((0.0, 1, 0.37141), (0.0, 6, 0.61343), (0.05, 6, 0.38162), (0.1, 24, 0.49888)):
        assert convective_solution(x, 3600.0 * hours, 8.0) == pytest.approx(value, abs=5.1e-6)


def warmed(outside, hours=24, scale=0.25, **settings):
    """March a metre of the material from START."""
    inside = fixed_boundary(temperature=START, relative_humidity=0.5, hours=hours)
    model = wall([layer(dry(), 1.0, START, 0.5)], outside, inside)
    return run(model, scale=scale, accuracy="reference", field_every=1, **settings)


def test_step_of_the_surface():
    """At the accuracy named reference.

    0.2 % of the step, the share its time steps may add and its cells (5 mm) take.

    Error of second-order cells at the first hour: (5 mm)^2 / (12 a t) is 0.16 %, later less.
    """
    result = warmed(fixed_boundary(temperature=START + STEP, relative_humidity=0.5, hours=24))
    for hour in (1, 6, 24):
        share = (result.temperature[hour] - START) / STEP
        within(
            np.abs(share - step_solution(result.depth, 3600.0 * hour)).max(),
            0.002,
            f"{hour} h, share of the step",
        )
    heat = 2.0 * STEP * np.sqrt(LAMBDA * CAPACITY * 24 * 3600.0 / np.pi)
    within(abs(result.heat_in[:, 0].sum() / heat - 1.0), 0.002, "heat taken up in a day, share")


def test_step_of_the_air():
    """Air behind 8 W/(m2 K): surface and depth, limits as for the fixed surface."""
    outside = constant_boundary(
        hours=24,
        temperature=START + STEP,
        relative_humidity=0.0001,
        heat_coefficient=8.0,
        vapour_coefficient=0.0,
    )
    result = warmed(outside)
    surface = (result.solution.temperature[:, 0] - START) / STEP
    for hour in (1, 6, 24):
        share = (result.temperature[hour] - START) / STEP
        exact = convective_solution(result.depth, 3600.0 * hour, 8.0)
        within(np.abs(share - exact).max(), 0.002, f"{hour} h, cells, share of the step")
        exact = convective_solution(0.0, 3600.0 * hour, 8.0)
        within(abs(surface[hour - 1] - exact), 0.002, f"{hour} h, surface, share of the step")


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


def test_daily_wave():
    """Every hour of the eighth day within 0.3 % of the amplitude at 0.1 and 0.225 m, hourly mean flux
    within 0.5 %.

    What the first day leaves behind has decayed below 0.1 % by then; the cells (5 mm) take the rest: (5 mm
    / d)^2 / 12 is 0.02 %, and first-hour flux after each jump 0.2 %.
    """
    result = daily_wave()
    last = np.arange(7 * 24 + 1, 8 * 24 + 1)
    for x in (0.1, 0.225):
        cell = int(np.argmin(np.abs(result.depth - x)))
        exact, _ = held_response(result.depth[cell], 24, last)
        within(np.abs(result.temperature[last, cell] - START - exact).max(), 0.003, f"{x} m, K per K")
    _, flux = held_response(0.0, 24, last)
    marched = result.sensible_in[last - 1, 0] / 3600.0
    within(np.abs(marched - flux).max() / np.abs(flux).max(), 0.005, "hourly mean surface flux, share")


def test_damping_and_lag_of_the_daily_wave():
    """Amplitude and lag as textbooks give them: exp(-x/d), x/(d w), and the numbers typed.

    A wave held through each hour has 0.29 % less amplitude (sin(a)/a, a = pi/24): allowed 0.5 %, and 0.05 h.
    """
    assert pytest.approx(0.0985, abs=5e-5) == DAY_DEPTH
    result = daily_wave()
    hours = np.arange(7 * 24 + 1, 8 * 24 + 1)
    waves = np.stack([np.sin(2 * np.pi * hours / 24), np.cos(2 * np.pi * hours / 24)], axis=1)
    for x, damping, lag in ((0.1, 0.3624, 3.877), (0.225, 0.1019, 8.723)):
        cell = int(np.argmin(np.abs(result.depth - x)))
        depth = result.depth[cell]
        a, b = np.linalg.lstsq(waves, result.temperature[hours, cell] - START, rcond=None)[0]
        # Carried from the cell's centre to the depth of the typed number.
        shown = np.hypot(a, b) * np.exp((depth - x) / DAY_DEPTH)
        late = (-np.arctan2(b, a) - (depth - x) / DAY_DEPTH) % (2 * np.pi) * 24 / (2 * np.pi)
        within(abs(shown / damping - 1.0), 0.005, f"{x} m, amplitude, share")
        within(abs(late - lag), 0.05, f"{x} m, lag, h")


def test_steady_transmittance():
    """Two layers between airs.

    U = 1 / (1/h_e + sum d/lambda + 1/h_i), ISO 6946, to 1e-8; temperatures likewise.
    """
    hours = 3000
    outside = constant_boundary(
        hours=hours, temperature=268.15, relative_humidity=1e-4, heat_coefficient=25.0, vapour_coefficient=0.0
    )
    inside = constant_boundary(
        hours=hours, temperature=293.15, relative_humidity=1e-4, heat_coefficient=7.7, vapour_coefficient=0.0
    )
    board = plain_material("board", conductivity=0.05, capacity=2e5, resistance=1e9, full=1e-3)
    result = run(wall([layer(dry(), 0.3, START), layer(board, 0.08, START)], outside, inside))
    u = 1.0 / (1 / 25.0 + 0.3 / 0.6 + 0.08 / 0.05 + 1 / 7.7)
    flux = result.sensible_in[-1] / 3600.0
    within(abs(flux[1] / (25.0 * u) - 1.0), 1e-8, "heat from the room, share")
    within(abs(flux[0] / (-25.0 * u) - 1.0), 1e-8, "heat to outdoors, share")
    within(abs(result.solution.temperature[-1, -1] - (293.15 - 25.0 * u / 7.7)), 1e-6, "internal surface, K")


def test_hourly_series_of_air_is_read_hour_by_hour():
    """Two half-days of different air give the sum of two steps, limits as for one."""
    air = np.where(np.arange(24) < 12, START + STEP, START)
    outside = series_boundary(
        temperature=air, relative_humidity=1e-4, heat_coefficient=8.0, vapour_coefficient=0.0
    )
    result = warmed(outside)
    exact = convective_solution(result.depth, 24 * 3600.0, 8.0) - convective_solution(
        result.depth, 12 * 3600.0, 8.0
    )
    within(np.abs((result.temperature[24] - START) / STEP - exact).max(), 0.002, "24 h, share of the step")
