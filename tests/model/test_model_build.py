"""From a case to the physical model of a wall."""

from __future__ import annotations

import numpy as np
import pytest
from small_case import TEXT

from hygro.case.site import SiteSection
from hygro.climate import load_weather
from hygro.errors import CaseError
from hygro.model.build import build_wall
from hygro.model.climates import site_factors, wall_climate_of, weather_of
from hygro.model.wall import PhysicsOptions
from hygro.physics.moist_air import PERMEABILITY_CONSTANT_DIFFUSIVITY, relative_humidity, saturation_pressure


def models(case):
    return {variant.slug: build_wall(case, variant) for variant in case.variants()}


def test_layers_in_metres_and_kelvin_from_outside_to_inside(read_in_weather):
    model = models(read_in_weather())["wood-fibre-rigid-080mm-SW"]
    assert [layer.name for layer in model.layers] == ["brick", "plaster", "plaster (2)", "fibre"]
    assert [layer.thickness for layer in model.layers] == pytest.approx([0.225, 0.015, 0.010, 0.080])
    assert {layer.initial_temperature for layer in model.layers} == {293.15}
    humidity = [relative_humidity(layer.initial_suction, layer.initial_temperature) for layer in model.layers]
    assert humidity == pytest.approx([0.8] * 4)
    assert model.layers[1].table is model.layers[2].table
    assert model.physics == PhysicsOptions()


def test_initial_water_content(read_in_weather):
    text = TEXT.replace("thickness_mm = 225", "thickness_mm = 225\ninitial_water_content_kg_m3 = 100")
    layer = models(read_in_weather(text))["bare-wall-N"].layers[0]
    # the material of the test holds 200 kg/m3 times the humidity
    assert relative_humidity(layer.initial_suction, 293.15) == pytest.approx(0.5, abs=2e-3)


def test_initial_water_content_beyond_the_pores_points_at_its_line(read_in_weather):
    text = TEXT.replace("thickness_mm = 225", "thickness_mm = 225\ninitial_water_content_kg_m3 = 999")
    case = read_in_weather(text)
    with pytest.raises(CaseError, match=r"wall\.toml:14: 'brick' cannot start .* found 999"):
        build_wall(case, case.variants()[0])


def test_films_stand_between_the_layers_around_them(read_in_weather):
    text = TEXT.replace(
        '[[wall.layer]]\nmaterial = "brick"',
        '[[wall.layer]]\nfilm = "paint"\n[[wall.layer]]\nmaterial = "brick"',
    )
    text = text.replace(
        '[[build_up.layer]]\nmaterial = "fibre"',
        '[[build_up.layer]]\nfilm = "paint"\n[[build_up.layer]]\nmaterial = "fibre"',
    )
    model = models(read_in_weather(text))["wood-fibre-rigid-040mm-SW"]
    assert [(film.name, film.position) for film in model.films] == [
        ("paint", 0),
        ("paint (2)", 3),
        ("paint (3)", 4),
    ]
    assert len(model.layers) == 4  # so position 4 is the internal surface
    assert model.films[0].s_d.shape == (101,)


def test_year_starts_in_october_by_default_and_keeps_every_hour(read_in_weather):
    model = models(read_in_weather())["bare-wall-SW"]
    assert model.start == np.datetime64("2001-10-01T00")
    celsius = model.external.air_temperature - 273.15
    months = [10, 11, 12, 1, 2, 3, 4, 5, 6, 7, 8, 9]
    days = [31, 30, 31, 31, 28, 31, 30, 31, 30, 31, 31, 30]
    assert celsius == pytest.approx(np.repeat(20.0 - np.array(months), np.array(days) * 24))


def test_both_sides_are_rolled_alike(read_in_weather):
    rolled = models(read_in_weather())["bare-wall-SW"]
    recorded = models(read_in_weather(TEXT + '[run]\nstart_month = "as recorded"\n'))["bare-wall-SW"]
    assert recorded.start == np.datetime64("2001-01-01T00")
    shift = 273 * 24  # 1 October is day 274
    for side in ("external", "internal"):
        for name in ("temperature", "air_temperature", "vapour_pressure", "rain", "heat_coefficient"):
            there, here = getattr(getattr(recorded, side), name), getattr(getattr(rolled, side), name)
            assert here == pytest.approx(np.roll(there, -shift), abs=0.0)


