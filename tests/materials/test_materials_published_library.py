"""The figures of the sources, typed a second time, against the larger part of the library."""

import numpy as np
import pytest

from hygro.materials import list_films, load_film, load_material
from hygro.materials.document import resistance_at

EXACT = [
    # Cabeza-Prieto et al. 2022, table of six lots: density, dry conductivity, uptake.
    ("brick-hand-made-conductive", "density", 1730),
    ("brick-hand-made-conductive", "conductivity_dry", 0.91),
    ("brick-hand-made-conductive", "free_saturation", 245),
    ("brick-extruded-old", "free_saturation", (253 + 237) / 2),
    ("brick-extruded-old", "conductivity_dry", (0.84 + 0.93) / 2),
    # Pavia and Lynch 2003: open porosity.
    ("brick-gault", "porosity", 0.385),
    ("brick-marl", "porosity", 0.246),
    ("brick-semi-dry-pressed", "porosity", 0.348),
    ("brick-stock-yellow", "porosity", 0.489),
    ("brick-soft-rubber", "porosity", 0.399),
    # Jespersen 1952.
    ("brick-pressed-old", "conductivity_dry", 0.77),
    ("brick-light-1400", "conductivity_dry", 0.45),
    ("brick-light-1300", "conductivity_dry", 0.38),
    ("brick-sand-lime", "conductivity_dry", 1.0),
    # Brick Institute of America 1981.
    ("brick-facing-dense", "density", 2083),
    ("brick-facing-dense", "conductivity_dry", 1.3),
    ("brick-facing-dense", "specific_heat", 1005),
    # EN 1745 / Th-U classes.
    ("limestone-very-soft", "conductivity_dry", 0.85),
    ("limestone-firm", "conductivity_dry", 1.4),
    ("limestone-hard", "conductivity_dry", 1.7),
    ("limestone-extra-hard", "conductivity_dry", 2.3),
    ("sandstone-calcareous", "conductivity_dry", 1.9),
    ("granite", "conductivity_dry", 2.8),
    ("marble", "conductivity_dry", 3.5),
    ("slate", "conductivity_dry", 2.2),
    ("basalt", "conductivity_dry", 1.6),
    ("lava-porous", "conductivity_dry", 0.55),
    ("millstone-light", "conductivity_dry", 0.9),
    ("millstone-heavy", "conductivity_dry", 1.8),
    # EN ISO 10456:2007, table 3.
    ("concrete-dense-2400", "conductivity_dry", 2.0),
    ("gypsum-insulating-plaster", "conductivity_dry", 0.18),
    ("plasterboard-900", "conductivity_dry", 0.25),
    ("plywood-500", "conductivity_dry", 0.13),
    ("plywood-700", "conductivity_dry", 0.17),
    ("osb", "conductivity_dry", 0.13),
    ("osb", "specific_heat", 1700),
    ("particleboard", "conductivity_dry", 0.14),
    ("fibreboard-600", "conductivity_dry", 0.14),
    ("hardboard-800", "conductivity_dry", 0.18),
    ("cement-bonded-particleboard", "conductivity_dry", 0.23),
    ("oak", "conductivity_dry", 0.18),
    # EN ISO 10456:2007, table 4.
    ("polystyrene-expanded", "specific_heat", 1450),
    ("polystyrene-extruded", "specific_heat", 1450),
    ("phenolic-foam", "specific_heat", 1400),
    ("cellular-glass", "specific_heat", 1000),
    # DIN V 4108-4.
    ("lime-cement-plaster", "conductivity_dry", 1.0),
    ("lime-gypsum-plaster", "conductivity_dry", 0.7),
    ("gypsum-plaster-dense", "conductivity_dry", 0.51),
    # Kumaran 2002: density and A.
    ("limestone-dense-2500", "absorption_coefficient", 0.00033),
    ("aerated-concrete-460", "absorption_coefficient", 0.036),
    ("concrete-2200", "absorption_coefficient", 0.018),
    ("cement-stucco-1985", "absorption_coefficient", 0.012),
    ("osb", "absorption_coefficient", 0.0022),
    ("spruce-400", "absorption_coefficient", 0.002),
    ("pine-460", "absorption_coefficient", 0.0066),
    ("softwood-along-grain", "absorption_coefficient", 0.0096),
    ("cellulose-loose", "absorption_coefficient", 0.1),
    # Kumaran 1996.
    ("concrete-2200", "free_saturation", 110),
    # Nevander and Elmarsson 1994.
    ("cement-render", "absorption_coefficient", 0.03),
    # CIBSE 2006 in ASHRAE table 1.
    ("perlite-plaster-600", "conductivity_dry", 0.19),
    # Berge 2000.
    ("lime-render", "conductivity_dry", 0.9),
    ("softwood-along-grain", "conductivity_dry", 0.35),
    # Tuerk 2014, table 50.
    ("flax-fibre", "specific_heat", 1600),
    ("hemp-fibre-loose", "conductivity_dry", 0.048),
    ("wood-shavings", "conductivity_dry", 0.045),
    ("wood-wool-board", "conductivity_dry", 0.09),
    ("coconut-fibre", "conductivity_dry", 0.045),
    ("cork-granulate", "conductivity_dry", 0.05),
    ("reed-board", "conductivity_dry", 0.055),
    ("meadow-grass", "specific_heat", 2200),
    ("cellulose-board", "density", 70),
    ("straw-bale", "specific_heat", 2000),
    # Trade press on jute.
    ("jute-fibre", "specific_heat", 2350),
]


