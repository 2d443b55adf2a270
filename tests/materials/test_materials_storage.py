"""Storage curves against published points and closed forms."""

import numpy as np
import pytest

from hygro.constants import GAS_CONSTANT_VAPOUR, WATER_DENSITY
from hygro.errors import MaterialError
from hygro.materials import load_material
from hygro.materials.measured import MeasuredPoints
from hygro.materials.storage import (
    HyperbolicStorage,
    LogarithmicStorage,
    PoreClasses,
    humidity_at_reference,
    suction_at_reference,
)


@pytest.mark.parametrize(("humidity", "water"), [(0.95, 84.769), (0.45, 19.536), (0.65, 30.506)])
def test_second_hamstad_benchmark_gives_the_published_water_contents(humidity, water):
    # Printed with three decimals.
    assert load_material("hamstad-bm2").water_content(humidity) == pytest.approx(water, abs=5e-4)


def test_en15026_annex_a_closed_form_and_its_two_equilibria():
    material = load_material("en15026-annex-a")
    suction = np.array([1.0, 1e4, 1e6, 1e7, 5e7, 1e8, 1e9])
    expected = 146.0 / (1.0 + (8e-8 * suction) ** 1.6) ** 0.375
    np.testing.assert_allclose(material.storage.water_content(suction), expected, rtol=1e-14)
    # Values printed with one decimal beside the derived profile.
    assert material.water_content(0.50, 293.15) == pytest.approx(42.9, abs=0.05)
    assert material.water_content(0.95, 303.15) == pytest.approx(128.3, abs=0.05)


def test_en15026_inverse_returns_the_suction():
    material = load_material("en15026-annex-a")
    suction = 3e7
    water = float(material.storage.water_content(np.array(suction)))
    assert ((146.0 / water) ** (1 / 0.375) - 1.0) ** (1 / 1.6) / 8e-8 == pytest.approx(suction, rel=1e-12)


def test_pore_classes_add_up_term_by_term_with_m_from_n_where_not_given():
    brick = load_material("hamstad-bm5-brick")
    suction = 5e4
    terms = [
        0.46 * (1 + (4.8e-5 * suction) ** 1.5) ** (-1 / 3),
        0.54 * (1 + (2e-5 * suction) ** 3.8) ** (-2.8 / 3.8),
    ]
    assert float(brick.storage.water_content(np.array(suction))) == pytest.approx(
        373.5 * sum(terms), rel=1e-12
    )


def test_hyperbola_passes_through_its_single_point_and_its_ends():
    curve = HyperbolicStorage.through(240.0, [0.8], [4.0])
    at = suction_at_reference(np.array([0.8, 1.0, 1e-12]))
    np.testing.assert_allclose(curve.water_content(at), [4.0, 240.0, 0.0], atol=1e-9)
    b = 1.0 + curve.excess
    phi = np.array([0.3, 0.6, 0.97])
    expected = 240.0 * (b - 1.0) * phi / (b - phi)
    np.testing.assert_allclose(curve.water_content(suction_at_reference(phi)), expected, rtol=1e-9)


def test_hyperbola_through_several_points_is_their_geometric_mean():
    ones = [HyperbolicStorage.through(240.0, [phi], [w]).excess for phi, w in ((0.5, 1.36), (0.8, 1.87))]
    both = HyperbolicStorage.through(240.0, [0.5, 0.8], [1.36, 1.87])
    assert both.excess == pytest.approx(np.sqrt(ones[0] * ones[1]), rel=1e-12)


def test_hyperbola_refuses_a_point_above_the_straight_line():
    with pytest.raises(MaterialError, match="straight line"):
        HyperbolicStorage.through(100.0, [0.8], [81.0])


def test_measured_points_are_met_and_the_dry_end_is_proportional():
    humidity, water = [0.2, 0.5, 0.8, 0.95], [1.0, 2.5, 6.0, 15.0]
    curve = MeasuredPoints.from_humidity(humidity, water, 200.0)
    np.testing.assert_allclose(
        curve.water_content(suction_at_reference(np.array(humidity))), water, rtol=1e-10
    )
    assert float(curve.water_content(suction_at_reference(np.array(0.1)))) == pytest.approx(0.5, rel=1e-10)
    assert float(curve.water_content(np.array(1.0))) == pytest.approx(200.0)


