"""The semi-discrete equations of a wall a second time, written from their derivation and for reading.

The docstring of `hygro.solve.kernels` states the equations; nothing else of the solver is used here. Material
values are read from the tables of `hygro.grid` (they are data); saturation pressure, permeability of air and
viscosity come from their formulas again. Unknowns are (T, log10 s) of each cell, cell by cell; the state of
the two surfaces, which store nothing, is found by a small solve of its own in every evaluation.

Everything a wall needs lies in one flat array of doubles, so that the function can also be handed to a solver
in C that carries one pointer.
"""

import math

import numba
import numpy as np

# Places in the flat array.
CELLS, POINTS, AIR_POINTS, AIR_STEPS = range(4)
OUTSIDE = 4  # climate of the hour: T, h, p, beta, rain, air temperature
INSIDE = 10
GUESS = 16  # last surface states: T and x outside, T and x inside
SIZE_AT, CAPACITY_AT, TABLE_AT, FILM_AT, OPEN_AT, CURVES_AT, AIR_AT, FILMS_AT, LENGTH = range(20, 29)
HEAD = 32

AIR_COLDEST = 200.0
AIR_HOTTEST = 400.0
COLUMNS = 6

C_WATER = 4187.0
ENTHALPY = 2.5e6
FREEZING = 273.15
LN10 = math.log(10.0)
WETTEST = 0.0  # log10 of the suction at which no more rain is taken up and a surface is as wet as it gets
KELVIN = 1000.0 * 461.5  # density of water times gas constant of vapour


def air_values(temperature, viscosity, permeability):
    """Saturation pressure, vapour resistance of air and viscosity ratio from their formulas."""
    celsius = temperature - 273.15
    water = 610.5 * np.exp(17.269 * celsius / (237.3 + celsius))
    ice = 610.5 * np.exp(21.875 * celsius / (265.5 + celsius))
    scale, exponent = permeability
    ratio = np.ones_like(temperature)
    if viscosity:
        ratio = 10.0 ** (247.8 / (293.15 - 140.0)) / 10.0 ** (247.8 / (temperature - 140.0))
    return (
        np.where(celsius >= 0.0, water, ice),
        1.0 / (scale * (temperature / 293.15) ** exponent),
        ratio,
    )


def pack(grid, physics, air_steps=1000):
    """Lay a wall out as one array; `air_steps` nodes a kelvin in the table of what depends on temperature."""
    cells = slice(1, -1)
    air_points = int((AIR_HOTTEST - AIR_COLDEST) * air_steps) + 1
    temperature = np.linspace(AIR_COLDEST, AIR_HOTTEST, air_points)
    parts = (
        grid.size[cells],
        grid.heat_capacity[cells],
        grid.table[cells],
        grid.film,
        grid.open,
        grid.tables[:, :, ::2].ravel(),
        np.stack(air_values(temperature, physics.viscosity, physics.permeability), axis=1).ravel(),
        grid.film_s_d.ravel(),
    )
    head = np.zeros(HEAD)
    head[CELLS], head[POINTS] = grid.nodes - 2, grid.tables.shape[1]
    head[AIR_POINTS], head[AIR_STEPS] = air_points, air_steps
    at = HEAD
    for place, part in zip(range(SIZE_AT, LENGTH), parts, strict=True):
        head[place] = at
        at += len(part)
    head[LENGTH] = at
    return np.concatenate([head, *parts]).astype(float)


compiled = numba.njit(error_model="numpy", fastmath={"contract"}, _nrt=False)
"""With the options of hygro's kernels, so that times compare."""


def hourly(boundary):
    """Climate of one side as rows (T, h, p, beta, rain, air temperature)."""
    return np.stack(
        [
            boundary.temperature,
            boundary.heat_coefficient,
            boundary.vapour_pressure,
            boundary.vapour_coefficient,
            boundary.rain,
            boundary.air_temperature,
        ],
        axis=1,
    )


@compiled
def interval(x, points):
    """Number of the table interval that holds x = log10 s, and the place in it from 0 to 1."""
    place = (x + 1.0) * 100.0
    k = min(max(int(math.floor(place)), 0), points - 2)
    return k, place - k


@compiled
def node(wall, table, t, x):
    """All properties of a state (T, x) that its fluxes need.

    Returns
    -------
    tuple
        T, phi, vapour pressure, vapour resistance of air, viscosity ratio, water content and its slope
        over x, flux potential, resistance factor, thermal resistivity, saturation pressure and its slope
        over T, suction over (density times gas constant times T), slope of the flux potential.
    """
    points = int(wall[POINTS])
    k, share = interval(x, points)
    at = int(wall[CURVES_AT]) + (table * points + k) * 4
    w_rise = wall[at + 4] - wall[at]
    theta_rise = wall[at + 5] - wall[at + 1]
    w = wall[at] + share * w_rise
    theta = wall[at + 1] + share * theta_rise
    held = max(share, 0.0)  # below the table a cell is full: only its content goes on
    mu = wall[at + 2] + held * (wall[at + 6] - wall[at + 2])
    resistivity = wall[at + 3] + held * (wall[at + 7] - wall[at + 3])

    steps = wall[AIR_STEPS]
    place = (t - AIR_COLDEST) * steps
    k = min(max(int(place), 0), int(wall[AIR_POINTS]) - 2)
    share = place - k
    at = int(wall[AIR_AT]) + 3 * k
    rise = wall[at + 3] - wall[at]
    saturation = wall[at] + share * rise
    air = wall[at + 1] + share * (wall[at + 4] - wall[at + 1])
    ratio = wall[at + 2] + share * (wall[at + 5] - wall[at + 2])

    pull = math.exp(LN10 * x) / (KELVIN * t)
    phi = math.exp(-pull)
    return (
        t, phi, phi * saturation, air, ratio, w, 100.0 * w_rise, theta, mu, resistivity, saturation,
        rise * steps, pull, 100.0 * theta_rise,
    )  # fmt: skip


