"""Does the year that an index calls wet leave a wall wet? And does a made year wet it as a measured one?"""

import numpy as np
import pytest
from scipy.stats import spearmanr

import hygro
from hygro.climate import SiteFactors, load_weather
from hygro.climate.csv_writer import write_weather
from hygro.climate.normals import normals_of
from hygro.climate.stochastic import write_generated
from hygro.climate.years import chosen_year, stitched, year_figures

YEARS = 12
SITE = SiteFactors(terrain="III", wall_factor=0.3)
WALLS = {
    "brick": ("solid-brick", 225, "wood-fibre-rigid", 80),
    "sandstone": ("sandstone", 450, "calcium-silicate", 60),
}
CASE = """\
title = "one wall, one year again and again"
bare_wall = false
[site]
weather = "{weather}"
elevations = ["SW"]
terrain = "III"
wall_factor = 0.3
{obstruction}
[room]
climate = "EN 15026 normal"
[wall]
[[wall.layer]]
name = "old wall"
material = "{masonry}"
thickness_mm = {thick}
[[wall.layer]]
name = "old plaster"
material = "lime-plaster"
thickness_mm = 15
[[build_up]]
name = "inside"
[[build_up.layer]]
name = "insulation"
material = "{insulation}"
thickness_mm = {thickness}
[[build_up.layer]]
name = "finish"
material = "lime-plaster"
thickness_mm = 8
[run]
years = 3
"""


def interface_humidity(folder, weather, wall, obstruction=""):
    """Mean humidity of the outer side of the insulation in the third year [%]."""
    masonry, thick, insulation, thickness = WALLS[wall]
    path = folder / "case.toml"
    path.write_text(
        CASE.format(
            weather=weather, masonry=masonry, thick=thick, insulation=insulation, thickness=thickness,
            obstruction=obstruction,
        )
    )  # fmt: skip
    result = hygro.simulate(hygro.load_case(path))
    place = next(name for name in result["place"].to_numpy() if name.endswith("| insulation"))
    return 100.0 * float(result["relative_humidity"].sel(place=place)[-8760:].mean())


@pytest.mark.slow
@pytest.mark.parametrize("wall", WALLS)
def test_wet_years_by_index_are_wet_years_in_the_wall(inland, tmp_path, wall):
    """Rank correlation is 0.93 to 0.97 in docs/site.md; of twelve, 0.71 is beyond chance at 1 %."""
    made = load_weather(write_generated(normals_of(inland), tmp_path / "made.csv", YEARS, 7))
    figures = year_figures(made, 225.0, SITE)
    humidity = []
    for year in figures:
        path = write_weather(stitched(made, [year.position]), tmp_path / f"{year.year}.csv")
        humidity.append(interface_humidity(tmp_path, path, wall))
    assert spearmanr([year.climatic_index for year in figures], humidity).statistic > 0.71
    assert spearmanr([year.driving_rain for year in figures], humidity).statistic > 0.71
    order = np.argsort(humidity)[::-1]
    severe = chosen_year(figures, "severe").position
    assert severe in order[:3]
    assert chosen_year(figures, "driest").position in order[-3:]


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "wall"),
    [
        ("vlissingen_coast_2023.csv", "brick"),
        ("vlissingen_coast_2023.csv", "sandstone"),
        ("arcen_sheltered_2023.csv", "brick"),
        ("arcen_sheltered_2023.csv", "sandstone"),
    ],
)
def test_a_measured_year_wets_the_wall_as_one_of_the_made_years_does(measured, tmp_path, name, wall):
    weather = measured(name)
    made = load_weather(write_generated(normals_of(weather), tmp_path / "made.csv", 8, 3))
    real = write_weather(weather, tmp_path / "real.csv")
    found = [
        interface_humidity(
            tmp_path,
            write_weather(stitched(made, [year]), tmp_path / f"{year}.csv"),
            wall,
            "obstruction = 0.5",
        )
        for year in range(8)
    ]
    assert min(found) < interface_humidity(tmp_path, real, wall, "obstruction = 0.5") < max(found)
