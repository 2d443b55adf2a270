"""Model, physics and settings as the flat arrays that the kernels take."""

from __future__ import annotations

from functools import cache
from math import gcd

import numpy as np
from numpy.typing import NDArray

from hygro.constants import GAS_CONSTANT_VAPOUR, WATER_DENSITY
from hygro.grid.cells import Grid, IntArray
from hygro.materials.tables import LOG_SUCTION, LOG_SUCTION_LOW, STEPS_PER_DECADE
from hygro.model.wall import Boundary, PhysicsOptions, Source, WallModel
from hygro.physics.moist_air import air_permeability, saturation_pressure
from hygro.physics.transport import viscosity_ratio
from hygro.physics.typing import FloatArray
from hygro.solve import layout
from hygro.solve.settings import Settings

TEMPERATURE_SHARE = 20.0
"""Tolerance of temperature [K] for one of relative humidity: 1 % RH goes with 0.2 K at room conditions."""

NEWTON_SHARE = 0.05
"""Change at which an iteration ends, as a share of the error tolerance; the error left is far smaller."""

STRICT = 1e-9
"""The same where balances are taken, as a relative humidity."""

MONTH = 730
"""Hours between two balances in records of whole years; others have one at the end of each pass."""

LARGEST_LEAP = 0.1
"""Change of relative humidity that an iteration may end with, however small the next is expected to be; at a
tolerance above the standard one, with its root."""

LARGEST_DRIFT = 0.07
"""Change of relative humidity since the last sweep at which a guess is no longer taken for a step, at
standard tolerance; its error goes with the square."""

STANDARD_TOLERANCE = 0.1
"""Tolerance at which the error estimate counts as it is. It is of second order in the step, the error itself
of third: the tolerance of the estimate goes with the power 2/3."""

_LAST = 0.5 / 0.615 + 0.615 - 2.0

METHODS = {
    1: (1.0, (1.0,)),
    2: (0.395, (0.395, 0.605)),
    3: (0.615, (0.615, 1.0 - 0.615 - _LAST, _LAST)),
}
"""Gamma and the weights of the flow by number of solves."""

EXCESS = 0.02
"""Share of the rain that a step may take up beyond what falls; at a tolerance below the standard one, in
proportion to it."""

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


def settings_array(settings: Settings, end: int, record: int) -> FloatArray:
    """Pack the settings for the kernels, with the last hour of the run and the length of the climate."""
    packed = np.zeros(layout.SETTINGS)
    packed[layout.S_TOLERANCE] = settings.tolerance
    packed[layout.S_TOLERANCE_T] = TEMPERATURE_SHARE * settings.tolerance
    packed[layout.S_NEWTON] = NEWTON_SHARE
    packed[layout.S_STRICT] = STRICT / settings.tolerance
    standard = settings.tolerance / STANDARD_TOLERANCE
    packed[layout.S_LEAP] = LARGEST_LEAP * max(standard, 1.0) ** 0.5 / settings.tolerance
    packed[layout.S_GUESS] = LARGEST_DRIFT * standard**0.5 / settings.tolerance
    packed[layout.S_ERROR] = standard ** (1.0 / 3.0)
    packed[layout.S_SHORTEST] = settings.shortest_step
    packed[layout.S_LONGEST] = settings.longest_step
    packed[layout.S_END] = end
    usual = MONTH if record % MONTH == 0 else record
    packed[layout.S_STRICT_EVERY] = settings.balance_every or usual
    packed[layout.S_FRESH_EVERY] = gcd(settings.fresh_every, record)
    packed[layout.S_EXCESS] = EXCESS * min(standard, 1.0)
    packed[layout.S_RAIN] = min(settings.rain_step, settings.longest_step)
    packed[layout.S_MOST_STEPS] = settings.most_steps
    return packed


@cache
def air_array(physics: PhysicsOptions) -> FloatArray:
    """Tabulate what depends on temperature alone, see `hygro.solve.layout`; row after row.

    All walls share the array of their physics: it is not to be written to.
    """
    points = int((layout.AIR_HIGH - layout.AIR_LOW) * layout.AIR_STEPS) + 1
    temperature = np.linspace(layout.AIR_LOW, layout.AIR_HIGH, points)
    ratio = viscosity_ratio(temperature) if physics.viscosity else np.ones(points)
    curves = (
        saturation_pressure(temperature),
        1.0 / air_permeability(temperature, *physics.permeability),
        ratio,
        1.0 / temperature,
    )
    table = np.zeros((points, layout.AIR_COLUMNS))
    for column, values in enumerate(curves):
        table[:, 2 * column] = values
        table[:-1, 2 * column + 1] = np.diff(values) * layout.AIR_STEPS
    return table.ravel()


