"""The monthly method for a case: means, layers, names."""

from __future__ import annotations

import numpy as np
import pytest
from small_case import TEXT

from hygro.errors import ClimateError
from hygro.materials import load_film, load_material
from hygro.model.steady import steady_condensation
from hygro.physics.moist_air import saturation_pressure
from hygro.scores.steady_u import u_value

SLUG = "wood-fibre-rigid-080mm-SW"


@pytest.fixture(scope="module")
def insulated(read_in_weather):
    case = read_in_weather()
    return steady_condensation(case, case.variant(SLUG))


def test_layers_have_dry_conductivity_and_resistance_factor(insulated):
    # Every material of the small case has 0.6 W/(m K) and a factor of 10; the paint has an s_d of 0.1 m.
    assert [layer.name for layer in insulated.layers] == ["brick", "plaster", "plaster (2)", "fibre", "paint"]
    assert [layer.s_d for layer in insulated.layers] == pytest.approx([2.25, 0.15, 0.1, 0.8, 0.1])
    resistances = [0.375, 0.025, 0.01 / 0.6, 0.08 / 0.6, 0.0]
    assert [layer.resistance for layer in insulated.layers] == pytest.approx(resistances)


def test_vapour_resistances_are_taken_at_half_humidity(read_in_weather):
    text = TEXT.replace('film = "paint"', 'film = "membrane-humidity-dependent"')
    case = read_in_weather(text.replace('material = "fibre"', 'material = "wood-fibre-rigid"'))
    *_, board, membrane = steady_condensation(case, case.variant(SLUG)).layers
    assert membrane.s_d == load_film("membrane-humidity-dependent").s_d[50]
    # Half way between the cups in permeability.
    cups = load_material("wood-fibre-rigid").vapour
    assert board.s_d == pytest.approx(0.080 * 2.0 / (1.0 / cups.dry + 1.0 / cups.wet))


def test_u_value_is_that_of_the_score(insulated):
    thickness = np.array([0.225, 0.015, 0.010, 0.080])
    assert insulated.thermal_transmittance == pytest.approx(u_value(thickness, np.full(4, 0.6)))


def test_months_are_means_of_the_weather(insulated):
    # The weather is 19 degC in January and a degree colder each month, at 80 %.
    outdoors = 292.15 - np.arange(12)
    assert insulated.climate.external_temperature == pytest.approx(outdoors)
    assert insulated.climate.external_pressure == pytest.approx(0.8 * saturation_pressure(outdoors))
    # EN 15026, normal: 24.5 degC and 59 % where it is 19 degC outdoors.
    assert insulated.climate.internal_temperature[0] == pytest.approx(297.65)
    assert insulated.climate.internal_pressure[0] == pytest.approx(0.59 * saturation_pressure(297.65))


def test_planes_are_named_and_thick_layers_cut(insulated):
    assert insulated.planes == (
        "external surface",
        "brick, 112 mm from its outer face",
        "brick | plaster",
        "plaster | plaster (2)",
        "plaster (2) | fibre",
        "fibre | paint",
        "internal surface",
    )
    assert insulated.balance.amount.shape == (12, 7)


def test_a_start_month_moves_no_mean(read_in_weather, insulated):
    case = read_in_weather(TEXT + "\n[run]\nstart_month = 5\n")
    moved = steady_condensation(case, case.variant(SLUG))
    assert moved.climate.external_temperature == pytest.approx(insulated.climate.external_temperature)


def test_the_elevation_does_not_matter(read_in_weather, insulated):
    case = read_in_weather()
    north = steady_condensation(case, case.variant(SLUG.replace("SW", "N")))
    assert north.balance.amount.tolist() == insulated.balance.amount.tolist()


AIR = (
    'kind = "constant"\ntemperature_C = {}\nrelative_humidity_percent = {}\nheat_coefficient_W_m2K = 8\n'
    "vapour_coefficient_kg_m2sPa = 2e-8\n"
)


def test_prescribed_air_serves_as_well(prescribed):
    case = prescribed(AIR.format(-5, 80), AIR.format(20, 50))
    found = steady_condensation(case, case.variants()[0])
    assert found.climate.external_temperature == pytest.approx([268.15] * 12)
    assert found.climate.internal_pressure == pytest.approx([0.5 * saturation_pressure(293.15)] * 12)
    assert found.wet_planes == []


def test_a_prescribed_surface_is_refused(prescribed):
    fixed = 'kind = "fixed"\ntemperature_C = 30\nrelative_humidity_percent = 95\n'
    case = prescribed(fixed, AIR.format(20, 50))
    with pytest.raises(ClimateError, match=r"\[external\]: monthly means need air"):
        steady_condensation(case, case.variants()[0])


def test_less_than_a_year_is_refused(prescribed):
    case = prescribed(AIR.format(-5, 80), AIR.format(20, 50), "[run]\nhours = 48\n")
    with pytest.raises(ClimateError, match="whole year, found '48 h'"):
        steady_condensation(case, case.variants()[0])
