"""A case of wet coats that takes moments: draft accuracy, the old wall as its layers say."""

from pathlib import Path

CLIMATE = Path(__file__).parents[1] / "climate" / "sheltered-inland.csv"

TEXT = f"""\
title = "Coats [invented]"

[site]
weather = "{CLIMATE.as_posix()}"
elevations = ["SW"]

[room]
climate = "constant"
temperature_C = 20
relative_humidity_percent = 50

[wall]
initial_relative_humidity_percent = 70
[[wall.layer]]
name = "brick"
material = "solid-brick"
thickness_mm = 225

[[build_up]]
name = "plaster"
[[build_up.layer]]
name = "insulation"
material = "insulating-lime-plaster"
thickness_mm = 30
coats = 2
[[build_up.layer]]
film = "vapour-open-paint"

[programme]
starts = ["05-01"]
wall_starts = "initial"

[run]
accuracy = "draft"
"""