@pytest.mark.parametrize(("name", "key", "expected"), EXACT)
def test_value_is_the_one_in_its_source(name, key, expected):
    material = load_material(name)
    assert getattr(material, key) == pytest.approx(expected, rel=1e-12)
    assert material.source(key).kind in ("published", "derived")


AIR = 1.98e-10
"""Permeability of still air in the handbook's conversion [kg/(m s Pa)]."""

PERMEANCE = [
    # ASHRAE Handbook Fundamentals 2021, chapter 26, table 6: thickness [mm], ng/(Pa s m2) at 30, 50, 90 %.
    ("limestone-dense-2500", 25.0, (10, 10, 11)),
    ("aerated-concrete-460", 20.3, (780, 1130, 2460)),
    ("cement-stucco-1985", 14.0, (82, 120, 230)),
    ("concrete-2200", 25.0, (50, 56, 260)),
    ("wood-fibre-board-300", 25.1, (2780, 2900, 3330)),
    ("osb", 10.8, (56, 110, 380)),
    ("spruce-400", 19.5, (55, 160, 1510)),
    ("pine-460", 19.0, (9.4, 35, 540)),
    ("softwood-along-grain", 13.2, (5600, 6400, 7000)),
    ("cellulose-loose", 64.5, (2170, 2420, 2760)),
]


@pytest.mark.parametrize(("name", "thickness_mm", "permeance"), PERMEANCE)
def test_resistance_is_that_of_the_measured_permeance(name, thickness_mm, permeance):
    """Within 2 %: the library rounds the factor to two or three digits."""
    material = load_material(name)
    for humidity, value in zip((0.3, 0.5, 0.9), permeance, strict=True):
        mu = AIR / (value * 1e-12 * thickness_mm * 1e-3)
        assert resistance_at(material, humidity) == pytest.approx(mu, rel=0.02)


CUPS = [
    # Dry and wet cup of EN 1745 / Th-U (Courgey and Oliva) and others.
    ("limestone-very-soft", 30, 20),
    ("limestone-firm", 50, 40),
    ("limestone-hard", 200, 150),
    ("limestone-extra-hard", 250, 200),
    ("sandstone-tight", 40, 30),
    ("sandstone-calcareous", 30, 20),
    ("lava-porous", 20, 15),
    ("millstone-light", 30, 20),
    ("plasterboard-900", 10, 4),
    ("lime-cement-plaster", 35, 15),
    ("light-clay-800", 10, 5),
    ("cork-clay-block", 9, 6),
    ("plywood-500", 200, 70),
    ("plywood-700", 220, 90),
]


