"""Another way to discretise a wall: vertices on a fine, even grid, integrated by SUNDIALS CVODE.

Vertices lie on the surfaces and on every interface, so that an interface is one unknown state with half a
cell of either material. Liquid flows within a material down the gradient of water content, with the mean of
the diffusivities at both ends; vapour with the mean of the permeabilities; a surface stores the water of its
half cell, and takes up rain as long as it is not full. None of this is shared with hygro's grid of cells, its
flux potential, its interface suction or its surface nodes without storage. Films are not in it.
"""

import math

import numba
import numpy as np
from sksundae.cvode import CVODE
from witness_scheme import air_values

from hygro.materials.tables import LOG_SUCTION


@numba.njit
def read(curve, x):
    """Value of a curve at x = log10 s, and its slope."""
    place = min(max((x + 1.0) * 100.0, 0.0), 1099.0)
    k = int(place)
    return curve[k] + (curve[k + 1] - curve[k]) * (place - k), 100.0 * (curve[k + 1] - curve[k])


@numba.njit
def vertex_rates(y, dy, h, material, curves, heat, air, outside, inside):
    """Fill the rates of (T, log10 s) of all vertices; `material[i]` fills the gap behind vertex i.

    A side is (T, h, p, beta, rain, T of the air). Curves are w, liquid diffusivity, mu, lambda.
    """
    n = len(material) + 1
    stored, capacity = np.zeros(n), np.zeros(n)
    net, gain = np.zeros(n), np.zeros(n)
    for i in range(n):
        for m in material[max(i - 1, 0) : i + 1]:
            w, slope = read(curves[m, 0], y[2 * i + 1])
            stored[i] += 0.5 * h * slope
            capacity[i] += 0.5 * h * (heat[m] + 4187.0 * w)
    pressure, permeability, ratio = np.empty(n), np.empty(n), np.empty(n)
    for i in range(n):
        place = (y[2 * i] - 200.0) * 1000.0
        k = int(place)
        now = air[k] + (air[k + 1] - air[k]) * (place - k)
        phi = math.exp(-(10.0 ** y[2 * i + 1]) / (461.5e3 * y[2 * i]))
        pressure[i], permeability[i], ratio[i] = phi * now[0], 1.0 / now[1], now[2]
    for i in range(n - 1):
        t0, x0, t1, x1 = y[2 * i], y[2 * i + 1], y[2 * i + 2], y[2 * i + 3]
        c = curves[material[i]]
        through0, through1 = permeability[i] / read(c[2], x0)[0], permeability[i + 1] / read(c[2], x1)[0]
        steam = 0.5 * (through0 + through1) * (pressure[i] - pressure[i + 1]) / h
        d0 = ratio[i] * read(c[1], x0)[0]
        d1 = ratio[i + 1] * read(c[1], x1)[0]
        liquid = 0.5 * (d0 + d1) * (read(c[0], x0)[0] - read(c[0], x1)[0]) / h
        flux = steam + liquid
        upwind = t0 if flux > 0.0 else t1
        q = 0.5 * (read(c[3], x0)[0] + read(c[3], x1)[0]) * (t0 - t1) / h
        q += 2.5e6 * steam + 4187.0 * (upwind - 273.15) * flux
        net[i] -= flux
        net[i + 1] += flux
        gain[i] -= q
        gain[i + 1] += q
    for i, climate in ((0, outside), (n - 1, inside)):
        flux = climate[3] * (climate[2] - pressure[i])
        carrier = climate[5] if flux > 0.0 else y[2 * i]
        rain = climate[4] * min(max(y[2 * i + 1], 0.0), 1.0)
        net[i] += flux + rain
        gain[i] += climate[1] * (climate[0] - y[2 * i]) + (2.5e6 + 4187.0 * (carrier - 273.15)) * flux
        gain[i] += 4187.0 * (climate[5] - 273.15) * rain
    for i in range(n):
        dy[2 * i + 1] = net[i] / stored[i]
        dy[2 * i] = (gain[i] - 4187.0 * (y[2 * i] - 273.15) * net[i]) / capacity[i]


def diffusivity_of(table):
    """Liquid diffusivity over the nodes: the slope of the flux potential over that of water content."""
    theta, water = np.gradient(table.flux_potential), np.gradient(table.water_content)
    return np.maximum(theta / np.minimum(water, -1e-300), 0.0)


def side(boundary):
    """Climate of one side as rows."""
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


def vertex_states(model, h, tolerance=1e-5):
    """March the vertices.

    Returns
    -------
    temperature, log_suction : array, shape (hours, vertices)
        At the end of each hour.
    depth : array, shape (vertices,)
        [m].
    interfaces : array of int
        Vertices that lie on interfaces.
    """
    counts = [round(layer.thickness / h) for layer in model.layers]
    assert np.allclose(np.array(counts) * h, [layer.thickness for layer in model.layers])
    material = np.repeat(np.arange(len(counts)), counts)
    tables = [layer.table for layer in model.layers]
    curves = np.array(
        [[t.water_content, diffusivity_of(t), t.resistance_factor, t.conductivity] for t in tables]
    )
    heat = np.array([t.density * t.specific_heat for t in tables])
    physics = model.physics
    air = np.stack(
        air_values(np.linspace(200.0, 400.0, 200_001), physics.viscosity, physics.permeability), axis=1
    )
    sides = [side(model.external), side(model.internal)]
    hour = 0
    solver = CVODE(
        lambda t, y, dy: vertex_rates(y, dy, h, material, curves, heat, air, sides[0][hour], sides[1][hour]),
        rtol=0.0,
        atol=np.tile([20.0 * tolerance, tolerance], len(material) + 1),
        linsolver="band",
        lband=3,
        uband=3,
        max_num_steps=200_000,
    )
    owner = np.append(material, material[-1])
    start = [(item.initial_temperature, math.log10(item.initial_suction)) for item in model.layers]
    y = np.array([start[k] for k in owner]).ravel()
    states = np.empty((len(sides[0]), len(y)))
    for hour in range(len(sides[0])):  # noqa: B007 - read by the function above
        solver.init_step(0.0, y)
        step = solver.step(3600.0, tstop=3600.0)
        assert step.success, step.message
        y = step.y.ravel().copy()
        states[hour] = y
    assert LOG_SUCTION[0] <= states[:, 1::2].min()
    return states[:, ::2], states[:, 1::2], h * np.arange(len(owner)), np.cumsum(counts)[:-1]
