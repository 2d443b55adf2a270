"""Walls drawn by hypothesis: one to eight layers of the library and of random materials, in rough weather."""

from dataclasses import replace
from functools import cache

import numpy as np
from hypothesis import strategies as st
from witness_walls import FILMS, indoors, outdoors, random_material

from hygro.materials import list_materials, load_film, load_material
from hygro.materials.tables import LOG_SUCTION
from hygro.model.boundary import constant_boundary
from hygro.model.wall import Film, Layer, WallModel
from hygro.physics.moist_air import suction

MOST_LAYERS = 8
START_TEMPERATURE = 283.15
START = np.datetime64("2001-01-01T00")


@cache
def table(material):
    """Curves of a library material by name, or of a random one by number."""
    if isinstance(material, str):
        return load_material(material).table()
    return random_material(np.random.default_rng(material), f"random {material}").table()


@cache
def film(name):
    return load_film(name)


MATERIALS = st.one_of(st.sampled_from(list_materials()), st.integers(0, 40))
THICKNESS = st.integers(5, 150).map(lambda pieces: pieces * 2e-3)  # 10 to 300 mm
HUMIDITY = st.floats(0.35, 0.97)
LAYER = st.tuples(MATERIALS, THICKNESS, HUMIDITY)


def layers_of(drawn):
    """Layers as the solver takes them."""
    return tuple(
        Layer(f"layer {k}", table(m), d, START_TEMPERATURE, float(suction(phi, START_TEMPERATURE)))
        for k, (m, d, phi) in enumerate(drawn)
    )


WALL = st.tuples(
    st.lists(LAYER, min_size=1, max_size=MOST_LAYERS),
    st.lists(st.tuples(st.integers(0, MOST_LAYERS), st.sampled_from(FILMS)), max_size=3),
    st.integers(0, 2**20),
)
"""Layers (material, thickness, humidity), films (position, name), seed of the weather."""

AT_REST = st.tuples(
    st.lists(LAYER, min_size=1, max_size=MOST_LAYERS),
    st.floats(265.0, 303.0),
    st.floats(0.2, 0.97),
    st.floats(5.0, 30.0),
    st.floats(1e-8, 2e-7),
)
"""Layers, temperature, humidity, coefficients of heat and vapour."""


def wall_of(drawn, hours=48):
    """A wall with films here and there, in frost, sun, showers and storms."""
    pieces, placed, seed = drawn
    films = [(min(position, len(pieces)), film(name)) for position, name in placed]
    rng = np.random.default_rng(seed)
    return WallModel(
        layers_of(pieces),
        tuple(Film(item.name, position, item.s_d, item.liquid_open) for position, item in films),
        outdoors(rng, hours),
        indoors(rng, hours),
        START,
    )


def wall_at_rest(drawn, hours=48):
    """A wall of one temperature and humidity between airs of the same."""
    pieces, temperature, humidity, heat, vapour = drawn
    air = constant_boundary(
        hours=hours,
        temperature=temperature,
        relative_humidity=humidity,
        heat_coefficient=heat,
        vapour_coefficient=vapour,
    )
    rest = float(suction(humidity, temperature))
    layers = [
        replace(item, initial_temperature=temperature, initial_suction=rest) for item in layers_of(pieces)
    ]
    return WallModel(tuple(layers), (), air, air, START)


def may_overflow(model, grid):
    """Cells in which condensate may stand beyond the pore space: no liquid can leave them on some side."""
    cells = grid.table[1:-1]
    still = np.array([not t[:, 2].any() for t in grid.tables])[cells]
    closed = grid.open == 0.0
    beside = closed[:-1] | closed[1:]
    # A neighbour without liquid blocks as a film does.
    neighbour = np.zeros(len(still), dtype=bool)
    neighbour[1:] |= still[:-1]
    neighbour[:-1] |= still[1:]
    return still | beside | neighbour


__all__ = ["AT_REST", "LOG_SUCTION", "WALL", "layers_of", "may_overflow", "table", "wall_at_rest", "wall_of"]
