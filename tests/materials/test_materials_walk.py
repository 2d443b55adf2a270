"""Every material of the library, against what its kind of material can be."""

import numpy as np
import pytest

from hygro.materials import list_films, list_materials, load_film, load_material
from hygro.materials.document import resistance_at
from hygro.materials.liquid import AbsorptionDiffusivity, NoLiquid

GENERIC = [name for name in list_materials() if load_material(name).group != "published cases"]

# Ranges of density [kg/m3], dry conductivity [W/(m K)] and mu at 50 % of each shelf; common knowledge of the
# trade, drawn wide: they catch a slip of the point, not a doubtful value.
RANGES = {
    "bricks": ((1200, 2400), (0.3, 1.5), (5, 150)),
    "stones": ((1400, 3000), (0.5, 4.0), (10, 12000)),
    "concrete and blocks": ((300, 2500), (0.1, 2.5), (3, 200)),
    "earth": ((200, 2200), (0.05, 1.5), (2, 20)),
    "mortars, plasters and renders": ((700, 2100), (0.15, 1.6), (5, 150)),
    "insulating plasters": ((150, 1000), (0.02, 0.3), (3, 15)),
    "wood-fibre and plant insulation": ((15, 550), (0.03, 0.13), (1, 16)),
    "mineral insulation": ((15, 400), (0.015, 0.1), (1, 1.1e6)),
    "foams and vacuum panels": ((10, 220), (0.004, 0.05), (20, 1e6)),
    "timber and boards": ((300, 1300), (0.08, 0.4), (2, 350)),
}

# Density of the solid without pores [kg/m3]: clay, quartz, calcite, cement stone and gypsum lie in here; open
# porosity leaves out closed pores, so light plasters and foams lie lower.
MINERAL = {
    "bricks": (2350, 2900),
    "stones": (2400, 2950),
    "concrete and blocks": (2100, 2800),
    "earth": (1300, 2750),
}
PLANT = {"timber and boards": (1450, 2750), "wood-fibre and plant insulation": (100, 1650)}


@pytest.mark.parametrize("name", GENERIC)
def test_values_lie_in_the_range_of_their_shelf(name):
    material = load_material(name)
    density, conductivity, resistance = RANGES[material.group]
    assert density[0] <= material.density <= density[1]
    assert conductivity[0] <= material.conductivity_dry <= conductivity[1]
    assert resistance[0] <= resistance_at(material, 0.5) <= resistance[1]
    assert 750.0 <= material.specific_heat <= 2400.0


@pytest.mark.parametrize("name", GENERIC)
def test_density_and_porosity_leave_a_solid_that_exists(name):
    material = load_material(name)
    solid = material.density / (1.0 - material.porosity)
    low, high = {**MINERAL, **PLANT}.get(material.group, (0.0, 3000.0))
    assert low <= solid <= high
    assert material.porosity >= material.saturation / 1000.0 - 1e-9


@pytest.mark.parametrize("name", list_materials())
def test_curves_run_one_way(name):
    material = load_material(name)
    table = material.table()
    assert np.all(np.diff(table.water_content) < 0.0)
    assert np.all(np.diff(table.flux_potential) <= 0.0)
    assert np.all(np.diff(material.heat.conductivity(np.linspace(0.0, material.saturation, 50))) >= 0.0)
    humidity = np.linspace(0.01, 0.99, 99)
    water = material.water_content(humidity)
    assert np.all(np.diff(water) > 0.0)
    if material.group != "published cases":  # the pore-air form of one of them shuts as pores fill
        mu = material.vapour.resistance_factor(humidity, water)
        assert np.all(np.diff(mu) <= 1e-9 * mu[1:]), (
            "damp air meets less resistance than dry air in a cup test"
        )


@pytest.mark.parametrize("name", GENERIC)
def test_liquid_moves_only_by_a_coefficient_that_is_known(name):
    material = load_material(name)
    if isinstance(material.liquid, NoLiquid):
        assert material.absorption_coefficient is None
    else:
        assert isinstance(material.liquid, AbsorptionDiffusivity)
        assert material.liquid.absorption_coefficient == material.absorption_coefficient
        source = material.source("absorption_coefficient")
        assert source.low is not None or source.kind in ("published", "derived")
        filling = material.free_saturation**2 / material.absorption_coefficient**2  # s, of one metre
        assert filling > 3600.0, "a metre of it would fill in an hour"


@pytest.mark.parametrize("name", GENERIC)
def test_sorption_is_that_of_its_stuff(name):
    """By mass at 80 %: mineral up to 6 %, wood and plants 5 to 20 %."""
    material = load_material(name)
    percent = 100.0 * material.water_content(0.8) / material.density
    if material.timber:
        assert 8.0 <= percent <= 20.0
    elif material.group in ("bricks", "stones", "concrete and blocks", "mineral insulation"):
        assert percent <= 10.0
    else:
        assert percent <= 25.0


@pytest.mark.parametrize("name", GENERIC)
def test_names_and_words_are_generic(name):
    material = load_material(name)
    assert name == name.lower()
    assert set(name) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")
    words = " ".join([material.title, material.description, *(source.source for source in material.sources)])
    assert not set("®™©") & set(words)


@pytest.mark.parametrize("name", list_films())
def test_films_open_up_with_humidity_if_at_all(name):
    film = load_film(name)
    assert np.all(np.diff(film.s_d) <= 0.0)
    assert film.title
    assert film.description
    assert film.sources[0].low is not None
    assert film.sources[0].spread
