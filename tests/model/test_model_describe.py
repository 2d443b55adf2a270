"""What a variant says of itself to results and reports."""

from __future__ import annotations

import hashlib
import json

from hygro.model.build import build_wall, describe


def test_description_goes_with_the_model(read_in_weather):
    case = read_in_weather()
    variant = case.variant("wood-fibre-rigid-040mm-SW")
    told, model = json.loads(json.dumps(describe(case, variant))), build_wall(case, variant)
    assert [layer["name"] for layer in told["layers"]] == [layer.name for layer in model.layers]
    assert [layer["thickness"] for layer in told["layers"]] == [layer.thickness for layer in model.layers]
    assert [layer["added"] for layer in told["layers"]] == [False, False, True, True]
    assert [layer["varied"] for layer in told["layers"]] == [False, False, False, True]
    assert [(film["name"], film["position"]) for film in told["films"]] == [("paint", 4)]
    assert told["films"][0]["s_d"] == 0.1
    assert (told["build_up"], told["thickness_mm"], told["elevation"]) == ("Wood fibre, rigid", 40.0, 225.0)
    assert told["case_sha256"] == case.digest()


def test_layers_carry_classes_sources_and_digests(read_in_weather):
    case = read_in_weather()
    layer = describe(case, case.variants()[0])["layers"][0]
    assert layer["mould_sensitivity"] == "very sensitive"
    assert layer["conductivity_dry"] == 0.6
    assert layer["density"] == 1600.0
    assert layer["sources"][0]["source"]
    assert len(layer["digest"]) == 64


def test_climate_is_named_with_the_hash_of_its_file(read_in_weather, weather_folder):
    case = read_in_weather()
    told = describe(case, case.variants()[0])
    assert "made for tests" in told["climate_source"]
    assert told["climate_sha256"] == hashlib.sha256((weather_folder / "weather.csv").read_bytes()).hexdigest()
    assert told["driving_rain"]["wall_index"] > 0.0
    assert told["uptake_share"] == 0.7


def test_prescribed_boundaries_say_so(prescribed):
    fixed = 'kind = "fixed"\ntemperature_C = 30\nrelative_humidity_percent = 95\n'
    case = prescribed(fixed, fixed, "[run]\nhours = 2\n")
    told = describe(case, case.variants()[0])
    assert told["climate_source"] == "prescribed in the case file"
    assert told["driving_rain"] is None
    assert told["elevation"] is None


def test_limits_travel_with_their_sources(read_in_weather):
    case = read_in_weather()
    told = describe(case, case.variants()[0])
    assert set(told["limits"]) == set(told["limit_sources"])
    assert all(told["limit_sources"].values())