@pytest.mark.parametrize(("name", "dry", "wet"), CUPS)
def test_cups_are_those_of_the_source(name, dry, wet):
    material = load_material(name)
    assert resistance_at(material, 0.1) == pytest.approx(dry)
    assert resistance_at(material, 0.9) == pytest.approx(wet)


SORPTION = {
    # ASHRAE Handbook Fundamentals 2021, chapter 26, table 7: relative humidity and water by mass, %.
    "limestone-dense-2500": {88.5: 0.1, 95.3: 0.21, 98.9: 0.5, 99.93: 1.3},
    "aerated-concrete-460": {51: 1.1, 72: 2.1, 88: 5.0, 97.8: 34.0, 99.85: 72.0},
    "concrete-2200": {25: 0.88, 45: 1.15, 65: 1.74, 80: 2.62, 90: 3.35, 98: 4.45},
    "wood-fibre-board-300": {58: 5.7, 79: 9.2, 85: 11.3, 94: 16.4, 97: 24.6},
    "osb": {49: 5.4, 69: 8.2, 89: 14.7, 99.3: 39.0},
    "spruce-400": {50: 4.1, 70: 9.2, 88.5: 16.7},
    "cellulose-loose": {51: 6.1, 72: 9.6, 88: 24.0},
    # Gottfredsen and Nielsen 2000.
    "pine-460": {20: 6.5, 43: 10.0, 65: 13.0, 85: 18.0, 97: 29.0},
    "aerated-concrete-510": {25: 2.6, 45: 3.2, 65: 3.8, 80: 4.8, 90: 6.4, 97: 14.0},
}


@pytest.mark.parametrize("name", SORPTION)
def test_whole_sorption_rows_are_met(name):
    material = load_material(name)
    for humidity, mass_percent in SORPTION[name].items():
        found = 100.0 * material.water_content(humidity / 100.0) / material.density
        assert found == pytest.approx(mass_percent, rel=1e-9), humidity


@pytest.mark.parametrize(
    ("name", "mass_percent"),
    # Regain at 65 % in the textile table: raw and commercial fibre.
    [("jute-fibre", (12.0, 13.75)), ("flax-fibre", (7.0, 12.0)), ("hemp-fibre-loose", (8.0, 12.0))],
)
def test_regain_lies_within_the_textile_table(name, mass_percent):
    material = load_material(name)
    found = 100.0 * material.water_content(0.65) / material.density
    assert mass_percent[0] - 1e-3 <= found <= mass_percent[1] + 1e-3


@pytest.mark.parametrize(
    ("name", "volume_percent", "conductivity"),
    [
        # Jespersen 1952, at 10 % and 20 % by volume.
        ("brick-pressed-old", 10, 1.44),
        ("brick-pressed-old", 20, 1.76),
        ("brick-light-1400", 10, 0.66),
        ("brick-light-1300", 20, 0.90),
        ("brick-sand-lime", 15, 1.75),
        # Cabeza-Prieto et al. 2022, saturated: 2.14 at 24.5 %, 1.79 at 25.3 %.
        ("brick-hand-made-conductive", 24.5, 2.14),
        ("brick-extruded-old", 25.3, 0.885 + (1.79 - 0.84)),
        # Kumaran 1996, 3 % by mass of 2200 kg/m3.
        ("concrete-2200", 6.6, 2.46),
    ],
)
def test_conductivity_grows_with_water_as_measured(name, volume_percent, conductivity):
    found = load_material(name).heat.conductivity(np.array(10.0 * volume_percent))
    assert found == pytest.approx(conductivity, rel=0.02)  # the growth is rounded to two digits


