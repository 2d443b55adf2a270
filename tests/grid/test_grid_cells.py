"""Cells fill their layers, are fine where things happen, and films sit where they were put."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from solver_walls import constant_boundary, film, layer, plain_material, wall

from hygro.grid.cells import CURVES, build_grid, spacing_of
from hygro.grid.spacing import CAPILLARY, HYGROSCOPIC, LARGEST_CELL, NO_LIQUID, layer_cells
from hygro.materials import load_material
from hygro.materials.tables import LOG_SUCTION
from hygro.model.wall import PhysicsOptions

THICKNESS = st.floats(1e-3, 2.0)
SCALE = st.sampled_from([4.0, 2.0, 1.0, 0.5, 0.25])


@given(THICKNESS, SCALE)
@settings(max_examples=60, deadline=None, derandomize=True)
def test_cells_fill_the_layer_and_mirror(thickness, scale):
    cells = layer_cells(thickness, scale)
    assert cells.sum() == pytest.approx(thickness, rel=1e-12)
    assert np.array_equal(cells, cells[::-1])
    assert len(cells) >= 2
    assert cells.min() > 0.0


@given(THICKNESS, SCALE, st.sampled_from([CAPILLARY, HYGROSCOPIC, NO_LIQUID]))
@settings(max_examples=60, deadline=None, derandomize=True)
def test_cells_stay_within_their_bounds(thickness, scale, spacing):
    """No cell is above the stated sizes, faces carry the finest, and sizes rise towards the middle."""
    cells = layer_cells(thickness, scale, spacing)
    assert cells[0] <= spacing.first * scale * (1 + 1e-12)
    assert cells.max() <= LARGEST_CELL * scale * (1 + 1e-12)
    half = cells[: len(cells) // 2]
    assert np.all(np.diff(half) >= -1e-15)


def test_cells_are_finer_where_condensate_stays():
    """A material that no liquid moves in keeps what condenses at its face in its first cell."""
    grid = build_grid(three_layers(middle="mineral-wool"))
    first = [grid.size[1:-1][grid.layer[1:-1] == k][0] for k in range(3)]
    assert first[1] <= NO_LIQUID.first < first[0] <= CAPILLARY.first
    assert first[2] == pytest.approx(first[0], rel=0.2)


@pytest.mark.parametrize(
    ("name", "spacing"),
    [
        ("solid-brick", CAPILLARY),
        ("limestone", CAPILLARY),
        ("insulating-lime-plaster", CAPILLARY),
        ("wood-fibre-rigid", HYGROSCOPIC),
        ("wood-fibre-flexible", NO_LIQUID),
        ("mineral-wool", NO_LIQUID),
    ],
)
def test_cells_grow_slowly_where_fronts_form(name, spacing):
    """Liquid over vapour from full to dry: thousands in masonry, less than one in wood fibre."""
    curve = load_material(name).table()
    assert spacing_of(curve, PhysicsOptions()) == spacing
    # A freezing front is steep whatever carries the water.
    cold = spacing_of(curve, PhysicsOptions(ice=True))
    assert (cold.first, cold.steep_until) == (spacing.first, LARGEST_CELL)


@pytest.mark.parametrize("thickness", [0.01, 0.1, 0.5, 2.0])
def test_half_the_scale_twice_the_cells(thickness):
    """Halving the scale halves sizes everywhere.

    The count doubles, but for the rounding of one cell at each face.
    """
    counts = [len(layer_cells(thickness, scale)) for scale in (1.0, 0.5, 0.25)]
    assert counts[1] == pytest.approx(2 * counts[0], abs=4)
    assert counts[2] == pytest.approx(2 * counts[1], abs=4)
    coarse, fine = layer_cells(thickness, 1.0), layer_cells(thickness, 0.5)
    at = thickness / 3.0
    sizes = [cells[np.searchsorted(np.cumsum(cells), at)] for cells in (coarse, fine)]
    assert 1.0 < sizes[0] / sizes[1] < 4.0


def three_layers(films=(), middle="lime-plaster"):
    brick, plaster = load_material("solid-brick"), load_material(middle)
    air = constant_boundary(
        hours=1, temperature=283.15, relative_humidity=0.5, heat_coefficient=8.0, vapour_coefficient=1e-8
    )
    layers = [layer(brick, 0.2), layer(plaster, 0.02), layer(brick, 0.1)]
    return wall(layers, air, air, films)


def test_nodes_of_a_wall():
    """A surface node without size at each end; centres of cells between; layers and tables in order."""
    grid = build_grid(three_layers())
    assert grid.size[0] == grid.size[-1] == 0.0
    assert grid.depth[0] == 0.0
    assert grid.depth[-1] == pytest.approx(0.32, rel=1e-12)
    assert np.all(np.diff(grid.depth) > 0.0)
    edges = np.concatenate([[0.0], np.cumsum(grid.size[1:-1])])
    assert grid.depth[1:-1] == pytest.approx((edges[1:] + edges[:-1]) / 2, rel=1e-12)
    for index, thickness in enumerate((0.2, 0.02, 0.1)):
        assert grid.size[grid.layer == index].sum() == pytest.approx(thickness, rel=1e-12)
    assert np.all(np.diff(grid.layer) >= 0)
    # The same brick twice is one table.
    assert len(grid.tables) == 2
    assert set(grid.table[grid.layer == 0]) == set(grid.table[grid.layer == 2])


def test_heat_capacity_of_nodes():
    grid = build_grid(three_layers())
    brick = load_material("solid-brick")
    total = grid.heat_capacity[grid.layer == 0].sum()
    assert total == pytest.approx(0.2 * brick.density * brick.specific_heat, rel=1e-12)


@pytest.mark.parametrize(("position", "between"), [(0, (-1, 0)), (1, (0, 1)), (2, (1, 2)), (3, (2, -1))])
def test_films_sit_where_they_were_put(position, between):
    """Position 0 is the external surface, the number of layers the internal one."""
    grid = build_grid(three_layers([film(position, 0.7)]))
    (face,) = np.flatnonzero(grid.film >= 0)
    outer, inner = between
    assert grid.open[face] == 0.0
    assert grid.open.sum() == grid.nodes - 2
    assert (grid.size[face] == 0.0) == (outer == -1)
    assert (grid.size[face + 1] == 0.0) == (inner == -1)
    if outer >= 0:
        assert grid.layer[face] == outer
    if inner >= 0:
        assert grid.layer[face + 1] == inner
    assert np.all(grid.film_s_d[grid.film[face]] == 0.7)


def test_films_at_one_place_act_in_series():
    """Resistances add, also where they follow humidity; one closed film closes the place."""
    films = [
        film(1, 0.5, liquid_open=True),
        film(1, lambda phi: 1.0 + phi, liquid_open=False),
        film(0, 0.1, liquid_open=True),
    ]
    grid = build_grid(three_layers(films))
    face = np.flatnonzero(grid.layer[1:-1] == 0)[-1] + 1
    assert grid.film_s_d[grid.film[face]] == pytest.approx(1.5 + np.linspace(0, 1, 101))
    assert grid.open[face] == 0.0
    assert grid.open[0] == 1.0
    assert grid.film[0] >= 0
    assert (grid.film >= 0).sum() == 2


def test_packed_curves_are_linear_between_nodes():
    """Value plus slope times distance gives the next value; the material's curves come back."""
    material = plain_material("x", resistance=7.0)
    air = constant_boundary(
        hours=1, temperature=283.15, relative_humidity=0.5, heat_coefficient=8.0, vapour_coefficient=1e-8
    )
    grid = build_grid(wall([layer(material, 0.1)], air, air))
    table = grid.tables[0]
    for column in range(len(CURVES)):
        value, slope = table[:, 2 * column], table[:, 2 * column + 1]
        assert value[:-1] + slope[:-1] * np.diff(LOG_SUCTION) == pytest.approx(
            value[1:], rel=1e-12, abs=1e-12
        )
    assert np.array_equal(table[:, 0], material.table().water_content)
    assert np.array_equal(table[:, 2], material.table().flux_potential)
    assert np.all(table[:, 4] == 7.0)
