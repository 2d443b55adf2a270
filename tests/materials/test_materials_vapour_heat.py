"""Vapour resistance and thermal conductivity."""

import numpy as np
import pytest

from hygro.errors import MaterialError
from hygro.materials import load_film, load_material
from hygro.materials.film import FILM_HUMIDITY
from hygro.materials.heat import ConductivityPoints, ExponentialConductivity, LinearConductivity
from hygro.materials.vapour import CupResistance, PoreAirResistance, ResistanceTable


def test_en15026_vapour_form_term_by_term():
    vapour = load_material("en15026-annex-a").vapour
    water = np.array([0.0, 42.94, 128.3])
    u = 1.0 - water / 146.0
    expected = 200.0 * (0.503 * u**2 + 0.497) / u
    np.testing.assert_allclose(vapour.resistance_factor(np.zeros(3), water), expected, rtol=1e-12)


def test_vapour_stays_finite_in_full_pores():
    vapour = PoreAirResistance(7.5, 0.2, 373.5)
    assert np.isfinite(vapour.resistance_factor(np.ones(1), np.array([373.5])))[0]


def test_second_benchmark_permeability_is_the_published_one():
    # 26.1e-6 m2/s over 461.5 J/(kg K) and 293.15 K, the air of the case; the factor carries four digits.
    air = 26.1e-6 / (461.5 * 293.15)
    mu = float(load_material("hamstad-bm2").table().resistance_factor[500])
    assert air / mu == pytest.approx(1e-15, rel=5e-4)


def test_cups_run_linear_in_permeability_between_their_mean_humidities():
    cups = CupResistance(16.0, 10.0)
    mu = cups.resistance_factor(np.array([0.0, 0.25, 0.5, 0.75, 1.0]), np.zeros(5))
    np.testing.assert_allclose(mu, [16.0, 16.0, 2.0 / (1 / 16 + 1 / 10), 10.0, 10.0], rtol=1e-12)


@pytest.mark.parametrize(
    ("name", "thickness", "permeance"),
    [
        ("dense-brick-1980", 0.0124, {0.3: 360, 0.5: 380, 0.9: 440}),
        ("cement-mortar", 0.013, {0.3: 1270, 0.5: 1550, 0.9: 2320}),
        ("lining-board", 0.0125, {0.3: 2720, 0.5: 3190, 0.9: 4470}),
        ("softwood", 0.0195, {0.3: 55, 0.5: 160, 0.9: 1510}),
        ("wood-fibre-lining-board", 0.0118, {0.3: 1150, 0.5: 1270, 0.9: 1530}),
    ],
)
def test_handbook_permeance_is_met(name, thickness, permeance):
    # ASHRAE Handbook Fundamentals 2021, chapter 26, table 6, ng/(Pa s m2); mu was derived with 1.98e-10 and
    # rounded to two or three digits, and the handbook rounds permeance as well.
    vapour = load_material(name).vapour
    for humidity, expected in permeance.items():
        mu = float(vapour.resistance_factor(np.array([humidity]), np.zeros(1))[0])
        assert 1.98e-10 / mu / thickness * 1e12 == pytest.approx(expected, rel=0.04)


def test_conductivity_of_the_standard_material():
    heat = load_material("en15026-annex-a").heat
    np.testing.assert_allclose(heat.conductivity(np.array([0.0, 100.0])), [1.5, 1.5 + 15.8 * 0.1], rtol=1e-12)


def test_wet_brick_conductivity_is_the_published_graph():
    # Jespersen 1952, brick of 1680 kg/m3.
    heat = load_material("solid-brick").heat
    np.testing.assert_allclose(heat.conductivity(np.array([0.0, 50.0, 200.0])), [0.64, 0.90, 1.21])


def test_iso_conversion_example():
    # 0.44 kg/m2 in 40 mm of lambda 0.04 with f_psi 4 gives 0.0418: EN ISO 10456, worked in a course book.
    heat = ExponentialConductivity(0.04, 4.0, 150.0)
    assert float(heat.conductivity(np.array(0.44 / 0.04))) == pytest.approx(0.0418, abs=5e-5)
    assert float(heat.conductivity(np.array(900.0))) == float(heat.conductivity(np.array(150.0)))


def test_membrane_opens_with_humidity_and_never_closes():
    film = load_film("membrane-humidity-dependent")
    assert film.s_d.shape == FILM_HUMIDITY.shape
    assert np.all(np.diff(film.s_d) <= 1e-12)
    assert film.s_d[30] == pytest.approx(10.0)
    assert film.s_d[60] == pytest.approx(np.sqrt(10.0 * 0.25), rel=1e-12)
    assert film.s_d[95] == pytest.approx(0.25)


@pytest.mark.parametrize(
    ("make", "sentence"),
    [
        (lambda: ResistanceTable((0.5, 0.3), (5.0, 4.0)), "must rise"),
        (lambda: ResistanceTable((0.5,), (0.0,)), "above 0"),
        (lambda: ResistanceTable((0.5,), (1.0, 2.0)), "as many"),
        (lambda: CupResistance(10.0, -1.0), "above 0"),
        (lambda: PoreAirResistance(10.0, 0.0, 100.0), "between 0 and 1"),
        (lambda: LinearConductivity(0.5, -0.001), "must not fall"),
        (lambda: ConductivityPoints((0.0, 100.0), (0.5, 0.4)), "must not fall"),
        (lambda: ConductivityPoints((100.0, 0.0), (0.5, 0.6)), "that rise"),
        (lambda: ExponentialConductivity(0.04, -1.0, 100.0), "0 or more"),
    ],
)
def test_contradictory_curves_are_refused(make, sentence):
    with pytest.raises(MaterialError, match=sentence):
        make()