def test_rain_falls_on_the_windward_wall_less_what_splashes(read_in_weather):
    walls = models(read_in_weather(TEXT.replace("[site]\n", "[site]\nuptake_share = 0.5\n")))
    windward, lee = walls["bare-wall-SW"].external.rain, walls["bare-wall-N"].external.rain
    # ISO 15927-3: (2/9) v r^(8/9) C_R O W; C_R = 0.22 ln(10 / 0.3), O = 1, W = 0.4; 4 m/s, 1 mm/h, head-on
    hit = 2.0 / 9.0 * 4.0 * 0.22 * np.log(10.0 / 0.3) * 0.4 / 3600.0
    assert windward.max() == pytest.approx(0.5 * hit, rel=1e-6)
    assert np.count_nonzero(windward) == 365
    assert lee.max() == 0.0


def test_sun_and_sky_reach_the_surface_through_the_equivalent_temperature(read_in_weather):
    case = read_in_weather()
    external = models(case)["bare-wall-SW"].external
    climate = wall_climate_of(case, 225.0)
    shift = 273 * 24
    assert external.temperature == pytest.approx(np.roll(climate.equivalent_temperature, -shift), abs=0.0)
    assert external.heat_coefficient == pytest.approx(np.roll(climate.heat_coefficient, -shift), abs=0.0)
    # no sun in this year, and a sky colder than the air
    assert np.all(external.temperature < external.air_temperature)


def test_room_follows_the_weather_behind_the_coefficients_of_the_wall(read_in_weather):
    model = models(read_in_weather())["bare-wall-SW"]
    assert set(model.internal.heat_coefficient) == {7.7}
    assert set(model.internal.vapour_coefficient) == {2.5e-8}
    january = 92 * 24  # after October, November, December
    # EN 15026 normal: 19 degC outdoors gives 24.5 degC and 59 %
    assert model.internal.temperature[january] == pytest.approx(24.5 + 273.15)
    assert model.internal.vapour_pressure[january] == pytest.approx(
        0.59 * saturation_pressure(297.65), rel=1e-6
    )


def test_constant_room(read_in_weather):
    text = TEXT.replace('"EN 15026 normal"', '"constant"\ntemperature_C = 21\nrelative_humidity_percent = 55')
    internal = models(read_in_weather(text))["bare-wall-SW"].internal
    assert internal.temperature == pytest.approx(np.full(8760, 294.15))
    assert internal.vapour_pressure == pytest.approx(np.full(8760, 0.55 * saturation_pressure(294.15)))


def test_weather_is_read_once_and_the_wall_climate_worked_out_once(read_in_weather, monkeypatch):
    calls = []

    def counted(*args, **kwargs):
        calls.append(args)
        return load_weather(*args, **kwargs)

    monkeypatch.setattr("hygro.model.climates.load_weather", counted)
    case = read_in_weather(TEXT.replace("[site]\n", "[site]\nuptake_share = 0.31\n"))
    (case.base / "weather.csv").touch()  # another time of change: read again, once
    models(case)
    assert len(calls) == 1
    assert weather_of(case) is weather_of(case)


def test_probes_from_both_faces_and_behind_a_layer_that_comes_off(read_in_weather):
    probes = (
        '[[probe]]\nname = "a"\ndepth_mm = 125\ntimber = true\n'
        '[[probe]]\nname = "b"\ndepth_mm = 100\nfrom = "inside of the wall"\n'
    )
    brick = '[[wall.layer]]\nmaterial = "brick"'
    render = '[[wall.layer]]\nname = "render"\nmaterial = "plaster"\nthickness_mm = 20\n'
    text = TEXT.replace(brick, render + brick).replace(
        "[[build_up]]\n", f'{probes}[[build_up]]\nremoves = ["render"]\n'
    )
    walls = models(read_in_weather(text))
    bare, insulated = walls["bare-wall-SW"].probes, walls["wood-fibre-rigid-040mm-SW"].probes
    assert [(p.name, p.timber) for p in bare] == [("a", True), ("b", False)]
    assert [p.depth for p in bare] == pytest.approx([0.125, 0.160])
    assert [p.depth for p in insulated] == pytest.approx([0.105, 0.140])


def test_conventions_of_published_cases(read_in_weather):
    text = TEXT + '[physics]\nviscosity = false\nair_permeability = "constant diffusivity"\n'
    physics = models(read_in_weather(text))["bare-wall-SW"].physics
    assert physics == PhysicsOptions(viscosity=False, permeability=PERMEABILITY_CONSTANT_DIFFUSIVITY)


def test_obstruction_by_distance_or_factor():
    site = {"weather": "w.csv", "elevations": ["N"]}
    assert site_factors(SiteSection.model_validate(site)).obstruction == 1.0
    assert (
        site_factors(SiteSection.model_validate(site | {"obstruction_distance_m": 20.0})).obstruction == 0.4
    )
    assert site_factors(SiteSection.model_validate(site | {"obstruction": 0.55})).obstruction == 0.55
