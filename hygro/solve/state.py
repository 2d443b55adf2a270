"""State of a node: all that flows and stored contents depend on, with slopes over temperature and suction.

Plain scalar functions, as described in `hygro.solve.kernels`. A node's state is a tuple in the order of
`node_state`.
"""

# ruff: noqa: ANN001, ANN201, PLR0913 - scalars, flat arrays and tuples of scalars throughout

from __future__ import annotations

import numpy as np

from hygro.constants import FUSION_ENTHALPY, WATER_DENSITY, ZERO_CELSIUS
from hygro.materials.tables import LOG_SUCTION_LOW, STEPS_PER_DECADE
from hygro.solve.layout import AIR_COLUMNS, AIR_LOW, AIR_STEPS, DECAY_END, DECAY_STEPS

LN10 = 2.302585092994046
SIXTH, TWENTY_FOURTH, HUNDRED_TWENTIETH = 1.0 / 6.0, 1.0 / 24.0, 1.0 / 120.0
STEP, AIR_STEP, DECAY_STEP = 1.0 / STEPS_PER_DECADE, 1.0 / AIR_STEPS, 1.0 / DECAY_STEPS

# Freezing point of free water [K]; suction at which water freezes a kelvin below it [Pa]; how far below it
# freezing begins at the earliest [K].
MELTING = ZERO_CELSIUS
FREEZING_SUCTION = WATER_DENSITY * FUSION_ENTHALPY / MELTING
LEAST_COLD = 1e-9


def interval(x, points):
    """Table interval that holds x, and the distance from its start in decades.

    Indices have no sign, which compiled code would look at wherever they are used.
    """
    place = (x - LOG_SUCTION_LOW) * STEPS_PER_DECADE
    # In this order of arguments NaN gives interval 0, and goes on as a distance that is NaN.
    within = min(max(0.0, place), points - 2.0)
    return np.uint32(within), (place - np.floor(within)) * STEP


def series(t):
    """exp(t) for |t| up to 1/32, exact to 1e-12."""
    square = t * t
    return (1.0 + t) + square * ((0.5 + t * SIXTH) + square * (TWENTY_FOURTH + t * HUNDRED_TWENTIETH))


def decay(argument, exponentials):
    """exp(-argument) of a positive argument: table and a short series, exact to 1e-12."""
    if argument < DECAY_END:
        place = argument * DECAY_STEPS
        return exponentials[2 * np.uint32(place) + 1] * series(np.floor(place) * DECAY_STEP - argument)
    return np.exp(-argument)


def liquid_pull(temperature, x):
    """Return log10 of the suction of the liquid: the one at which water freezes where that is larger."""
    below = MELTING - temperature
    if below <= LEAST_COLD:
        return x
    freezing = np.log10(below * FREEZING_SUCTION)
    return x if freezing <= x else freezing


def frozen(temperature, x, tables, table, state):
    """Water that is ice, and what is left to liquid: the freezing point falls with suction.

    Returns
    -------
    tuple
        log10 of the suction of the liquid, its flux potential with slopes over T and x, ice with slopes over
        T and x [kg/m3].
    """
    freezing = liquid_pull(temperature, x)
    if freezing == x:
        return x, state[9], 0.0, state[10], 0.0, 0.0, 0.0
    k, d = interval(freezing, tables.shape[1])
    over_t = -1.0 / (LN10 * (MELTING - temperature))
    w_x, theta_x = tables[table, k, 1], tables[table, k, 3]
    left = tables[table, k, 0] + w_x * d
    theta = tables[table, k, 2] + theta_x * d
    return freezing, theta, theta_x * over_t, 0.0, state[7] - left, -w_x * over_t, state[8]


def node_state(temperature, x, reach, tables, table, air, exponentials, ice):
    """Everything a node's flows depend on; `reach` is half its size, `ice` None where water never freezes.

    Returns
    -------
    tuple
        T, p, p_T, p_x, phi, phi_T, phi_x, w, w_x, Theta, Theta_x, resistance of half the node to vapour and
        its slopes over T and x, to heat and its slope over x, viscosity ratio and its slope over T,
        1/delta_air and its slope over T; subscripts are slopes. Then the seven values of `frozen`.
    """
    place = (temperature - AIR_LOW) * AIR_STEPS
    within = min(max(0.0, place), air.shape[0] // AIR_COLUMNS - 2.0)
    j = AIR_COLUMNS * np.uint32(within)
    d_t = (place - np.floor(within)) * AIR_STEP
    k, d = interval(x, tables.shape[1])
    # Below the table, where condensate fills a cell and more, all but its content stays what it is there:
    # suction 0.1 Pa, a humidity of 1 within 1e-9; a resistance that went on falling would become negative.
    filled = d < 0.0
    t = LN10 * max(d, 0.0)
    inverse = air[j + 6] + air[j + 7] * d_t
    minus_log = exponentials[2 * k] * inverse * series(t)
    phi = decay(minus_log, exponentials)
    scaled = phi * minus_log
    phi_x = -scaled * LN10
    phi_t = scaled * inverse
    slope = air[j + 1]
    saturation = air[j] + slope * d_t
    w_x, theta_x = tables[table, k, 1], tables[table, k, 3]
    mu_x = 0.0 if filled else tables[table, k, 5]
    r_x = 0.0 if filled else tables[table, k, 7]
    air_r = air[j + 2] + air[j + 3] * d_t
    half_mu = reach * (tables[table, k, 4] + mu_x * d)
    state = (
        temperature,
        phi * saturation,
        phi * slope + phi_t * saturation,
        phi_x * saturation,
        phi,
        phi_t,
        phi_x,
        tables[table, k, 0] + w_x * d,
        w_x,
        tables[table, k, 2] + theta_x * d,
        theta_x,
        half_mu * air_r,
        half_mu * air[j + 3],
        reach * mu_x * air_r,
        reach * (tables[table, k, 6] + r_x * d),
        reach * r_x,
        air[j + 4] + air[j + 5] * d_t,
        air[j + 5],
        air_r,
        air[j + 3],
    )
    liquid = (x, state[9], 0.0, state[10], 0.0, 0.0, 0.0)
    if ice is not None:
        liquid = frozen(temperature, x, tables, table, state)
    return (*state, *liquid)
