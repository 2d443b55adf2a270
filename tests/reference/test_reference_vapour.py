"""Vapour at one temperature, and vapour with its latent heat: steady walls and a drying slab."""

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq, fsolve
from solver_walls import (
    STANDARD,
    constant_boundary,
    film,
    fixed_boundary,
    layer,
    plain_material,
    run,
    wall,
)
from verification import Check, verifies

from hygro.model.wall import PhysicsOptions

WARM = 293.15
EVAPORATION_ENTHALPY = 2.5e6  # EN 15026, typed again so that a slip in the program's constant shows
WATER_HEAT_CAPACITY = 4187.0
DELTA = 2.0e-7 * WARM**0.81 / 101325.0  # DIN 52615
SATURATION = 610.5 * np.exp(17.269 * 20.0 / 257.3)  # EN ISO 13788
LONG = 24 * 400


def isothermal(layers, films=(), hours=LONG, outside=0.3, inside=0.7, beta=(1e-7, 2e-8), **settings):
    """March between airs of 20 degC.

    The heat of evaporation (0.05 W/m2) moves surfaces by 5e-6 K behind 1e4 W/(m2 K).
    """
    airs = [
        constant_boundary(
            hours=hours,
            temperature=WARM,
            relative_humidity=phi,
            heat_coefficient=1e4,
            vapour_coefficient=coefficient,
        )
        for phi, coefficient in zip((outside, inside), beta, strict=True)
    ]
    return run(wall(layers, *airs, films), **settings)


VAPOUR_RESISTANCE = 1 / 1e-7 + (0.10 * 15.0 + 0.5 + 0.05 * 5.0 + 0.2) / DELTA + 1 / 2e-8


@verifies(
    "vapour",
    "Steady vapour through two layers, two films and two surfaces",
    kind="exact",
    source="ISO 13788: resistances in series; permeability of air by DIN 52615 at 20 degC, saturation by "
    "ISO 13788",
    shows="Between airs of 20 degC, 30 and 70 %: what the room loses and what outdoors gains is the same, "
    "and the "
    "sum of resistances gives it.",
    checks=[
        Check(
            f"vapour {side}",
            0.4 * SATURATION / VAPOUR_RESISTANCE,
            1e-6,
            "heat of evaporation leaves 1e-5 K between the surfaces, 1e-6 of the difference of pressures",
            "kg/(m2 s)",
            True,
        )
        for side in ("from the room", "to outdoors")
    ],
)
def test_steady_vapour_resistances_add(verify):
    """Nothing but that heat separates the march from the sum of resistances."""
    layers = [
        layer(plain_material("outer", resistance=15.0, full=2.0), 0.10),
        layer(plain_material("inner", resistance=5.0, full=2.0), 0.05),
    ]
    films = [film(1, 0.5), film(2, 0.2)]
    result = isothermal(layers, films)
    last = result.water_in[-1] / 3600.0
    verify("vapour from the room", last[1])
    verify("vapour to outdoors", -last[0])


@verifies(
    "vapour",
    "A film that follows humidity",
    kind="exact",
    source="root of one equation for the flux, s_d = 5 exp(-4 phi) m of the mean humidity of both faces",
    shows="A membrane whose resistance falls where it is damp, between two layers.",
    checks=[
        Check(
            "flux",
            "root of the equation",
            1e-4,
            "the march reads s_d at whole per cents, linear between: the table lies up to 11 * 0.01^2 / 8 = "
            "1.4e-4 m "
            "too high, of a resistance of 2.7 m of air",
            "kg/(m2 s)",
            True,
        )
    ],
)
def test_film_that_follows_humidity(verify):
    """A membrane between two layers whose s_d falls with the mean humidity of its sides."""

    def s_d(phi):
        return 5.0 * np.exp(-4.0 * phi)

    layers = [
        layer(plain_material("outer", resistance=15.0, full=2.0), 0.10),
        layer(plain_material("inner", full=2.0), 0.05),
    ]
    result = isothermal(layers, [film(1, s_d)])
    before = 1 / 1e-7 + 0.10 * 15.0 / DELTA
    behind = 1 / 2e-8 + 0.05 * 10.0 / DELTA

    def excess(g):
        left, right = 0.3 + g * before / SATURATION, 0.7 - g * behind / SATURATION
        return (right - left) * SATURATION - g * s_d(0.5 * (left + right)) / DELTA

    expected = brentq(excess, 0.0, 0.4 * SATURATION / (before + behind))
    verify("flux", result.water_in[-1, 1] / 3600.0, expected)


