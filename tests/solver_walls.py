"""Walls marched straight from Python: what the tests of grid, solver and reference solutions share."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np

from hygro.grid.cells import build_grid
from hygro.materials import Material
from hygro.model.boundary import constant_boundary, fixed_boundary, series_boundary
from hygro.model.wall import Film, Layer, PhysicsOptions, WallModel
from hygro.physics import moist_air
from hygro.solve import layout
from hygro.solve.balance import water_at
from hygro.solve.march import march
from hygro.solve.settings import ACCURACIES, Span

CONSTANT_DIFFUSIVITY = PhysicsOptions(
    viscosity=False, permeability=moist_air.PERMEABILITY_CONSTANT_DIFFUSIVITY
)
STANDARD = PhysicsOptions()


def layer(material, thickness, temperature=293.15, humidity=0.5, suction=None, name=None):
    """A layer in a uniform state, given by humidity [1] or suction [Pa]."""
    pull = float(moist_air.suction(humidity, temperature)) if suction is None else suction
    return Layer(name or material.name, material.table(), thickness, temperature, pull)


def film(position, s_d, liquid_open=False, name="film"):
    """A film at a position; s_d [m] as a number or as a function of humidity."""
    humidity = np.linspace(0.0, 1.0, 101)
    values = s_d(humidity) if callable(s_d) else np.full(101, float(s_d))
    return Film(name, position, values, liquid_open)


def wall(layers, external, internal, films=(), physics=STANDARD):
    """A wall model."""
    return WallModel(
        tuple(layers), tuple(films), external, internal, np.datetime64("2023-01-01T00"), (), physics
    )


def run(model, hours=None, scale=1.0, accuracy="standard", field_every=24, **settings):
    """March; return the solution with profiles of the cells attached.

    Depth, T [K], x, w, phi at snapshots.
    """
    record = len(model.external.temperature)
    hours = hours or record
    grid = build_grid(model, scale)
    chosen = replace(ACCURACIES[accuracy], field_every=field_every, **settings)
    solution = march(model, grid, Span((0, hours), record), chosen)
    cells = slice(1, -1)
    x = solution.field_log_suction
    return SimpleNamespace(
        solution=solution,
        grid=grid,
        depth=grid.depth[cells],
        size=grid.size[cells],
        temperature=solution.field_temperature[:, cells],
        log_suction=x[:, cells],
        water=water_at(grid, x)[:, cells],
        humidity=moist_air.relative_humidity(10.0**x, solution.field_temperature)[:, cells],
        water_in=solution.flows[:, [layout.F_WATER_EXT, layout.F_WATER_INT]],
        heat_in=solution.flows[:, [layout.F_HEAT_EXT, layout.F_HEAT_INT]],
        rain_in=solution.flows[:, [layout.F_RAIN_EXT, layout.F_RAIN_INT]],
        sensible_in=solution.flows[:, [layout.F_SENSIBLE_EXT, layout.F_SENSIBLE_INT]],
    )


def mirrored(model):
    """The same wall seen from the other side."""
    count = len(model.layers)
    return replace(
        model,
        layers=model.layers[::-1],
        films=tuple(replace(item, position=count - item.position) for item in model.films),
        external=model.internal,
        internal=model.external,
    )


def plain_material(name="plain", *, conductivity=0.6, capacity=1.7e6, resistance=10.0, full=20.0, **changes):
    """Heat and vapour only: w = `full` times humidity at 20 degC, no liquid, nothing depends on water."""
    values = {
        "density": capacity / 1000.0,
        "specific_heat": 1000.0,
        "conductivity_dry": conductivity,
        "porosity": 0.3,
        "free_saturation": full,
        "storage": lambda suction: full * moist_air.relative_humidity(suction, 293.15),
        "vapour": resistance,
    }
    return Material.from_curves(name=name, **{**values, **changes})


def synthetic_climate(hours, seed=7, rain=True):
    """Hourly weather with days, storms and sun, and a room that follows: two boundaries."""
    rng = np.random.default_rng(seed)
    t = np.arange(hours)
    day = np.sin(2 * np.pi * (t - 9) / 24)
    air = 278.15 + 4.0 * day + 3.0 * np.sin(2 * np.pi * t / 97)
    humidity = np.clip(0.85 - 0.1 * day + 0.05 * rng.standard_normal(hours), 0.3, 1.0)
    wet = (np.sin(2 * np.pi * t / 61) > 0.75) & (rng.random(hours) < 0.7)
    falling = np.where(wet, rng.gamma(1.0, 0.8, hours), 0.0) / 3600.0 * float(rain)
    coefficient = 12.0 + 8.0 * rng.random(hours)
    outside = series_boundary(
        temperature=air + np.maximum(day, 0.0) * 8.0 - 1.0,
        air_temperature=air,
        relative_humidity=humidity,
        heat_coefficient=coefficient,
        vapour_coefficient=7e-9 * coefficient,
        rain=falling,
    )
    inside = series_boundary(
        temperature=293.15 + 0.5 * day,
        relative_humidity=0.5 + 0.08 * np.sin(2 * np.pi * t / 24),
        heat_coefficient=7.7,
        vapour_coefficient=1.8e-8,
        hours=hours,
    )
    return outside, inside


__all__ = [
    "CONSTANT_DIFFUSIVITY", "STANDARD", "constant_boundary", "film", "fixed_boundary",
    "layer", "mirrored", "plain_material", "run", "series_boundary", "synthetic_climate", "wall", "within",
]  # fmt: skip


def within(measured, limit, what):
    """Assert a difference against its limit; `pytest -rP` shows what was measured."""
    print(f"{what}: {measured:.3g} (limit {limit:.3g})")
    assert measured <= limit, f"{what}: {measured:.6g} is above {limit:.6g}"
