"""`elevations = "all"`: the eight main directions, and the weather read once for all of them."""

from pathlib import Path

import pytest
from tiny_study import TEXT

import hygro
from hygro.climate import wall as wall_module
from hygro.model import climates
from hygro.model.build import build_wall

EIGHT = ["N", "NE", "E", "SE", "S", "SW", "W", "NW"]


def case_facing(folder, elevations):
    path = Path(folder) / "case.toml"
    path.write_text(TEXT.replace('elevations = ["SW"]', f"elevations = {elevations}"), encoding="utf-8")
    return hygro.load_case(path)


def test_all_stands_for_the_eight_main_directions(tmp_path):
    case = case_facing(tmp_path, '"all"')
    assert list(dict.fromkeys(v.elevation_name for v in case.variants())) == EIGHT
    assert case.digest() == case_facing(tmp_path, str(EIGHT)).digest()
    assert case.resolved()["site"]["elevations"] == EIGHT


@pytest.mark.parametrize("elevations", ['"every"', '["all"]'])
def test_other_words_are_refused(tmp_path, elevations):
    with pytest.raises(hygro.errors.CaseError, match="elevation"):
        case_facing(tmp_path, elevations)


def test_eight_elevations_share_the_weather_and_the_sun(tmp_path, monkeypatch):
    read, placed = [], []
    load, position = climates.load_weather, wall_module.sun_position
    monkeypatch.setattr(climates, "load_weather", lambda *a, **k: read.append(a) or load(*a, **k))
    monkeypatch.setattr(wall_module, "sun_position", lambda *a: placed.append(a) or position(*a))
    for cache in (climates._weather, climates._wall, climates._room, wall_module._sun_at_mid_hour):
        cache.cache_clear()
    case = case_facing(tmp_path, '"all"')
    walls = [build_wall(case, variant) for variant in case.variants()]
    assert len(walls) == 24
    assert len(read) == 1
    assert len(placed) == 1
    rain = {v.elevation_name: w.external.rain.sum() for v, w in zip(case.variants(), walls, strict=True)}
    assert len(set(rain.values())) == 8
    assert max(rain, key=rain.get) == "SW"
