"""Model, physics and settings as the flat arrays that the kernels take."""

from __future__ import annotations

import numpy as np

from hygro.grid.cells import Grid
from hygro.materials.tables import LOG_SUCTION_LOW, STEPS_PER_DECADE
from hygro.model.wall import Boundary, PhysicsOptions
from hygro.physics.moist_air import air_permeability, saturation_pressure
from hygro.physics.transport import viscosity_ratio
from hygro.physics.typing import FloatArray
from hygro.solve import layout
from hygro.solve.settings import Settings

TEMPERATURE_SHARE = 20.0
"""Tolerance of temperature [K] for one of relative humidity: 1 % RH goes with 0.2 K at room conditions."""

NEWTON_SHARE = 0.05
"""Change at which an iteration ends, as a share of the error tolerance; the error left is far smaller."""

FREE_SATURATION = int(-LOG_SUCTION_LOW * STEPS_PER_DECADE)
"""Table node of a suction of 1 Pa."""


def boundary_array(boundary: Boundary) -> FloatArray:
    """Pack the climate of one side for the kernels, one row an hour."""
    record = np.zeros((len(boundary.temperature), layout.BOUNDARY_COLUMNS))
    record[:, layout.B_TEMPERATURE] = boundary.temperature
    record[:, layout.B_HEAT] = boundary.heat_coefficient
    record[:, layout.B_PRESSURE] = boundary.vapour_pressure
    record[:, layout.B_VAPOUR] = boundary.vapour_coefficient
    record[:, layout.B_RAIN] = boundary.rain
    record[:, layout.B_AIR] = boundary.air_temperature
    if boundary.kind == "fixed":
        record[:, layout.B_FIXED_X] = np.log10(np.maximum(boundary.suction, 10.0**LOG_SUCTION_LOW))
    return record


def settings_array(settings: Settings, end: int) -> FloatArray:
    """Pack the settings for the kernels; `end` is the hour with which the run ends."""
    packed = np.zeros(layout.SETTINGS)
    packed[layout.S_TOLERANCE_PHI] = settings.tolerance
    packed[layout.S_TOLERANCE_T] = TEMPERATURE_SHARE * settings.tolerance
    packed[layout.S_TOLERANCE_W] = settings.tolerance
    packed[layout.S_NEWTON] = NEWTON_SHARE
    packed[layout.S_SHORTEST] = settings.shortest_step
    packed[layout.S_LONGEST] = settings.longest_step
    packed[layout.S_STAGES] = settings.stages
    packed[layout.S_MOST_STEPS] = settings.most_steps
    packed[layout.S_END] = end
    return packed


def air_array(physics: PhysicsOptions) -> FloatArray:
    """Tabulate what depends on temperature alone, see `hygro.solve.layout`."""
    points = int((layout.AIR_HIGH - layout.AIR_LOW) * layout.AIR_STEPS) + 1
    temperature = np.linspace(layout.AIR_LOW, layout.AIR_HIGH, points)
    ratio = viscosity_ratio(temperature) if physics.viscosity else np.ones(points)
    curves = (
        saturation_pressure(temperature),
        1.0 / air_permeability(temperature, *physics.permeability),
        ratio,
    )
    table = np.zeros((points, 6))
    for column, values in enumerate(curves):
        table[:, 2 * column] = values
        table[:-1, 2 * column + 1] = np.diff(values) * layout.AIR_STEPS
    return table


def reference_array(grid: Grid) -> FloatArray:
    """Inverse of the water stored at free saturation, 0 for the surface nodes [m2/kg]."""
    stored = grid.tables[grid.table, FREE_SATURATION, 0] * grid.size
    inverse = np.zeros_like(stored)
    np.divide(1.0, stored, out=inverse, where=stored > 0)
    return inverse
