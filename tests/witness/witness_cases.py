"""Walls on which hygro and the even grid of vertices are compared.

Two of them have materials and coefficients of HAMSTAD benchmarks as far as they are recalled. What is missing
there (climate files, liquid conductivities, one resistance to vapour) is filled with inventions of our own,
so that they are severe walls of that kind and not the benchmarks.
"""

from dataclasses import replace

import numpy as np

from hygro.materials import Material, load_material
from hygro.materials.liquid import AbsorptionDiffusivity
from hygro.model.boundary import series_boundary
from hygro.model.wall import Layer, PhysicsOptions, WallModel
from hygro.physics.moist_air import PERMEABILITY_CONSTANT_DIFFUSIVITY, suction

HOUR = 3600.0
START = np.datetime64("2001-01-01T00")
CASE_PHYSICS = PhysicsOptions(viscosity=False, permeability=PERMEABILITY_CONSTANT_DIFFUSIVITY)


def room(hours, temperature=293.15, humidity=0.5, **coefficients):
    """A room with a day in it."""
    day = np.sin(2 * np.pi * np.arange(hours) / 24)
    values = {"heat_coefficient": 7.7, "vapour_coefficient": 2.5e-8, **coefficients}
    return series_boundary(
        temperature=temperature, relative_humidity=humidity + 0.1 * day, hours=hours, **values
    )


def insulated_brick():
    """60 mm of brick, 40 mm of rigid wood fibre, 10 mm of plaster; ten days without rain."""
    hours = 240
    time = np.arange(hours)
    names = (("solid-brick", 0.060), ("wood-fibre-rigid", 0.040), ("lime-plaster", 0.010))
    start = float(suction(0.75, 285.0))
    outside = series_boundary(
        temperature=278.0 + 6.0 * np.sin(2 * np.pi * time / 24) + 3.0 * np.sin(2 * np.pi * time / 110),
        relative_humidity=0.82 + 0.12 * np.cos(2 * np.pi * time / 24),
        heat_coefficient=20.0,
        vapour_coefficient=7e-8,
    )
    layers = [Layer(name, load_material(name).table(), d, 285.0, start) for name, d in names]
    return WallModel(tuple(layers), (), outside, room(hours), START)


def rendered_brick():
    """10 mm of lime plaster on 30 mm of brick in showers and sun; five days."""
    hours = 120
    time = np.arange(hours)
    air = 280.0 + 3.0 * np.sin(2 * np.pi * time / 24)
    rain = np.where((time % 40 > 10) & (time % 40 < 16), 1.0 / HOUR, 0.0)
    sun = 15.0 * np.maximum(np.sin(2 * np.pi * (time - 6) / 24), 0.0) * (rain == 0.0)
    outside = series_boundary(
        temperature=air + sun,
        air_temperature=air,
        relative_humidity=0.8,
        heat_coefficient=20.0,
        vapour_coefficient=1.4e-7,
        rain=rain,
    )
    start = float(suction(0.8, 283.15))
    names = (("lime-plaster", 0.010), ("solid-brick", 0.030))
    layers = [Layer(name, load_material(name).table(), d, 283.15, start) for name, d in names]
    return WallModel(tuple(layers), (), outside, room(hours), START)