@compiled
def film_air(wall, film, phi):
    """Equivalent air layer of a film at a relative humidity."""
    place = 100.0 * min(max(phi, 0.0), 1.0)
    k = min(int(place), 99)
    at = int(wall[FILMS_AT]) + 101 * film + k
    return wall[at] + (wall[at + 1] - wall[at]) * (place - k)


@compiled
def vapour_resistance(wall, film, a, b, reach0, reach1):
    """Resistance to vapour of two half cells and the film between them."""
    half_film = 0.5 * film_air(wall, film, 0.5 * (a[1] + b[1])) if film >= 0 else 0.0
    return (reach0 * a[8] + half_film) * a[3] + (reach1 * b[8] + half_film) * b[3]


@compiled
def liquid_between_materials(wall, a, b, theta0, theta1, reach0, reach1):
    """Liquid flux (at 20 degC) across the face of materials a and b, which both see one suction there."""
    points = int(wall[POINTS])
    curves = int(wall[CURVES_AT])
    at_a, at_b = curves + 4 * a * points + 1, curves + 4 * b * points + 1
    # Theta falls with x: find the node below the x at which what leaves 0 enters 1.
    below, above = 0, points - 1
    while above - below > 1:
        middle = (below + above) // 2
        leaves = (theta0 - wall[at_a + 4 * middle]) / reach0
        enters = (wall[at_b + 4 * middle] - theta1) / reach1
        if leaves < enters:
            below = middle
        else:
            above = middle
    y0, y1 = wall[at_a + 4 * below], wall[at_b + 4 * below]
    s0, s1 = wall[at_a + 4 * above] - y0, wall[at_b + 4 * above] - y1
    if s0 / reach0 + s1 / reach1 == 0.0:
        return 0.0
    share = ((theta0 - y0) / reach0 - (y1 - theta1) / reach1) / (s0 / reach0 + s1 / reach1)
    return (theta0 - y0 - s0 * share) / reach0


@compiled
def between(wall, face, i, a, b):
    """Water and heat flux from cell i in state a to cell i + 1 in state b over the face between them."""
    size, table = int(wall[SIZE_AT]) + i, int(wall[TABLE_AT]) + i
    reach0, reach1 = 0.5 * wall[size], 0.5 * wall[size + 1]
    material0, material1 = int(wall[table]), int(wall[table + 1])
    film = int(wall[int(wall[FILM_AT]) + face])
    steam = (a[2] - b[2]) / vapour_resistance(wall, film, a, b, reach0, reach1)
    water = steam
    if wall[int(wall[OPEN_AT]) + face] > 0.0:
        if material0 == material1:
            liquid = (a[7] - b[7]) / (reach0 + reach1)
        else:
            liquid = liquid_between_materials(wall, material0, material1, a[7], b[7], reach0, reach1)
        water += 0.5 * (a[4] + b[4]) * liquid
    upwind = a[0] if water > 0.0 else b[0]
    heat = (a[0] - b[0]) / (reach0 * a[9] + reach1 * b[9])
    return water, heat + ENTHALPY * steam + C_WATER * (upwind - FREEZING) * water


@compiled
def surface_residual(wall, climate, face, cell, t, x, b):
    """What a surface gets from the climate less what it passes into the cell behind it, in state b.

    Returns the water and the heat flux into the wall, the two residuals, and the main part of their slopes
    over the surface's T and x (films, viscosity and permeability taken as frozen).
    """
    reach = 0.5 * wall[int(wall[SIZE_AT]) + cell]
    film = int(wall[int(wall[FILM_AT]) + face])
    a = node(wall, int(wall[int(wall[TABLE_AT]) + cell]), t, x)
    air, beta, rain = wall[climate + 5], wall[climate + 3], wall[climate + 4]
    p_x = -a[2] * a[12] * LN10
    p_t = a[1] * (a[11] + a[10] * a[12] / t)
    # Into the wall.
    resistance = vapour_resistance(wall, film, a, b, 0.0, reach)
    steam = (a[2] - b[2]) / resistance
    water, water_x = steam, p_x / resistance
    if wall[int(wall[OPEN_AT]) + face] > 0.0:
        ratio = 0.5 * (a[4] + b[4])
        water += ratio * (a[7] - b[7]) / reach
        water_x += ratio * a[13] / reach
    upwind = t if water > 0.0 else b[0]
    heat = (t - b[0]) / (reach * b[9]) + ENTHALPY * steam + C_WATER * (upwind - FREEZING) * water
    # From the climate: rain is taken whole above a suction of 10 Pa and not at all below 1 Pa.
    given = beta * (wall[climate + 2] - a[2])
    taken = rain * min(max(x, 0.0), 1.0)
    taken_x = rain if 0.0 < x < 1.0 else 0.0
    carrier = air if given > 0.0 else t
    gain = (
        wall[climate + 1] * (wall[climate] - t)
        + (ENTHALPY + C_WATER * (carrier - FREEZING)) * given
        + C_WATER * (air - FREEZING) * taken
    )
    w_t = -beta * p_t - p_t / resistance
    w_x = -beta * p_x + taken_x - water_x
    h_t = -wall[climate + 1] - 1.0 / (reach * b[9]) + ENTHALPY * w_t - C_WATER * abs(water)
    h_x = -ENTHALPY * (beta * p_x + p_x / resistance)
    return water, heat, given + taken - water, gain - heat, w_t, w_x, h_t, h_x


