"""Mould index against tabulated growth, tabulated decline and published measurements."""

import numpy as np
import pytest

from hygro.errors import ResultError
from hygro.scores import mould
from hygro.scores.mould import critical_humidity, hourly_decline, k1_1999, mould_index, mould_index_1999

WEEK = 168

# Recomputed from the published equations with hourly explicit steps: (class, degC, %): {week: M}.
CONSTANT_CLIMATE = [
    ("very sensitive", 22, 90, {1: 0.254, 2: 0.508, 4: 1.030, 8: 3.015, 12: 3.966, 26: 4.00, 52: 4.00}),
    ("very sensitive", 22, 97, {1: 0.719, 2: 1.875, 4: 4.682, 8: 5.505}),
    ("very sensitive", 20, 97, {1: 0.674, 2: 1.693, 4: 4.357, 8: 5.504}),
    ("very sensitive", 10, 90, {1: 0.149, 2: 0.297, 4: 0.594, 8: 1.374, 12: 2.534, 26: 3.711}),
    (
        "sensitive",
        22,
        90,
        {1: 0.147, 2: 0.293, 4: 0.586, 8: 1.113, 12: 1.498, 26: 2.657, 52: 3.048, 104: 3.05},
    ),
    ("sensitive", 22, 97, {1: 0.416, 2: 0.831, 4: 1.443, 8: 2.551, 12: 3.624, 26: 4.677}),
    ("sensitive", 20, 97, {1: 0.390, 2: 0.779, 4: 1.373, 8: 2.412, 12: 3.430, 26: 4.675}),
    (
        "medium resistant",
        22,
        97,
        {1: 0.052, 2: 0.103, 4: 0.207, 8: 0.414, 12: 0.620, 26: 1.454, 52: 2.842, 104: 3.04},
    ),
    (
        "resistant",
        22,
        97,
        {1: 0.023, 2: 0.047, 4: 0.093, 8: 0.186, 12: 0.278, 26: 0.594, 52: 1.055, 104: 1.414},
    ),
]

# 12 h at 97 %, 12 h at 60 %, 22 degC.
DAILY_CYCLE = [
    ("very sensitive", "strong", {1: 0.304, 2: 0.607, 4: 1.476, 8: 4.109, 12: 5.446}),
    (
        "sensitive",
        "strong",
        {1: 0.152, 2: 0.304, 4: 0.607, 8: 1.116, 12: 1.447, 26: 2.601, 52: 4.276, 104: 4.449},
    ),
    (
        "sensitive",
        "relatively low",
        {1: 0.194, 2: 0.388, 4: 0.775, 8: 1.355, 12: 1.854, 26: 3.563, 52: 4.628, 104: 4.63},
    ),
]


def tolerance(printed):
    """Half of the last printed digit: the table is rounded, the steps are the same."""
    return 0.5 * 10.0 ** -len(f"{printed}".split(".")[1]) + 1e-9 if printed % 1 else 0.0051


def constant(hours, temperature, humidity, *classes, **options):
    return mould_index(
        np.full(hours, float(temperature)), np.full(hours, float(humidity)), *classes, **options
    )


@pytest.mark.parametrize(("sensitivity", "temperature", "humidity", "table"), CONSTANT_CLIMATE)
def test_growth_at_constant_climate_matches_the_table(sensitivity, temperature, humidity, table):
    index = constant(max(table) * WEEK, temperature, humidity, sensitivity, "strong")
    for week, printed in table.items():
        assert index[week * WEEK - 1] == pytest.approx(printed, abs=tolerance(printed)), week


@pytest.mark.parametrize(("sensitivity", "decline", "table"), DAILY_CYCLE)
def test_growth_under_a_daily_cycle_matches_the_table(sensitivity, decline, table):
    hours = np.arange(max(table) * WEEK)
    humidity = np.where(hours % 24 < 12, 97.0, 60.0)
    index = mould_index(np.full(len(hours), 22.0), humidity, sensitivity, decline)
    for week, printed in table.items():
        assert index[week * WEEK - 1] == pytest.approx(printed, abs=tolerance(printed)), week


def test_decline_from_3_matches_the_table():
    index = constant(30 * 24, 20, 50, "very sensitive", "strong", initial=3.0)
    table = {6: 2.992, 24: 2.992, 48: 2.976, 7 * 24: 2.896, 30 * 24: 2.528}
    for hours, printed in table.items():
        assert index[hours - 1] == pytest.approx(printed, abs=5.1e-4), hours


