"""Three materials of very different character on a half-space, each written twice: here and for hygro."""

from dataclasses import dataclass

import numpy as np
from half_space import HalfSpace

from hygro.constants import GAS_CONSTANT_VAPOUR, WATER_DENSITY
from hygro.materials import Material, load_material
from hygro.model.wall import PhysicsOptions
from hygro.physics import moist_air

VAPOUR_PRESSURE_SCALE = WATER_DENSITY * GAS_CONSTANT_VAPOUR


def kelvin_suction(humidity, temperature):
    """Suction [Pa] by the Kelvin relation."""
    return -VAPOUR_PRESSURE_SCALE * temperature * np.log(humidity)


def still_air(temperature):
    """Vapour permeability, DIN 52615: 2.0e-7 T^0.81 / p."""
    return 2.0e-7 * temperature**0.81 / 101325.0


def thinning(temperature):
    """Viscosity of water at 20 degC over that at a temperature, as hygro states it."""
    return 10.0 ** (247.8 / 153.15 - 247.8 / (temperature - 140.0))


@dataclass(frozen=True)
class Step:
    """A step problem for both sides of the comparison, with the guess of the front and the stages that the
    solver needs.
    """

    problem: HalfSpace
    material: Material
    physics: PhysicsOptions
    front: float
    stages: int = 1


def standard_step():
    """EN 15026:2007 Annex A; the functions as quoted in print."""

    def water(u):
        return 146.0 / (1.0 + (8e-8 * np.exp(u)) ** 1.6) ** 0.375

    def water_slope(u):
        q = (8e-8 * np.exp(u)) ** 1.6
        return -0.375 * 1.6 * q / (1.0 + q) * water(u)

    def potential_slope(u):
        d = water(u) - 73.0
        terms = (-39.2619, 0.0704, -1.7420e-4, -2.7953e-6, -1.1566e-7, 2.5969e-9)
        return -np.exp(sum(c * d**k for k, c in enumerate(terms))) * np.exp(u)

    def resistance(u):
        share = 1.0 - water(u) / 146.0
        return 200.0 * (0.503 * share**2 + 0.497) / share

    problem = HalfSpace(
        heat_capacity=1.824e6,
        water=water,
        water_slope=water_slope,
        potential_slope=potential_slope,
        resistance=resistance,
        conductivity=lambda w: 1.5 + 0.0158 * w,
        air=lambda t: 26.1e-6 / (461.5 * t),
        mobility=lambda t: 1.0,
        start=(293.15, kelvin_suction(0.50, 293.15)),
        surface=(303.15, kelvin_suction(0.95, 303.15)),
    )
    physics = PhysicsOptions(False, moist_air.PERMEABILITY_CONSTANT_DIFFUSIVITY)
    return Step(problem, load_material("en15026-annex-a"), physics, 1e-5)


def capillary_step():
    """An invented sucking brick, damp and cold, against warm water.

    Liquid outruns heat and carries some of it.
    """

    def water(u):
        return 200.0 / (1.0 + (2e-5 * np.exp(u)) ** 2) ** 0.5

    def water_slope(u):
        q = (2e-5 * np.exp(u)) ** 2
        return -q / (1.0 + q) * water(u)

    def potential_slope(u):
        return 3.8 * (0.1 / 200.0) ** 2 * 1000.0 ** (water(u) / 200.0 - 1.0) * water_slope(u)

    problem = HalfSpace(
        heat_capacity=1.6e6,
        water=water,
        water_slope=water_slope,
        potential_slope=potential_slope,
        resistance=lambda u: 12.0 + 0.0 * u,
        conductivity=lambda w: 0.6 + 0.005 * w,
        air=still_air,
        mobility=thinning,
        start=(278.15, 2e5),
        surface=(303.15, 1000.0),
    )
    material = Material.from_curves(
        name="invented sucking brick",
        density=1600.0,
        specific_heat=1000.0,
        conductivity_dry=0.6,
        porosity=0.3,
        free_saturation=200.0,
        storage=lambda s: water(np.log(s)),
        liquid=lambda s: -potential_slope(np.log(s)) / s,
        vapour=12.0,
        heat=0.005,
    )
    return Step(problem, material, PhysicsOptions(), 5e-4, stages=4)


def fibre_step():
    """An invented light fibre board without liquid.

    It cools as it dries, latent heat against little storage.
    """
    scale = VAPOUR_PRESSURE_SCALE * 293.15

    def water(u):
        phi = np.exp(-np.exp(u) / scale)
        return 300.0 * 0.05 * phi / (1.05 - phi)

    def water_slope(u):
        reduced = np.exp(u) / scale
        phi = np.exp(-reduced)
        return -reduced * phi * 300.0 * 0.05 * 1.05 / (1.05 - phi) ** 2

    problem = HalfSpace(
        heat_capacity=160.0 * 2000.0,
        water=water,
        water_slope=water_slope,
        potential_slope=lambda u: 0.0 * u,
        resistance=lambda u: 5.0 - 2.0 * np.exp(-np.exp(u) / scale),
        conductivity=lambda w: 0.04 + 0.0002 * w,
        air=still_air,
        mobility=thinning,
        start=(298.15, kelvin_suction(0.85, 298.15)),
        surface=(288.15, kelvin_suction(0.40, 288.15)),
    )
    material = Material.from_curves(
        name="invented fibre board",
        density=160.0,
        specific_heat=2000.0,
        conductivity_dry=0.04,
        porosity=0.8,
        free_saturation=300.0,
        storage=lambda s: water(np.log(s)),
        vapour=lambda phi: 5.0 - 2.0 * phi,
        heat=0.0002,
    )
    return Step(problem, material, PhysicsOptions(), 2e-4)