@pytest.mark.parametrize(
    ("key", "least", "greatest", "names"),
    [
        # Willems (ed.) 2022, kg/(m2 h^0.5) over 60.
        ("absorption_coefficient", 5 / 60, 25 / 60, ["solid-brick", "brick-hand-made-conductive"]),
        ("absorption_coefficient", 0.5 / 60, 5 / 60, ["brick-engineering"]),
        ("absorption_coefficient", 2.5 / 60, 10 / 60, ["brick-sand-lime"]),
        ("absorption_coefficient", 2 / 60, 8 / 60, ["aerated-concrete-510", "aerated-concrete-460"]),
        ("absorption_coefficient", 0.5 / 60, 4 / 60, ["lime-cement-plaster"]),
        (
            "absorption_coefficient",
            1.5 / 60,
            15.01 / 60,
            ["sandstone", "sandstone-fast", "sandstone-calcareous"],
        ),
        ("absorption_coefficient", 0.2 / 60, 0.8 / 60, ["resin-render"]),
        # Colinart et al. 2020.
        ("absorption_coefficient", 0.027, 0.135, ["hemp-clay"]),
        ("conductivity_dry", 0.06, 0.12, ["hemp-clay"]),
        # Snow et al. 2024.
        ("porosity", 0.85, 0.92, ["wood-fibre-rigid-110", "wood-fibre-rigid-180"]),
        ("conductivity_dry", 0.038, 0.055, ["wood-fibre-rigid-110", "wood-fibre-rigid-180"]),
        # DETAIL Praxis.
        ("conductivity_dry", 0.045, 0.070, ["perlite-fill", "perlite-board"]),
        ("conductivity_dry", 0.046, 0.070, ["vermiculite-fill"]),
        ("conductivity_dry", 0.017, 0.021, ["aerogel-blanket"]),
        ("conductivity_dry", 0.030, 0.040, ["polystyrene-extruded", "polystyrene-expanded"]),
        ("conductivity_dry", 0.022, 0.040, ["phenolic-foam"]),
        # German insulation atlas, encyclopedia.
        ("conductivity_dry", 0.080, 0.090, ["calcium-silicate-dense"]),
        ("conductivity_dry", 0.040, 0.047, ["mineral-foam"]),
    ],
)
def test_values_keep_to_the_range_of_their_source(key, least, greatest, names):
    for name in names:
        assert least <= getattr(load_material(name), key) <= greatest


@pytest.mark.parametrize(
    "name",
    ["limestone-very-soft", "limestone-firm", "limestone-hard", "limestone-extra-hard", "limestone-oolitic"],
)
def test_limestones_are_calcite_with_pores(name):
    stone = load_material(name)
    assert stone.density == pytest.approx(2710.0 * (1.0 - stone.porosity), rel=2e-3)


FILMS = [
    ("silicate-paint", 0.01, 0.01),
    ("linseed-oil-paint", 0.4, 0.9),
    ("gloss-paint", 2.5, 5.0),
    ("silicone-resin-paint", 0.0, 0.14),  # class V1
    ("distemper", 0.0, 0.14),  # class V1
    ("lacquer-two-part", 1.4, 1e3),  # class V3
    ("polyethylene-150um", 15.0, 70.0),
    ("polyethylene-200um", 90.0, 90.0),
    ("membrane-vapour-barrier", 10.0, 10.0),
    ("wind-barrier", 0.0, 0.5),
    ("bitumen-felt", 200.0, 200.0),
    ("membrane-humidity-dependent-moderate", 0.3, 5.0),
]


@pytest.mark.parametrize(("name", "least", "greatest"), FILMS)
def test_films_keep_to_their_source(name, least, greatest):
    film = load_film(name)
    assert least - 1e-9 <= film.s_d.min() <= film.s_d.max() <= greatest + 1e-9


def test_only_mineral_coats_and_paper_let_water_pass():
    assert {name for name in list_films() if load_film(name).liquid_open} == {
        "limewash",
        "silicate-paint",
        "distemper",
        "clay-paint",
        "wallpaper",
        "wallpaper-paste",
    }


def test_grain_decides_how_fast_wood_takes_water():
    """Along the grain more suction and, at 50 %, a resistance near thirty times less (Kumaran 2002)."""
    along, across = load_material("softwood-along-grain"), load_material("softwood")
    assert along.absorption_coefficient / across.absorption_coefficient == pytest.approx(4.8)
    assert resistance_at(across, 0.5) / resistance_at(along, 0.5) == pytest.approx(27.8, rel=0.01)