@pytest.mark.parametrize(
    ("sensitivity", "temperature", "humidity", "days_to_1", "days_to_3"),
    [
        ("very sensitive", 20, 97, 10.4, 20.8),
        ("sensitive", 20, 97, 18.0, 72.0),
        ("medium resistant", 20, 97, 144.8, 471.6),
        ("resistant", 20, 97, 338.5, None),
        ("sensitive", 20, 90, 51.1, 280.0),
        ("very sensitive", 10, 90, 47.2, 96.5),
        ("very sensitive", 20, 85, 65.7, None),
        ("medium resistant", 20, 85, None, None),
        ("sensitive", 5, 97, 46.2, 186.0),
    ],
)
def test_days_to_first_and_visible_growth(sensitivity, temperature, humidity, days_to_1, days_to_3):
    index = constant(1000 * 24, temperature, humidity, sensitivity, "strong")
    for threshold, days in ((1.0, days_to_1), (3.0, days_to_3)):
        reached = np.flatnonzero(index >= threshold)
        if days is None:
            assert reached.size == 0
        else:
            # Printed to 0.1 day, reached at the end of an hour.
            assert (reached[0] + 1) / 24 == pytest.approx(days, abs=0.05 + 1 / 24)


@pytest.mark.parametrize(
    ("sensitivity", "measured"),
    [("very sensitive", 5.0), ("sensitive", 4.55), ("medium resistant", 3.5), ("medium resistant", 3.0)],
    ids=["pine sapwood", "spruce board", "concrete", "aerated concrete"],
)
def test_largest_index_agrees_with_measured_growth(sensitivity, measured):
    # 22 degC, 97 %, up to 120 weeks (Ojanen et al. 2010, figure read to 0.2). The paper itself gives 0.5 as
    # the usual error of the largest index, so model and reading together may differ by 0.7.
    index = constant(120 * WEEK, 22, 97, sensitivity, "strong")
    assert index.max() == pytest.approx(measured, abs=0.5 + 0.2)


@pytest.mark.parametrize(("sensitivity", "measured"), [("sensitive", 3.9), ("medium resistant", 1.8)])
def test_largest_index_is_on_the_safe_side_where_materials_grew_less_than_their_class(sensitivity, measured):
    # Paper-faced foam and glass wool, same figure: outside the usual error (the paper admits one of 1.2).
    assert measured < constant(120 * WEEK, 22, 97, sensitivity, "strong").max() < measured + 1.2 + 0.2


def test_critical_humidity():
    t = np.array([5.0, 10.0, 15.0, 20.0, 20.1, 40.0])
    assert critical_humidity(t, 80.0) == pytest.approx([88.02, 82.03, 80.04, 80.04, 80.0, 80.0], abs=5e-3)
    assert critical_humidity(t, 85.0) == pytest.approx([88.02, 85.0, 85.0, 85.0, 85.0, 85.0], abs=5e-3)
    assert critical_humidity(np.array([-5.0]), 80.0) == pytest.approx([100.0])


@pytest.mark.parametrize(
    ("temperature", "humidity", "spruce", "kiln_dried", "first", "visible", "k1"),
    [
        (20, 97, False, False, 1.484, 2.983, 1.979),
        (20, 97, False, True, 1.067, 2.983, 1.113),
        (20, 97, True, False, 1.706, 3.167, 2.336),
        (20, 97, True, True, 1.227, 3.167, 1.265),
        (20, 90, False, False, 4.202, 7.734, 2.380),
        (10, 90, False, False, 6.732, 12.917, 2.177),
        (5, 97, False, False, 3.808, 8.320, 1.688),
    ],
)
def test_equations_of_1999(temperature, humidity, spruce, kiln_dried, first, visible, k1):
    t, rh = np.float64(temperature), np.float64(humidity)
    w, sq = float(spruce), float(kiln_dried)
    assert mould.weeks_to_first_growth(t, rh, w, sq) == pytest.approx(first, abs=5.1e-4)
    assert mould.weeks_to_visible_growth(t, rh, w) == pytest.approx(visible, abs=5.1e-4)
    assert k1_1999(t, rh, spruce=spruce, kiln_dried=kiln_dried) == pytest.approx(k1, abs=5.1e-4)