@compiled
def suction_of_surface(wall, climate, face, cell, t, b):
    """Find the x of a surface of given temperature by bisection; its water balance rises with x."""
    low, high = WETTEST, 10.0
    if surface_residual(wall, climate, face, cell, t, low, b)[2] > 0.0:
        return low
    for _ in range(60):
        x = 0.5 * (low + high)
        if surface_residual(wall, climate, face, cell, t, x, b)[2] < 0.0:
            low = x
        else:
            high = x
    return 0.5 * (low + high)


@compiled
def bisected_surface(wall, climate, face, cell, b):
    """Find T and x of a surface by bisection within bisection; its heat balance falls with T."""
    low, high = 200.0, 400.0
    t, x = 300.0, 5.0
    for _ in range(50):
        t = 0.5 * (low + high)
        x = suction_of_surface(wall, climate, face, cell, t, b)
        _, _, w, h, _, _, _, _ = surface_residual(wall, climate, face, cell, t, x, b)
        if x == WETTEST:
            h -= C_WATER * (t - FREEZING) * w
        if h > 0.0:
            low = t
        else:
            high = t
    return t, x


@compiled
def surface(wall, climate, guess, face, cell, b):
    """Water and heat flux into the wall through one surface: damped Newton, else bisection.

    What condenses on a surface that can pass no more inward runs off, and takes its sensible heat along.
    """
    t, x = wall[guess], wall[guess + 1]
    if not (abs(t - b[0]) < 60.0 and WETTEST <= x < 10.0):
        t, x = b[0], 5.0
    for _ in range(40):
        _, _, w, h, w_t, w_x, h_t, h_x = surface_residual(wall, climate, face, cell, t, x, b)
        if x == WETTEST and w > 0.0:
            h -= C_WATER * (t - FREEZING) * w
            d_t, d_x = h / (h_t - C_WATER * (w + (t - FREEZING) * w_t)), 0.0
        else:
            det = w_t * h_x - w_x * h_t
            d_t = (w * h_x - w_x * h) / det
            d_x = (w_t * h - w * h_t) / det
        new = min(max(x - min(max(d_x, -1.0), 1.0), WETTEST), 10.0)
        # Never step across the corner of the rain's share: stop just beyond it and look again.
        if (x - 1.0) * (new - 1.0) < 0.0:
            new = 1.0 + math.copysign(1e-9, new - x)
        moved = abs(new - x)
        x = new
        t -= min(max(d_t, -20.0), 20.0)
        if moved < 1e-10 and abs(d_t) < 1e-9:
            break
    else:
        t, x = bisected_surface(wall, climate, face, cell, b)
    wall[guess], wall[guess + 1] = t, x
    return surface_residual(wall, climate, face, cell, t, x, b)[:2]


@compiled
def rates(wall, y, dy):
    """Fill dy/dt of (T, x) of all cells; the climate of the hour stands in `wall`."""
    n = int(wall[CELLS])
    size, table, capacity = int(wall[SIZE_AT]), int(wall[TABLE_AT]), int(wall[CAPACITY_AT])
    b = node(wall, int(wall[table]), y[0], y[1])
    water_in, heat_in = surface(wall, OUTSIDE, GUESS, 0, 0, b)
    for i in range(n):
        a = b
        if i < n - 1:
            b = node(wall, int(wall[table + i + 1]), y[2 * i + 2], y[2 * i + 3])
            water_out, heat_out = between(wall, i + 1, i, a, b)
        else:
            water_out, heat_out = surface(wall, INSIDE, GUESS + 2, n, i, a)
            water_out, heat_out = -water_out, -heat_out
        d, w, w_x = wall[size + i], a[5], a[6]
        net = water_in - water_out
        dy[2 * i + 1] = net / (d * w_x)
        dy[2 * i] = (heat_in - heat_out - C_WATER * (a[0] - FREEZING) * net) / (
            wall[capacity + i] + C_WATER * d * w
        )
        water_in, heat_in = water_out, heat_out