@verifies(
    "vapour",
    "A slab that dries by vapour alone",
    kind="exact",
    source="Fourier series of linear diffusion, D = delta p_sat / (mu w_f); 50 mm, mu 10, w = 20 phi kg/m3",
    shows="Linear vapour diffusion in time: from 80 % to surfaces at 40 %.",
    checks=[
        Check(
            "every cell after 12, 24, 48 and 96 h",
            "the series",
            0.002,
            "cells of 1 mm: (1 mm)^2 / (12 D t) of the step is 0.05 % for the first profile; steps; the "
            "heat of "
            "evaporation is drowned in a conductivity of 10 W/(m K), not removed",
            "of the step",
        )
    ],
)
def test_drying_slab_series(verify):
    """Isothermal by a heat capacity and conductivity that drown the heat of evaporation."""
    full, mu, thickness = 20.0, 10.0, 0.05
    material = plain_material("slab", conductivity=10.0, capacity=2e6, resistance=mu, full=full)
    faces = fixed_boundary(temperature=WARM, relative_humidity=0.4, hours=96)
    result = run(
        wall([layer(material, thickness, WARM, 0.8)], faces, faces),
        scale=0.125,
        accuracy="reference",
        field_every=6,
    )
    diffusivity = DELTA * SATURATION / (mu * full)
    n = np.arange(1, 2000, 2)
    shares, series = [], []
    for hours in (12, 24, 48, 96):
        decay = np.exp(-diffusivity * (n * np.pi / thickness) ** 2 * 3600.0 * hours)
        waves = np.sin(np.outer(result.depth, n) * np.pi / thickness) @ (4.0 / (n * np.pi) * decay)
        # Profiles of w over its step; w is 20 times the humidity.
        shares.append((result.water[hours // 6] - 0.4 * full) / (0.4 * full))
        series.append(waves)
    verify("every cell after 12, 24, 48 and 96 h", np.array(shares), np.array(series))


def coupled_fluxes(layers, outside, inside):
    """Steady water and heat flux [kg/(m2 s), W/m2] through layers (thickness, lambda, mu), by shooting from
    outside to inside.

    `outside`, `inside`: temperature [K], vapour pressure [Pa], h [W/(m2 K)], beta [kg/(m2 s Pa)].
    """

    def missed(scaled):
        g, q = scaled[0] * 1e-7, scaled[1]
        t_air, p_air, h, beta = outside
        pressure = p_air - g / beta
        # Vapour arrives at air temperature and leaves at that of the surface; here it leaves.
        temperature = (h * t_air + g * (EVAPORATION_ENTHALPY - WATER_HEAT_CAPACITY * 273.15) - q) / (
            h - WATER_HEAT_CAPACITY * g
        )

        for thickness, conductivity, mu in layers:

            def slopes(_, y, conductivity=conductivity, mu=mu):
                delta = 2.0e-7 * y[0] ** 0.81 / 101325.0 / mu
                carried = (EVAPORATION_ENTHALPY + WATER_HEAT_CAPACITY * (y[0] - 273.15)) * g
                return [-(q - carried) / conductivity, -g / delta]

            y = solve_ivp(slopes, (0.0, thickness), [temperature, pressure], rtol=1e-11, atol=1e-9).y[:, -1]
            temperature, pressure = y
        t_air, p_air, h, beta = inside
        vapour_heat = (
            (EVAPORATION_ENTHALPY + WATER_HEAT_CAPACITY * (t_air - 273.15)) * beta * (p_air - pressure)
        )
        return [(beta * (p_air - pressure) + g) * 1e7, h * (t_air - temperature) + vapour_heat + q]

    solution, _, status, message = fsolve(missed, [-1.0, -30.0], xtol=1e-12, full_output=True)
    assert status == 1, message
    return solution[0] * 1e-7, solution[1]


COUPLED = (
    "water carries its sensible heat at the temperature of the cell it leaves: c_w g times half a kelvin, "
    "which is a "
    "cell of 2 mm in the board, is 7e-5 of the flux"
)


@verifies(
    "vapour",
    "A steady wall with latent heat",
    kind="exact",
    source="shooting through the two differential equations with a library integrator, relative tolerance "
    "1e-11",
    shows="Vapour-open board outside thin masonry, 0 degC and 80 % against 20 degC and 60 %: the heat of "
    "evaporation "
    "is over a tenth of the flux, so a wrong share of it would show.",
    checks=[
        Check(f"{what}, {side}", "shooting", 1e-4, COUPLED, unit, True)
        for what, unit in (("water", "kg/(m2 s)"), ("heat", "W/m2"))
        for side in ("outside", "inside")
    ],
)
def test_steady_wall_with_latent_heat(verify):
    """Nowhere near condensing."""
    pieces = ((0.08, 0.045, 1.2), (0.05, 0.6, 4.0))
    airs = []
    for temperature, phi, h, beta in ((273.15, 0.8, 25.0, 1.8e-7), (293.15, 0.6, 8.0, 5.9e-8)):
        airs.append(
            constant_boundary(
                hours=24 * 60,
                temperature=temperature,
                relative_humidity=phi,
                heat_coefficient=h,
                vapour_coefficient=beta,
            )
        )
    layers = [
        layer(
            plain_material(f"piece {i}", conductivity=lam, capacity=5e5, resistance=mu, full=20.0),
            d,
            283.15,
            0.6,
        )
        for i, (d, lam, mu) in enumerate(pieces)
    ]
    model = wall(layers, *airs)
    result = run(model, scale=0.25)
    outside, inside = (
        (b.temperature[0], b.vapour_pressure[0], b.heat_coefficient[0], b.vapour_coefficient[0])
        for b in (model.external, model.internal)
    )
    g, q = coupled_fluxes(pieces, outside, inside)
    assert abs(EVAPORATION_ENTHALPY * g / q) > 0.1
    water, heat = result.water_in[-1] / 3600.0, result.heat_in[-1] / 3600.0
    verify("water, outside", water[0], g)
    verify("water, inside", -water[1], g)
    verify("heat, outside", heat[0], q)
    verify("heat, inside", -heat[1], q)


PERMEABILITY_RATIO = 26.1e-6 / (461.5 * WARM) / DELTA


@verifies(
    "vapour",
    "Two conventions for the permeability of air",
    kind="published",
    source="EN 15026 Annex A (26.1e-6 m2/s) over DIN 52615 (2.0e-7 T^0.81 / p), both at 20 degC",
    shows="Choosing the convention of the published cases changes a vapour flux by the ratio of the two.",
    checks=[
        Check("ratio of fluxes", PERMEABILITY_RATIO, 1e-6, "heat of evaporation, as above", "", True),
    ],
)
def test_permeability_conventions(verify):
    """Constant diffusivity instead of the standard's law."""
    layers = [layer(plain_material("slab", resistance=10.0, full=2.0, conductivity=10.0), 0.1, WARM, 0.5)]
    ends = [fixed_boundary(temperature=WARM, relative_humidity=phi, hours=LONG) for phi in (0.3, 0.7)]
    flux = [
        run(wall(layers, *ends, physics=physics)).water_in[-1, 1]
        for physics in (STANDARD, PhysicsOptions(permeability=(26.1e-6 / (461.5 * WARM), -1.0)))
    ]
    verify("ratio of fluxes", flux[1] / flux[0])