def test_index_of_1999_reaches_3_when_the_regression_says_so():
    # k1 was derived so that M = 3 comes at t_v; the ceiling bends growth little before (20.9 d for both).
    index = mould_index_1999(np.full(40 * 24, 20.0), np.full(40 * 24, 97.0))
    assert (np.argmax(index >= 3.0) + 1) / 24 == pytest.approx(20.9, abs=0.1)
    slower = mould_index_1999(np.full(40 * 24, 20.0), np.full(40 * 24, 97.0), spruce=True)
    assert slower[10 * 24] < index[10 * 24]


def test_one_place_or_many_give_the_same():
    rng = np.random.default_rng(3)
    temperature = rng.uniform(-5, 30, (2000, 3))
    humidity = rng.uniform(60, 103, (2000, 3))
    sensitivities = ["very sensitive", "medium resistant", "sensitive"]
    declines = ["strong", "almost none", "significant"]
    together = mould_index(temperature, humidity, sensitivities, declines)
    for place in range(3):
        alone = mould_index(temperature[:, place], humidity[:, place], sensitivities[place], declines[place])
        np.testing.assert_array_equal(alone, together[:, place])
    assert together.min() >= 0.0
    assert together.max() < 6.0


def test_march_runs_undecorated_with_the_same_result():
    rng = np.random.default_rng(4)
    grows = rng.random((300, 2)) > 0.4
    arrays = [rng.random((300, 2)) * scale for scale in (0.01, 0.02, 5.0, 0.001)]
    plain = getattr(mould._march, "py_func", mould._march)
    np.testing.assert_allclose(mould._march(grows, *arrays, 0.5), plain(grows, *arrays, 0.5), rtol=1e-12)


def test_dry_time_starts_again_after_each_favourable_hour():
    grows = np.array([[False] * 3 + [True] + [False] * 30]).T
    fall = hourly_decline(grows)[:, 0]
    assert (fall[:3] == fall[0]).all() and fall[0] > 0
    assert fall[3] == 0.0
    assert (fall[4:10] == fall[0]).all()
    assert (fall[10:28] == 0.0).all()
    assert (fall[28:] == pytest.approx(fall[0] / 2, rel=0.01)) and fall[28] > 0


@pytest.mark.parametrize(("temperature", "humidity"), [(-1, 99), (0, 100), (50, 99), (20, 79.9), (5, 87)])
def test_nothing_grows_outside_the_favourable_range(temperature, humidity):
    assert constant(1000, temperature, humidity, "very sensitive", "strong").max() == 0.0
    assert constant(1000, temperature, humidity, "very sensitive", "strong", initial=2.0)[-1] < 2.0


def test_growth_goes_on_just_above_freezing():
    assert constant(1000, 0.5, 99.9, "very sensitive", "strong")[-1] > 0.0


@pytest.mark.parametrize(
    ("decline", "factor"),
    [("strong", 1.0), ("significant", 0.5), ("relatively low", 0.25), ("almost none", 0.1)],
)
def test_decline_is_scaled_by_its_class(decline, factor):
    # 30 dry days take 0.472 from pine (table: 3 to 2.528); the factors are those of Ojanen et al. 2010.
    index = constant(30 * 24, 20, 50, "sensitive", decline, initial=3.0)
    assert 3.0 - index[-1] == pytest.approx(0.472 * factor, abs=5.1e-4)


def test_growth_rises_with_humidity_and_is_bounded_at_saturation():
    last = [constant(2000, 20, humidity, "sensitive", "strong")[-1] for humidity in (85, 90, 95, 100)]
    assert last == sorted(last)
    assert constant(40000, 20, 105, "very sensitive", "strong")[-1] == pytest.approx(6.0, abs=1e-3)


@pytest.mark.parametrize(
    ("temperature", "humidity", "sensitivity", "decline", "message"),
    [
        (np.zeros(3), np.zeros(4), "sensitive", "strong", "shape"),
        (np.array([np.nan]), np.array([80.0]), "sensitive", "strong", "not finite"),
        (np.zeros(3), np.zeros(3), "very delicate", "strong", "'very delicate'.*very sensitive, sensitive"),
        (np.zeros(3), np.zeros(3), "sensitive", "", "decline class is unknown"),
        (np.zeros((3, 2)), np.zeros((3, 2)), ["sensitive"], "strong", "expected 2"),
    ],
)
def test_unusable_input_is_refused(temperature, humidity, sensitivity, decline, message):
    with pytest.raises(ResultError, match=message):
        mould_index(temperature, humidity, sensitivity, decline)