@cache
def exponential_array() -> FloatArray:
    """Tabulate suction and exp(-m), see `hygro.solve.layout`; row after row; shared, as `air_array`."""
    decay = np.exp(-np.arange(layout.DECAY_END * layout.DECAY_STEPS) / layout.DECAY_STEPS)
    table = np.zeros((len(decay), 2))
    table[: len(LOG_SUCTION), 0] = 10.0**LOG_SUCTION / (WATER_DENSITY * GAS_CONSTANT_VAPOUR)
    table[:, 1] = decay
    return table.ravel()


@cache
def method_array(solves: int) -> FloatArray:
    """Pack the weights of a method of 1, 2 or 3 solves, see `hygro.solve.layout`; shared, as `air_array`."""
    gamma, weights = METHODS[solves]
    flow = np.array(weights)
    method = np.zeros((len(flow), 3))
    method[:, layout.METHOD_FLOW] = flow / gamma
    method[:, layout.METHOD_GAMMA] = gamma
    # R(z) = 1 + z phi(z), with z = (w - 1) / (gamma w) and w = 1 / (1 - gamma z)
    method[:, layout.METHOD_MISMATCH] = (flow - np.append(flow[1:], 0.0)) / gamma
    return method


def opening_array(grid: Grid) -> FloatArray:
    """Inverse of the distance between neighbouring nodes, 0 where a film blocks liquid [1/m]."""
    return 2.0 * grid.open / (grid.size[:-1] + grid.size[1:])


def table_array(grid: Grid) -> NDArray[np.uint32]:
    """Table of each node; without a sign, which compiled code would look at wherever it is an index."""
    return grid.table.astype(np.uint32)


def reference_array(grid: Grid) -> FloatArray:
    """Inverse of the water stored at free saturation, 0 for the surface nodes [m2/kg]."""
    stored = grid.tables[grid.table, FREE_SATURATION, 0] * grid.size
    inverse = np.zeros_like(stored)
    np.divide(1.0, stored, out=inverse, where=stored > 0)
    return inverse


SourceArrays = tuple[IntArray, IntArray, IntArray, FloatArray, FloatArray]
"""Row of each node, and of each row: node, record, share; the records. See `hygro.solve.sources`."""


def source_arrays(model: WallModel, grid: Grid) -> SourceArrays:
    """Share the sources of a model among nodes; a node with several gets a record that adds them up."""
    hours = len(model.external.temperature)
    records = [_source_record(source) for source in model.sources]
    parts: dict[int, list[tuple[int, float]]] = {}
    for k, source in enumerate(model.sources):
        for node, share in enumerate(source_shares(grid, source)):
            if share > 0.0:
                parts.setdefault(node, []).append((k, float(share)))
    rows = []
    for node in sorted(parts):
        record, share = parts[node][0]
        if len(parts[node]) > 1:
            record, share = len(records), 1.0
            records.append(np.sum([part * records[k] for k, part in parts[node]], axis=0))
        rows.append((node, record, share))
    row_of = np.full(grid.nodes, -1)
    row_of[[node for node, _, _ in rows]] = np.arange(len(rows))
    return (
        row_of,
        np.array([node for node, _, _ in rows], dtype=np.int64),
        np.array([record for _, record, _ in rows], dtype=np.int64),
        np.array([share for _, _, share in rows], dtype=float),
        np.stack(records, axis=1) if records else np.zeros((hours, 1, layout.SOURCE_COLUMNS)),
    )


def source_shares(grid: Grid, source: Source) -> FloatArray:
    """Share of each node in a source: by length, or all for the one cell at a point."""
    inside = (grid.layer == source.layer) & (grid.size > 0.0)
    right = np.cumsum(np.where(inside, grid.size, 0.0))
    left = right - grid.size
    shares = np.zeros(grid.nodes)
    if source.end > source.start:
        overlap = np.minimum(right, source.end) - np.maximum(left, source.start)
        shares[inside] = np.maximum(overlap[inside], 0.0)
        return shares / shares.sum()
    cells = np.flatnonzero(inside)
    place = int(np.searchsorted(right[cells], source.start, side="right"))
    shares[cells[min(place, len(cells) - 1)]] = 1.0
    return shares


def _source_record(source: Source) -> FloatArray:
    record = np.empty((len(source.heat), layout.SOURCE_COLUMNS))
    record[:, layout.N_HEAT] = source.heat
    record[:, layout.N_HEAT_AIR] = source.heat_air
    record[:, layout.N_VAPOUR] = source.vapour
    record[:, layout.N_VAPOUR_AIR] = source.vapour_air
    record[:, layout.N_LIQUID] = source.liquid
    return record