def test_measured_points_do_not_overshoot_a_step():
    curve = MeasuredPoints.from_humidity([0.3, 0.5, 0.52, 0.9], [1.0, 1.01, 9.0, 9.01], 50.0)
    between = curve.water_content(suction_at_reference(np.linspace(0.52, 0.9, 50)))
    assert between.min() >= 9.0 - 1e-9
    assert between.max() <= 9.01 + 1e-9


def test_beyond_the_wettest_point_the_curve_is_the_hyperbola_through_it():
    curve = MeasuredPoints.from_humidity([0.5, 0.9], [10.0, 30.0], 300.0)
    tail = HyperbolicStorage.through(300.0, [0.9], [30.0])
    suction = 10.0 ** np.linspace(1.0, 6.5, 40)
    # Continued by points every 0.2 decades, so the cubic between them is off by a little.
    np.testing.assert_allclose(curve.water_content(suction), tail.water_content(suction), rtol=2e-3)


def test_suction_points_join_humidity_points():
    wood = load_material("softwood")
    assert float(wood.storage.water_content(np.array(1e6))) == pytest.approx(0.288 * 450.0, rel=1e-9)
    assert wood.water_content(0.65) == pytest.approx(0.12 * 450.0, rel=1e-9)


@pytest.mark.parametrize(
    ("name", "humidity", "mass_percent"),
    [
        ("cement-mortar", 0.9, 5.3),
        ("dense-brick-1980", 0.989, 4.5),
        ("lining-board", 0.71, 0.65),
        ("mineral-wool", 0.945, 0.76),
        ("foam-foil-faced", 0.88, 2.1),
        ("wood-fibre-lining-board", 0.51, 4.6),
    ],
)
def test_handbook_sorption_points_are_in_the_library(name, humidity, mass_percent):
    # ASHRAE Handbook Fundamentals 2021, chapter 26, table 7 (Kumaran 2002).
    material = load_material(name)
    assert material.water_content(humidity) == pytest.approx(
        mass_percent / 100.0 * material.density, rel=1e-9
    )


def test_water_content_shifts_with_temperature_as_suction_does():
    material = load_material("solid-brick")
    suction = -WATER_DENSITY * GAS_CONSTANT_VAPOUR * 273.15 * np.log(0.9)
    expected = float(material.storage.water_content(np.array(suction)))
    assert material.water_content(0.9, 273.15) == pytest.approx(expected, rel=1e-12)
    assert material.water_content(0.9, 273.15) > material.water_content(0.9, 303.15)


@pytest.mark.parametrize("humidity", [0.0, -0.1, 1.01, float("nan")])
def test_impossible_humidity_is_refused(humidity):
    with pytest.raises(MaterialError, match="impossible relative humidity"):
        load_material("solid-brick").water_content(humidity)


def test_kelvin_relation_there_and_back():
    phi = np.array([0.01, 0.5, 0.999])
    np.testing.assert_allclose(humidity_at_reference(suction_at_reference(phi)), phi, rtol=1e-12)


@pytest.mark.parametrize(
    ("make", "sentence"),
    [
        (lambda: MeasuredPoints((1e8, 1e7), (5.0, 4.0), 100.0), "must rise"),
        (lambda: MeasuredPoints((1e8, 1e7), (5.0, 140.0), 100.0), "free saturation"),
        (lambda: MeasuredPoints((1e8,), (5.0, 6.0), 100.0), "as many"),
        (lambda: MeasuredPoints((1e8, 0.5), (5.0, 6.0), 100.0), "1 Pa or more"),
        (lambda: MeasuredPoints.from_humidity([0.5, 1.2], [1.0, 2.0], 9.0), "outside 0 to 1"),
        (lambda: MeasuredPoints.from_humidity([0.0, 0.5], [1.0, 2.0], 9.0), "contradict"),
        (lambda: PoreClasses(100.0, (0.5, 0.4), (1e-5, 1e-6), (2.0, 2.0), (0.5, 0.5)), "add up to 1"),
        (lambda: PoreClasses(100.0, (1.0,), (1e-5,), (0.9,), (0.5,)), "n > 1"),
        (lambda: PoreClasses(100.0, (1.0,), (1e-5, 1e-6), (2.0,), (0.5,)), "differ in length"),
        (lambda: LogarithmicStorage(100.0, 0.0, 1.0), "above 0"),
        (lambda: HyperbolicStorage(100.0, 0.0), "b above 1"),
    ],
)
def test_contradictory_curves_are_refused_in_a_sentence(make, sentence):
    with pytest.raises(MaterialError, match=sentence):
        make()
