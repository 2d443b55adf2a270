"""Sources, leaks, rain penetration and air layers of a case, against numbers worked out by hand."""

import numpy as np
import pytest
from small_case import TEXT

from hygro.errors import CaseError, ClimateError
from hygro.materials.mixed_air import still_air
from hygro.model.build import build_wall
from hygro.physics.air_flow import leakage, stack_pressure
from hygro.results.simulate import simulate

ISO_6946 = [(5, 0.11), (7, 0.13), (10, 0.15), (15, 0.17), (25, 0.18), (50, 0.18), (300, 0.18)]
"""Thickness [mm] and resistance [m2 K/W] of unventilated air layers, horizontal heat flow; ISO 6946."""

CONSTANT = """
kind = "constant"
temperature_C = {0}
relative_humidity_percent = {1}
heat_coefficient_W_m2K = 8.0
vapour_coefficient_kg_m2sPa = 2e-8
"""
OUTSIDE, INSIDE = CONSTANT.format(0.0, 80), CONSTANT.format(20.0, 50)
SHORT = "[run]\nhours = 48\n"


@pytest.mark.parametrize(("thickness", "resistance"), ISO_6946)
def test_still_air_has_the_resistance_of_the_standard(thickness, resistance):
    air = still_air(thickness / 1000.0)
    assert thickness / 1000.0 / air.conductivity_dry == pytest.approx(resistance)
    table = air.table()
    assert not table.flux_potential.any()
    assert np.all(table.resistance_factor == 1.0)


def test_stack_pressure_by_hand():
    """5 m of air at 20 degC against 0 degC: 2.5 m * 9.81 m/s2 * (1.292 - 1.204 kg/m3) = 2.16 Pa."""
    assert stack_pressure(5.0, 273.15, 293.15) == pytest.approx(2.16, rel=0.01)
    assert leakage(10.0, 0.65, 50.0) == pytest.approx(10.0 / 3600.0)
    assert leakage(10.0, 0.5, 12.5) == pytest.approx(5.0 / 3600.0)
    assert leakage(10.0, 0.65, -3.0) == 0.0


def test_leak_brings_room_air_while_it_is_cold(prescribed):
    leak = '[[leak]]\nbehind = "brick"\nair_permeability_m3_hm2_50Pa = 3.0\nheight_m = 5.0\n'
    case = prescribed(OUTSIDE, INSIDE, SHORT + leak)
    (source,) = build_wall(case, case.variants()[0]).sources
    flow = 3.0 / 3600.0 * (2.16 / 50.0) ** 0.65  # 0.39 m3/(m2 h)
    assert source.heat_air == pytest.approx(1211.0 * flow, rel=0.01)
    assert source.vapour == pytest.approx(flow * 0.5 * 2338.0 / (461.5 * 293.15), rel=0.01)
    assert source.vapour / source.vapour_air == pytest.approx(0.5 * 2338.0, rel=0.002)
    assert (source.layer, source.start, source.end) == (0, 0.0, 0.0)
    warm = prescribed(CONSTANT.format(25.0, 50), INSIDE, SHORT + leak)
    (source,) = build_wall(warm, warm.variants()[0]).sources
    assert not source.heat_air.any()
    assert not source.vapour.any()


def test_rain_penetration_counts_before_splash(read_in_weather):
    text = TEXT + '\n[[rain_penetration]]\nlayer = "brick"\nshare_percent = 2.0\ndepth_mm = 30\n'
    case = read_in_weather(text)
    model = build_wall(case, case.variants()[0])
    (source,) = model.sources
    assert case.spec.site is not None
    np.testing.assert_allclose(source.liquid * case.spec.site.uptake_share, 0.02 * model.external.rain)
    assert source.liquid.max() > 0.0
    assert (source.start, source.end) == (0.03, 0.03)


def test_numbers_of_a_source_are_per_volume(prescribed):
    given = '[[source]]\nlayer = "brick"\nheat_W_m3 = 50.0\nmoisture_kg_m3h = 3.6\n'
    case = prescribed(OUTSIDE, INSIDE, SHORT + given)
    (source,) = build_wall(case, case.variants()[0]).sources
    assert source.heat == pytest.approx(10.0)  # 0.2 m
    assert source.liquid == pytest.approx(2e-4)
    assert source.end == pytest.approx(0.2)


