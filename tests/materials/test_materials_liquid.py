"""Matric flux potential against quadrature and closed forms; uptake against the absorption coefficient."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.linalg import solve_banded

from hygro.errors import MaterialError
from hygro.materials import Material, load_material
from hygro.materials.liquid import (
    AbsorptionDiffusivity,
    ConductivityTable,
    DiffusivityFunction,
    DiffusivityTable,
    ExponentialPolynomial,
)
from hygro.materials.tables import LOG_SUCTION

CAPILLARY_A = 10.0 / 60.0
CAPILLARY_W = 300.0


def capillary_water(suction):
    return CAPILLARY_W / (1.0 + 1e-6 * suction)


def capillary_diffusivity(water, n):
    share = water / CAPILLARY_W
    return (n + 1) / (2 * n) * (CAPILLARY_A / CAPILLARY_W) ** 2 * share**n * (n + 1 - share**n)


def capillary_test(n, *, by_diffusivity=False):
    """Material of the exact capillary test, Sasic Kalagasidis 2004."""

    def conductivity(suction):
        slope = CAPILLARY_W * 1e-6 / (1.0 + 1e-6 * suction) ** 2
        return slope * capillary_diffusivity(capillary_water(suction), n)

    liquid = DiffusivityFunction(lambda w: capillary_diffusivity(w, n)) if by_diffusivity else conductivity
    return Material.from_curves(
        name=f"capillary-test-{n}",
        density=1800.0,
        specific_heat=1000.0,
        conductivity_dry=0.6,
        porosity=0.3,
        free_saturation=CAPILLARY_W,
        absorption_coefficient=CAPILLARY_A,
        storage=capillary_water,
        liquid=liquid,
        vapour=1e6,
    )


def capillary_potential(suction, n):
    share = capillary_water(suction) / CAPILLARY_W
    factor = CAPILLARY_W * (n + 1) / (2 * n) * (CAPILLARY_A / CAPILLARY_W) ** 2
    return factor * (share ** (n + 1) - share ** (2 * n + 1) / (2 * n + 1))


@pytest.mark.parametrize("n", [1, 2, 5, 13])
def test_exact_capillary_material_from_conductivity(n):
    table = capillary_test(n).table()
    suction = 10.0**LOG_SUCTION
    expected = capillary_potential(suction, n)
    # What lies drier than the driest node is left out: subtract it from the closed form as well.
    expected = expected - capillary_potential(suction[-1], n)
    # 1e-12 of the largest value: below it only rounding of the running sum is left.
    np.testing.assert_allclose(table.flux_potential, expected, rtol=1e-9, atol=1e-12 * expected[0])


@pytest.mark.parametrize("n", [1, 13])
def test_exact_capillary_material_from_diffusivity(n):
    table = capillary_test(n, by_diffusivity=True).table()
    suction = 10.0**LOG_SUCTION
    # Close to saturation and in very dry air the stored curve has its least slope, 1e-4 of w_f a decade, and
    # the potential follows that curve; in between it is the exact one.
    middle = (suction > 1e4) & (suction < 1e8)
    np.testing.assert_allclose(
        table.flux_potential[middle], capillary_potential(suction[middle], n), rtol=1e-6
    )


def test_potential_of_the_standard_material_against_adaptive_quadrature():
    material = load_material("en15026-annex-a")
    table = material.table()

    def integrand(x):
        s = np.array(10.0**x)
        return float(material.liquid.conductivity(s, material.storage.water_content(s)) * s * np.log(10.0))

    for index in range(150, 1000, 85):
        start = LOG_SUCTION[index]
        parts = np.linspace(start, 10.0, 12)
        expected = sum(
            quad(integrand, a, b, epsrel=1e-12, epsabs=0.0)[0]
            for a, b in zip(parts[:-1], parts[1:], strict=True)
        )
        assert table.flux_potential[index] == pytest.approx(expected, rel=1e-8)


def test_conductivity_polynomial_of_en15026_at_half_and_full_saturation():
    liquid = load_material("en15026-annex-a").liquid
    full = (
        -39.2619 + 0.0704 * 73 - 1.7420e-4 * 73**2 - 2.7953e-6 * 73**3 - 1.1566e-7 * 73**4 + 2.5969e-9 * 73**5
    )
    values = liquid.conductivity(np.array([0.0, 0.0]), np.array([73.0, 146.0]))
    np.testing.assert_allclose(np.log(values), [-39.2619, full], rtol=1e-12)


def test_volumetric_polynomial_is_scaled():
    by_volume = ExponentialPolynomial((-36.0, 40.0), 0.0, 1e-3)
    by_mass = ExponentialPolynomial((-36.0, 0.04))
    water = np.array([0.0, 150.0])
    np.testing.assert_allclose(
        by_volume.conductivity(water, water), by_mass.conductivity(water, water), rtol=1e-12
    )


def test_constant_diffusivity_makes_the_potential_proportional_to_water():
    table = load_material("hamstad-bm2").table()
    wet = LOG_SUCTION >= 0.0
    np.testing.assert_allclose(table.flux_potential[wet], 6e-10 * table.water_content[wet], rtol=1e-12)
    assert np.all(table.flux_potential[~wet] == table.flux_potential[~wet][0])


def test_absorption_law_in_closed_form_equals_its_quadrature():
    law = AbsorptionDiffusivity(0.2, 240.0)
    water = np.linspace(240.0, 0.0, 300)
    closed = law.flux_potential(LOG_SUCTION, water, None)
    by_quadrature = DiffusivityFunction(law.diffusivity).flux_potential(LOG_SUCTION, water, None)
    np.testing.assert_allclose(by_quadrature, closed, rtol=1e-10, atol=1e-18)
    np.testing.assert_allclose(
        law.diffusivity(np.array([240.0, 0.0])), 3.8 * (0.2 / 240) ** 2 * np.array([1, 1e-3])
    )


def absorbed_per_root_second(table, start, end, cells=2000):
    """Sorptivity of a half-space from the table alone: Boltzmann's problem with water content as coordinate.

    With eta = x / t^0.5 and F(w) = half the integral of eta over w, the diffusion equation turns into
    F F'' = -D / 2, F = 0 at the initial content and F' = 0 at the surface; the uptake is 2 F(end) t^0.5.
    """
    step = (end - start) / cells
    nodes = start + step * np.arange(1, cells + 1)
    low, high = nodes - step / 2, np.minimum(nodes + step / 2, end)
    potential = [np.interp(w, table.water_content[::-1], table.flux_potential[::-1]) for w in (low, high)]
    diffusivity = (potential[1] - potential[0]) / (high - low)
    share = (nodes - start) / (end - start)
    f = 0.6 * np.sqrt(table.flux_potential[0] * (end - start)) * (1 - (1 - share) ** 2)
    for _ in range(60):
        before, after = np.concatenate([[0.0], f[:-1]]), np.concatenate([f[1:], [f[-2]]])
        residual = f * (before - 2 * f + after) + 0.5 * diffusivity * step**2
        bands = np.zeros((3, cells))
        bands[0, 1:], bands[1], bands[2, :-1] = f[:-1], before - 4 * f + after, f[1:]
        bands[2, -2] += f[-1]
        change = solve_banded((1, 1), bands, -residual)
        f = np.maximum(f + change, 0.1 * f)
        if np.abs(change).max() < 1e-12 * f.max():
            return 2 * f[-1]
    raise AssertionError("Boltzmann's problem did not settle")


@pytest.mark.parametrize("name", ["solid-brick", "lime-mortar", "calcium-silicate"])
@pytest.mark.parametrize(("share", "ratio"), [(0.0, 1.008), (0.05, 0.981), (0.1, 0.952), (0.2, 0.891)])
def test_uptake_follows_from_the_absorption_coefficient(name, share, ratio):
    material = load_material(name)
    start = share * material.free_saturation
    uptake = absorbed_per_root_second(material.table(), start, material.free_saturation)
    # The ratios are stated with three digits and were found on a grid of their own.
    assert uptake / material.absorption_coefficient == pytest.approx(ratio, abs=1.5e-3)


@pytest.mark.parametrize("n", [1, 5])
def test_exact_capillary_material_takes_up_what_its_coefficient_says(n):
    table = capillary_test(n, by_diffusivity=True).table()
    # The diffusivity of this material is zero when dry, where the difference quotient is of first order only.
    assert absorbed_per_root_second(table, 0.0, CAPILLARY_W) == pytest.approx(CAPILLARY_A, rel=2e-3)


def test_materials_without_liquid_have_no_potential():
    for name in ("mineral-wool", "foam-foil-faced", "hemp-fibre"):
        assert np.all(load_material(name).table().flux_potential == 0.0)


def test_conductivity_table_meets_its_points_and_goes_on():
    table = ConductivityTable((1e3, 1e5, 1e7), (1e-8, 1e-10, 1e-14))
    k = table.conductivity(np.array([1.0, 1e3, 1e5, 1e7, 1e8]), np.zeros(5))
    np.testing.assert_allclose(k, [1e-8, 1e-8, 1e-10, 1e-14, 1e-16], rtol=1e-10)


def test_diffusivity_table_is_logarithmic_between_points_and_constant_outside():
    table = DiffusivityTable((50.0, 150.0), (1e-9, 1e-7))
    d = table.diffusivity(np.array([0.0, 50.0, 100.0, 150.0, 300.0]))
    np.testing.assert_allclose(d, [1e-9, 1e-9, 1e-8, 1e-7, 1e-7], rtol=1e-10)


@pytest.mark.parametrize(
    ("make", "sentence"),
    [
        (lambda: ConductivityTable((1e3, 1e5), (1e-10, 1e-8)), "must not rise"),
        (lambda: ConductivityTable((1e3,), (1e-8,)), "two or more pairs"),
        (lambda: DiffusivityTable((100.0, 50.0), (1e-9, 1e-8)), "must rise"),
        (lambda: DiffusivityTable((50.0,), (0.0,)), "above 0"),
    ],
)
def test_contradictory_liquid_curves_are_refused(make, sentence):
    with pytest.raises(MaterialError, match=sentence):
        make()
