"""One insulated brick wall in synthetic rain, which most tests of the march share."""

from functools import cache

from solver_walls import layer, run, synthetic_climate, wall

from hygro.materials import load_material

LAYERS = (("solid-brick", 0.2), ("lime-mortar", 0.01), ("calcium-silicate", 0.06), ("lime-plaster", 0.01))


def insulated(hours, rain=True, films=(), seed=7):
    """Brick, mortar, capillary-active insulation, plaster."""
    outside, inside = synthetic_climate(hours, seed, rain)
    layers = [layer(load_material(name), thickness, 283.15, 0.8) for name, thickness in LAYERS]
    return wall(layers, outside, inside, films)


@cache
def rainy_run(hours=1200, accuracy="standard", **settings):
    """March it once for all who only look."""
    return run(insulated(hours), accuracy=accuracy, **settings)