def sealed_roof():
    """Load-bearing layer sealed outside over insulation without liquid: materials of HAMSTAD benchmark 1.

    Recalled: both layers, start of the insulation, coefficients. Ours: mu of 10 of the insulation, the
    climate (a cold and then a mild fortnight), and a start of the load-bearing layer of 141 instead of 145
    kg/m3, which is within 1 kg/m3 of full and would leave no room for what condenses.
    """
    hours = 28 * 24
    time = np.arange(hours)
    air = np.where(time < hours // 2, 268.15, 288.15) + 5.0 * np.sin(2 * np.pi * time / 24)
    outside = series_boundary(
        temperature=air, relative_humidity=0.8, heat_coefficient=25.0, vapour_coefficient=0.0
    )
    insulation = Material.from_curves(
        name="insulation of benchmark 1",
        density=73.8,
        specific_heat=1000.0,
        conductivity_dry=0.033,
        porosity=0.9,
        free_saturation=900.0,
        storage=lambda s: 900.0 / np.sqrt(1.0 + (2e-4 * s) ** 2),
        vapour=10.0,
        heat=0.59e-3,
    )
    layers = (
        Layer("load-bearing", load_material("en15026-annex-a").table(), 0.100, 283.15, 2.9e6),
        Layer("insulation", insulation.table(), 0.050, 283.15, 6.92e7),
    )
    inside = room(hours, heat_coefficient=7.0, vapour_coefficient=2e-8)
    return WallModel(layers, (), outside, inside, START, (), CASE_PHYSICS)


def finished_wall():
    """A load-bearing layer with a hygroscopic finish in rain and sun: materials of HAMSTAD benchmark 4.

    Printed: finish but for its liquid, and what the 120 hours bring (cold, two showers, square waves of sun
    with showers). Recalled: the load-bearing layer, start, coefficients. Ours: both liquid curves (0.05 and
    0.02 kg/(m2 s^0.5)) and the numbers of the climate.
    """
    hours = 120
    time = np.arange(hours)
    outside_temperature = np.select(
        [time < 49, time < 67], [283.15 - 12.0 * np.minimum(time, 24) / 24.0, 283.15], 283.15
    ) + np.where((time >= 67) & (time % 12 < 6), 40.0, 0.0)
    showers = np.isin(time, [51, 52, 53, 58, 59, 60, 74, 75, 98, 99])
    outside = series_boundary(
        temperature=outside_temperature,
        air_temperature=np.minimum(outside_temperature, 283.15),
        vapour_pressure=700.0,
        heat_coefficient=25.0,
        vapour_coefficient=2e-7,
        rain=np.where(showers, 1.5 / HOUR, 0.0),
    )
    bearing = Material.from_curves(
        name="load-bearing layer of benchmark 4",
        density=2005.0,
        specific_heat=840.0,
        conductivity_dry=0.5,
        porosity=0.157,
        free_saturation=157.0,
        storage=lambda s: (
            157.0
            * (
                0.3 * (1.0 + (1.25e-5 * s) ** 1.65) ** (-0.65 / 1.65)
                + 0.7 * (1.0 + (1.8e-5 * s) ** 6.0) ** (-5.0 / 6.0)
            )
        ),
        vapour=30.0,
        heat=4.5e-3,
    )
    finish = Material.from_curves(
        name="finish of benchmark 4",
        density=790.0,
        specific_heat=870.0,
        conductivity_dry=0.2,
        porosity=0.209,
        free_saturation=209.0,
        storage=lambda s: 209.0 * (1.0 + (2.0e-6 * s) ** (1.0 / 0.79)) ** -0.21,
        vapour=3.0,
        heat=0.45e-3,
    )
    bearing = replace(bearing, liquid=AbsorptionDiffusivity(0.05, 157.0), content="")
    finish = replace(finish, liquid=AbsorptionDiffusivity(0.02, 209.0), content="")
    start = float(suction(0.4, 293.15))
    layers = (
        Layer("load-bearing", bearing.table(), 0.100, 293.15, start),
        Layer("finish", finish.table(), 0.020, 293.15, start),
    )
    inside = room(hours, humidity=0.6, heat_coefficient=8.0, vapour_coefficient=3e-8)
    return WallModel(layers, (), outside, inside, START, (), CASE_PHYSICS)


def wool_behind_brick():
    """60 mm of brick, 50 mm of mineral wool, 10 mm of plaster, no retarder: water condenses at the brick.

    Ten cold days, then ten mild ones.
    """
    hours = 480
    time = np.arange(hours)
    outside = series_boundary(
        temperature=np.where(time < 240, 268.15, 285.15) + 4.0 * np.sin(2 * np.pi * time / 24),
        relative_humidity=0.8,
        heat_coefficient=20.0,
        vapour_coefficient=7e-8,
    )
    names = (("solid-brick", 0.060), ("mineral-wool", 0.050), ("lime-plaster", 0.010))
    start = float(suction(0.8, 285.0))
    layers = [Layer(name, load_material(name).table(), d, 285.0, start) for name, d in names]
    return WallModel(tuple(layers), (), outside, room(hours), START)
