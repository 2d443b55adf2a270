import json

import numpy as np
import pytest
from synthetic_wall import PLACES, raw_result

from hygro.case.variants import BARE_WALL, LayerChoice, Variant
from hygro.constants import HOURS_PER_YEAR
from hygro.decide.verdict import critical_interface, failed_verdict, verdict_of, with_heat_saved
from hygro.results.dataset import build_dataset


def layer(name, part, *, varied=False):
    return LayerChoice(name, name, None, 60.0, 20.0, 80.0, None, part, varied, ())


LAYERS = (
    layer("brick", "wall"),
    layer("mortar", "build-up"),
    layer("insulation", "build-up", varied=True),
    layer("boarding", "build-up"),
)
VARIANT = Variant("lining-060mm-SW", "softwood lining", 60.0, 225.0, "SW", LAYERS)
COLUMN = {place.label: index for index, place in enumerate(PLACES)}


def humidity(**by_place):
    """Humidity that is 0.6 but at the places named, with a peak in one hour [1]."""
    values = np.full((HOURS_PER_YEAR, len(PLACES)), 0.6)
    for name, value in by_place.items():
        values[:, COLUMN[name.replace("_to_", " | ").replace("_", " ")]] = value
    return values


def test_the_critical_interface_is_the_one_behind_the_insulation():
    values = humidity(mortar_to_insulation=0.85, brick_to_mortar=0.98, insulation_to_boarding=0.99)
    values[100, COLUMN["mortar | insulation"]] = 0.97
    label, mean, most = critical_interface(build_dataset(raw_result(humidity=values)), VARIANT)
    assert label == "mortar | insulation"
    assert most == pytest.approx(97.0)
    assert mean == pytest.approx(85.0, abs=0.01)


def test_without_a_varied_layer_the_wettest_interface_of_the_build_up_is_critical():
    fixed = Variant("l", "lining", None, 225.0, "SW", tuple(layer(x.name, x.part) for x in LAYERS))
    values = humidity(insulation_to_boarding=0.95)
    assert critical_interface(build_dataset(raw_result(humidity=values)), fixed)[0] == "insulation | boarding"


def test_the_verdict_takes_state_and_governing_score_from_the_scores():
    found = verdict_of(build_dataset(raw_result(humidity=humidity(brick_to_mortar=0.99))), VARIANT)
    assert found.state == "exceeded"
    assert (found.governing.place, found.governing.limit) == ("brick | mortar", 95.0)
    assert found.margin == pytest.approx((95.0 - 99.0) / 95.0)
    assert found.margin < 0.0


def test_a_dry_wall_is_within_and_has_a_margin_above_zero():
    found = verdict_of(build_dataset(raw_result(humidity=0.5)), VARIANT)
    assert found.state == "within"
    assert found.margin > 0.0


def test_yearly_sums_are_those_of_the_last_whole_year():
    rain = np.full(HOURS_PER_YEAR + 24, 3e-6)
    rain[-24:] = 1.0
    found = verdict_of(build_dataset(raw_result(HOURS_PER_YEAR + 24, rain_on_wall=rain)), VARIANT)
    assert found.rain_on_wall == pytest.approx(3e-6 * 8760 * 3600)
    assert found.rain_uptake == pytest.approx(2e-6 * 8760 * 3600)
    assert found.years == pytest.approx(1 + 24 / 8760)


@pytest.mark.parametrize(("growth", "trend"), [(0.05, "accumulates"), (0.0, "steady"), (-0.05, "dries")])
def test_the_trend_of_the_water_is_named(growth, trend):
    raw = raw_result(2 * HOURS_PER_YEAR, water_growth=growth, humidity=0.5)
    assert verdict_of(build_dataset(raw), VARIANT).water_trend == trend


def test_a_wall_that_gains_water_is_marginal_with_the_margin_of_the_next_score():
    raw = raw_result(2 * HOURS_PER_YEAR, water_growth=0.05, humidity=0.5)
    found = verdict_of(build_dataset(raw), VARIANT)
    assert found.state == "marginal"
    assert found.governing.name == "wall_water_change"
    assert found.margin > 0.0


def test_a_verdict_is_fit_for_json():
    found = verdict_of(build_dataset(raw_result(humidity=0.5)), VARIANT, run_file="runs/x.nc", reused=True)
    back = json.loads(json.dumps(found.to_dict(), allow_nan=False))
    assert (back["slug"], back["status"], back["reused"], back["steady"]) == (
        VARIANT.slug,
        "complete",
        True,
        False,
    )
    assert len(back["scores"]) == len(found.scores)


def test_heat_saved_is_against_the_bare_wall_of_the_same_elevation(make_verdict, make_bare):
    verdicts = [make_bare(), make_verdict("within", 40.0), make_verdict("within", 40.0, elevation=0.0)]
    bare, south_west, north = with_heat_saved(verdicts)
    assert (bare.build_up, bare.heat_saved) == (BARE_WALL, 0.0)
    assert south_west.heat_saved == 70.0
    assert (north.heat_saved, north.heat_saved_percent) == (None, None)


def test_a_failed_verdict_knows_no_numbers():
    found = failed_verdict(VARIANT, "the march could not go on.", "runs/x.nc")
    assert (found.status, found.state, found.message) == ("failed", "unknown", "the march could not go on.")
    numbers = [
        found.margin,
        found.u_value,
        found.year_heat_loss,
        found.seconds,
        found.interface_humidity_most,
    ]
    assert numbers == [None] * len(numbers)
