"""Every case that ships loads, builds and says what is invented."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from hygro.case import load_case
from hygro.model.build import build_wall, describe
from hygro.physics.moist_air import relative_humidity

CASES = Path(__file__).resolve().parents[2] / "cases"
FILES = sorted(CASES.rglob("*.toml"))


@pytest.mark.parametrize("path", FILES, ids=[path.stem for path in FILES])
def test_each_case_loads_and_builds(path):
    case = load_case(path)
    model = None
    for variant in case.variants():
        model = build_wall(case, variant)
        assert len(model.external.temperature) == len(model.internal.temperature)
        assert describe(case, variant)["layers"]
    assert model is not None
    if case.spec.external.kind == "climate":
        assert "invented" in case.title


def test_the_first_look_is_small():
    case = load_case(CASES / "first-look.toml")
    assert len(case.variants()) == 4
    assert case.spec.run.years == 2


@pytest.mark.parametrize("name", ["terrace-sheltered", "terrace-coast"])
def test_the_terrace_has_four_build_ups_in_six_thicknesses_on_two_elevations(name):
    case = load_case(CASES / f"{name}.toml")
    variants = case.variants()
    assert len(variants) == 2 * (1 + 4 * 6)
    assert {v.thickness_mm for v in variants} == {None, 20.0, 40.0, 60.0, 80.0, 100.0, 120.0}
    assert len({v.slug for v in variants}) == len(variants)


def test_the_coast_gets_more_rain_than_the_sheltered_street():
    rain = {}
    for name in ("terrace-sheltered", "terrace-coast"):
        case = load_case(CASES / f"{name}.toml")
        rain[name] = build_wall(case, case.variant("bare-wall-SW")).external.rain.sum()
    assert rain["terrace-coast"] > 3.0 * rain["terrace-sheltered"]


def test_the_membrane_lies_on_the_levelling_coat():
    case = load_case(CASES / "terrace-coast.toml")
    model = build_wall(case, case.variant("wood-fibre-flexible-080mm-SW"))
    names = [layer.name for layer in model.layers]
    assert names == ["old brick", "old plaster", "levelling coat", "insulation", "lining board", "finish"]
    assert [film.position for film in model.films] == [3, 6]


def test_annex_a_starts_and_stands_as_the_standard_says():
    """EN 15026:2007 Annex A: 20 degC and 50 % at the start, 30 degC and 95 % at the surface."""
    case = load_case(CASES / "published" / "en15026-annex-a.toml")
    model = build_wall(case, case.variants()[0])
    (layer,) = model.layers
    assert layer.initial_temperature == pytest.approx(293.15)
    assert relative_humidity(layer.initial_suction, 293.15) == pytest.approx(0.5)
    assert model.external.kind == "fixed"
    assert np.unique(model.external.temperature) == pytest.approx([303.15])
    assert relative_humidity(model.external.suction, 303.15) == pytest.approx([0.95] * 8760)
    assert not model.physics.viscosity


def test_benchmark_5_has_its_coefficients():
    """Both sides keep the ratio of 7.353e-9 between vapour and heat coefficients (Hagentoft 2002)."""
    case = load_case(CASES / "published" / "hamstad-bm5.toml")
    model = build_wall(case, case.variants()[0])
    for side in (model.external, model.internal):
        ratio = side.vapour_coefficient / side.heat_coefficient
        assert ratio == pytest.approx(np.full(1440, 7.353e-9), rel=1e-4)
    assert [layer.thickness for layer in model.layers] == pytest.approx([0.365, 0.015, 0.040])
