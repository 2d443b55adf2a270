"""What must hold for any material, not only for those of the library."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from hygro.materials import Material
from hygro.materials.interpolation import integrate_between, monotone_cubic
from hygro.materials.liquid import AbsorptionDiffusivity
from hygro.materials.storage import HyperbolicStorage, LogarithmicStorage, PoreClasses
from hygro.materials.tables import LOG_SUCTION, STEPS_PER_DECADE
from hygro.materials.tabulate import LEAST_SLOPE

FREE = 200.0


def measured(draw):
    number = draw(st.integers(1, 6))
    humidity = sorted(draw(st.lists(st.integers(2, 99), min_size=number, max_size=number, unique=True)))
    rises = draw(st.lists(st.floats(0.01, 20.0), min_size=number, max_size=number))
    return [value / 100.0 for value in humidity], list(np.cumsum(rises))


@st.composite
def storages(draw):
    form = draw(st.sampled_from(["points", "pores", "logarithmic", "hyperbolic"]))
    if form == "points":
        return measured(draw)
    if form == "logarithmic":
        return LogarithmicStorage(FREE, draw(st.floats(1e-3, 1.0)), draw(st.floats(0.3, 2.0)))
    if form == "hyperbolic":
        return HyperbolicStorage(FREE, draw(st.floats(1e-4, 1.0)))
    share = draw(st.floats(0.05, 0.95))
    alphas = tuple(10.0 ** draw(st.floats(-8.0, -5.0)) for _ in range(2))
    exponents = tuple(draw(st.floats(1.4, 4.0)) for _ in range(2))
    return PoreClasses(FREE, (share, 1.0 - share), alphas, exponents, tuple(1.0 - 1.0 / n for n in exponents))


def make(storage, absorption):
    return Material.from_curves(
        name="any",
        density=1500.0,
        specific_heat=900.0,
        conductivity_dry=0.5,
        porosity=0.3,
        free_saturation=FREE,
        storage=storage,
        liquid=AbsorptionDiffusivity(absorption, FREE),
        vapour=10.0,
    )


@settings(max_examples=60, deadline=None)
@given(storages(), st.floats(1e-4, 1.5))
def test_any_storage_curve_becomes_a_usable_table(storage, absorption):
    table = make(storage, absorption).table()
    fall = -np.diff(table.water_content)
    assert fall.min() >= LEAST_SLOPE * FREE / STEPS_PER_DECADE * (1 - 1e-6)
    assert table.water_content[100] == FREE
    assert table.water_content[-1] >= 0.0
    assert np.all(np.diff(table.flux_potential) <= 0.0)
    assert table.flux_potential[-1] >= 0.0


@settings(max_examples=40, deadline=None)
@given(storages(), st.floats(1e-4, 1.5))
def test_diffusivity_never_falls_with_water(storage, absorption):
    """The slope of potential over water is the diffusivity, whatever the storage curve: D_w rises with w."""
    table = make(storage, absorption).table()
    capillary = LOG_SUCTION >= 0.0
    water, potential = table.water_content[capillary][::-1], table.flux_potential[capillary][::-1]
    rise = np.diff(water)
    # Steps too small for a difference of doubles say nothing.
    seen = rise > 1e-3
    slope = np.diff(potential)[seen] / rise[seen]
    assert np.all(np.diff(slope) >= -1e-6 * slope.max())


@settings(max_examples=40, deadline=None)
@given(storages())
def test_water_content_rises_with_humidity_and_ends_at_free_saturation(storage):
    water = make(storage, 0.1).water_content(np.linspace(0.01, 1.0, 200))
    assert np.all(np.diff(water) >= -1e-9)
    assert water[-1] <= FREE
    assert water[-1] >= 0.98 * FREE


@settings(max_examples=50, deadline=None)
@given(st.lists(st.floats(0.01, 5.0), min_size=2, max_size=8), st.data())
def test_monotone_cubic_meets_its_points_and_never_turns_back(steps, data):
    # Level stretches and rises that a balance could weigh; 1e-308 kg/m3 only overflows a quotient of slopes.
    rise = st.just(0.0) | st.floats(1e-9, 5.0)
    rises = data.draw(st.lists(rise, min_size=len(steps), max_size=len(steps)))
    x, y = np.cumsum(steps), np.cumsum(rises)
    curve = monotone_cubic(x, y)
    np.testing.assert_allclose(curve(x), y, rtol=1e-9, atol=1e-9)
    fine = curve(np.linspace(x[0] - 1.0, x[-1] + 1.0, 500))
    assert np.all(np.diff(fine) >= -1e-9 * max(y[-1], 1.0))
    assert fine[0] == y[0]
    assert abs(fine[-1] - y[-1]) <= 1e-9 * max(y[-1], 1.0)


def test_quadrature_is_exact_for_polynomials_and_signed():
    nodes = np.array([0.0, 0.3, 1.0, 2.0])
    pieces = integrate_between(lambda x: 20.0 * x**19, nodes)
    np.testing.assert_allclose(pieces, np.diff(nodes**20), rtol=1e-11)
    np.testing.assert_allclose(integrate_between(np.ones_like, nodes[::-1]), np.diff(nodes[::-1]), rtol=1e-14)
