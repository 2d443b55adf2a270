"""A small valid case with materials made in Python, so that tests stand without the library."""

from __future__ import annotations

from hygro.materials import Material, ThinLayer

TEXT = """\
title = "A wall"

[site]
weather = "weather.csv"
elevations = ["SW", "N"]

[room]
climate = "EN 15026 normal"

[wall]
[[wall.layer]]
material = "brick"
thickness_mm = 225
[[wall.layer]]
material = "plaster"
thickness_mm = 15

[[build_up]]
name = "Wood fibre, rigid"
[[build_up.layer]]
material = "plaster"
thickness_mm = 10
[[build_up.layer]]
material = "fibre"
thickness_mm = [40, 80]
[[build_up.layer]]
film = "paint"
"""


def simple_material(name: str, density: float = 1600.0) -> Material:
    """Make a material whose water content is 200 times the humidity, up to 200 kg/m3."""
    return Material.from_curves(
        name=name,
        density=density,
        specific_heat=1000.0,
        conductivity_dry=0.6,
        porosity=0.3,
        free_saturation=200.0,
        storage=([0.0, 0.5, 1.0], [0.0, 100.0, 200.0]),
        vapour=10.0,
    )


def simple_materials() -> dict[str, Material]:
    """Make the materials of the case."""
    return {name: simple_material(name) for name in ("brick", "plaster", "fibre")}


def simple_films() -> dict[str, ThinLayer]:
    """Make the films of the case."""
    return {"paint": ThinLayer.from_resistance("paint", 0.1, liquid_open=False)}
