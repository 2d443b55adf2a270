"""The grid of a wall: nodes, faces and packed curves, as flat arrays for the kernels."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from hygro.constants import REFERENCE_TEMPERATURE
from hygro.grid.spacing import CAPILLARY, HYGROSCOPIC, LARGEST_CELL, NO_LIQUID, Spacing, layer_cells
from hygro.materials.tables import LOG_SUCTION, CurveTable
from hygro.model.wall import Film, PhysicsOptions, WallModel
from hygro.physics.moist_air import PERMEABILITY_STANDARD, air_permeability, saturation_pressure
from hygro.physics.typing import FloatArray

IntArray = NDArray[np.int64]

CURVES = ("water_content", "flux_potential", "resistance_factor", "resistivity")
"""Order of the curves in a packed table, value and slope alternating; resistivity is 1 / conductivity."""


@dataclass(frozen=True)
class Grid:
    """Nodes of a wall from outside to inside: a surface node, the cells, a surface node.

    Parameters
    ----------
    size : array, shape (nodes,)
        Cell sizes [m]; 0 for the two surface nodes, which store nothing.
    depth : array, shape (nodes,)
        Position of the node from the external surface [m].
    layer : int array, shape (nodes,)
        Index of the layer; surface nodes carry that of the layer they close.
    table : int array, shape (nodes,)
        Index into `tables`.
    film : int array, shape (nodes - 1,)
        Row of `film_s_d` between a node and the next, -1 for none.
    open : array, shape (nodes - 1,)
        1 where liquid may cross the face, 0 where a film blocks it.
    contact : array, shape (nodes - 1,)
        Resistance of the face to liquid, beside those of the materials [m/s]; 0 where layers touch perfectly.
    heat_capacity : array, shape (nodes,)
        Dry volumetric heat capacity times cell size [J/(m2 K)].
    tables : array, shape (tables, points, 8)
        Value and slope (per decade of suction) of each curve on `LOG_SUCTION`.
    film_s_d : array, shape (films, 101)
        Diffusion-equivalent thickness of thin layers over relative humidity [m].
    """

    size: FloatArray
    depth: FloatArray
    layer: IntArray
    table: IntArray
    film: IntArray
    open: FloatArray
    contact: FloatArray
    heat_capacity: FloatArray
    tables: FloatArray
    film_s_d: FloatArray

    @property
    def nodes(self) -> int:
        """Number of nodes, the two surfaces included."""
        return len(self.size)


def build_grid(model: WallModel, scale: float = 1.0) -> Grid:
    """Divide a wall into cells and pack its curves.

    Parameters
    ----------
    model : WallModel
        The wall.
    scale : float
        Factor on all cell sizes.

    Returns
    -------
    Grid
    """
    cells = [
        layer_cells(layer.thickness, scale, spacing_of(layer.table, model.physics)) for layer in model.layers
    ]
    size = np.concatenate([[0.0], *cells, [0.0]])
    depth = np.cumsum(size) - size / 2
    counts = [len(part) for part in cells]
    inner = np.repeat(np.arange(len(cells)), counts)
    layer = np.concatenate([inner[:1], inner, inner[-1:]])

    tables, rows = _pack_tables([item.table for item in model.layers])
    capacity = np.array([item.table.density * item.table.specific_heat for item in model.layers])
    film, open_face, film_s_d = _place_films(model.films, counts, len(size))
    contact = np.zeros(len(size) - 1)
    contact[np.cumsum(counts[:-1], dtype=np.int64)] = [item.contact_resistance for item in model.layers[1:]]
    return Grid(
        size=size,
        depth=depth,
        layer=layer,
        table=rows[layer],
        film=film,
        open=open_face,
        contact=contact,
        heat_capacity=capacity[layer] * size,
        tables=tables,
        film_s_d=film_s_d,
    )


def spacing_of(curve: CurveTable, physics: PhysicsOptions) -> Spacing:
    """Return how cells grow in a material.

    Wetting fronts form where liquid can carry more water than vapour, from full to dry. Where water freezes,
    fronts are steep in any material and at any depth.
    """
    pressure = saturation_pressure(REFERENCE_TEMPERATURE)
    vapour = air_permeability(REFERENCE_TEMPERATURE, *PERMEABILITY_STANDARD) * pressure
    fronts = curve.flux_potential[0] * curve.resistance_factor.max() > vapour
    spacing = CAPILLARY if fronts else HYGROSCOPIC if curve.moves_liquid else NO_LIQUID
    return replace(spacing, steep_until=LARGEST_CELL) if physics.ice else spacing


def _pack_tables(curves: list[CurveTable]) -> tuple[FloatArray, IntArray]:
    """Pack each distinct table once; return them and the row of each layer."""
    distinct: list[CurveTable] = []
    rows = []
    for curve in curves:
        known = next((i for i, other in enumerate(distinct) if other is curve), None)
        if known is None:
            distinct.append(curve)
            known = len(distinct) - 1
        rows.append(known)
    return np.stack([_pack_table(curve) for curve in distinct]), np.array(rows)


def _pack_table(curve: CurveTable) -> FloatArray:
    packed = np.empty((len(LOG_SUCTION), 2 * len(CURVES)))
    for column, name in enumerate(CURVES):
        values = 1.0 / curve.conductivity if name == "resistivity" else getattr(curve, name)
        packed[:, 2 * column] = values
        packed[:-1, 2 * column + 1] = np.diff(values) / np.diff(LOG_SUCTION)
        packed[-1, 2 * column + 1] = 0.0
    return packed


def _place_films(
    films: tuple[Film, ...], counts: list[int], nodes: int
) -> tuple[IntArray, FloatArray, FloatArray]:
    """Put thin layers on faces; those that share a place act in series."""
    face_of = np.concatenate([[0], np.cumsum(counts)])
    film = np.full(nodes - 1, -1)
    open_face = np.ones(nodes - 1)
    s_d: list[FloatArray] = []
    for item in films:
        face = face_of[item.position]
        if film[face] < 0:
            film[face] = len(s_d)
            s_d.append(np.array(item.s_d, dtype=float))
        else:
            s_d[film[face]] = s_d[film[face]] + item.s_d
        if not item.liquid_open:
            open_face[face] = 0.0
    return film, open_face, np.stack(s_d) if s_d else np.zeros((1, 101))