def test_file_of_a_source_is_rolled_with_the_weather(read_in_weather, weather_folder):
    hours = np.arange(8760)
    (weather_folder / "heat.csv").write_text("heat_W_m3\n" + "\n".join(map(str, hours)) + "\n")
    case = read_in_weather(TEXT + '\n[[source]]\nlayer = "brick"\nfile = "heat.csv"\n')
    model = build_wall(case, case.variants()[0])
    (source,) = model.sources
    thickness = model.layers[0].thickness
    assert source.heat[0] == pytest.approx(273 * 24 * thickness)  # the first hour of October
    assert "source 1.file" in case.files()
    (weather_folder / "heat.csv").write_text("heat_W_m3\n1\n2\n")
    with pytest.raises(CaseError, match="not as long as the boundaries"):
        build_wall(case, case.variants()[0])
    (weather_folder / "heat.csv").write_text("heat_w_m3\n1\n2\n")
    with pytest.raises(ClimateError, match="unknown column"):
        build_wall(case, case.variants()[0])


def test_air_layer_in_a_wall_and_its_ventilation(prescribed):
    """A leaf before 40 mm of air: vented with outdoor air it shields less, and the books close."""
    leaf = (
        "[[wall.layer]]\nair_layer = true\nthickness_mm = 40\n{}"
        '[[wall.layer]]\nmaterial = "brick"\nname = "inner leaf"\nthickness_mm = 100\n'
    )
    found = []
    for changes in ("", "ventilated_per_hour = 100\n"):
        case = prescribed(OUTSIDE, INSIDE, leaf.format(changes) + "[run]\nhours = 720\n")
        dataset = simulate(case)
        assert dataset["layer_material"].values.tolist() == ["brick", "still-air", "brick"]
        assert abs(dataset["balance_heat"]).max() < 1e-9
        assert abs(dataset["balance_moisture"]).max() < 1e-9
        found.append(dataset)
    still, vented = found
    assert not still["water_from_sources"].any()
    still_flux, vented_flux = (float(d["heat_flux_internal"][-1]) for d in found)
    assert vented_flux > still_flux
    # The air takes what comes in from the room and not what leaves at the face, in the steady state.
    lost = float(vented["heat_flux_internal"][-1] - vented["heat_flux_external"][-1])
    assert float(-vented["heat_from_sources"][-1]) == pytest.approx(lost, rel=0.15)
    assert float(vented["year_heat_from_sources"][0]) < 0.0


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ('[[leak]]\nbehind = "brik"\nair_permeability_m3_hm2_50Pa = 3\nheight_m = 5\n', "mean 'brick'"),
        ('[[source]]\nlayer = "brick"\n', "gives nothing"),
        ('[[source]]\nlayer = "brick"\nheat_W_m3 = 1\nfile = "x.csv"\n', "both numbers and a file"),
        ('[[source]]\nlayer = "brick"\nfile = "x.csv"\n', "x.csv"),
        ('[[wall.layer]]\nmaterial = "brick"\nair_layer = true\nthickness_mm = 3\n', "an air layer and"),
        ('[[wall.layer]]\nmaterial = "brick"\nventilated_per_hour = 3\nthickness_mm = 3\n', "only an air"),
        ('[[wall.layer]]\nair_layer = true\n', "no thickness"),
        ('[[rain_penetration]]\nlayer = "brick"\ndepth_mm = 201\n', "beyond its inner face"),
    ],
)  # fmt: skip
def test_what_does_not_go_together_is_refused(prescribed, more, words):
    with pytest.raises(CaseError, match=words):
        case = prescribed(OUTSIDE, INSIDE, more + SHORT)
        build_wall(case, case.variants()[0])


def test_leak_needs_air_on_both_sides(prescribed):
    fixed = 'kind = "fixed"\ntemperature_C = 0\nrelative_humidity_percent = 80\n'
    leak = '[[leak]]\nbehind = "brick"\nair_permeability_m3_hm2_50Pa = 3.0\nheight_m = 5.0\n'
    with pytest.raises(CaseError, match="a leak needs the climate of the external boundary"):
        prescribed(fixed, INSIDE, SHORT + leak)
