"""A study that takes moments: three days of a brick wall, bare and with two thicknesses of wood fibre."""

from __future__ import annotations

from pathlib import Path

CLIMATE = Path(__file__).parent.parent / "climate" / "sheltered-inland.csv"

SLUGS = ["bare-wall-SW", "wood-fibre-020mm-SW", "wood-fibre-060mm-SW"]

TEXT = f"""\
title = "Three days of a wall [invented]"

[site]
weather = "{CLIMATE.as_posix()}"
elevations = ["SW"]

[room]
climate = "EN 15026 normal"

[wall]
[[wall.layer]]
name = "brick"
material = "solid-brick"
thickness_mm = 225

[[build_up]]
name = "wood fibre"
[[build_up.layer]]
name = "insulation"
material = "wood-fibre-rigid"
thickness_mm = [20, 60]

[run]
hours = 72
accuracy = "draft"
"""


def write_study(folder: Path, text: str = TEXT) -> Path:
    """Write the case file into a folder and return where it is."""
    path = folder / "tiny.toml"
    path.write_text(text, encoding="utf-8")
    return path
