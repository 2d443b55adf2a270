"""The table that the solver reads, for the whole library."""

import numpy as np
import pytest

from hygro.errors import MaterialError
from hygro.materials import Material, list_materials, load_material
from hygro.materials.storage import humidity_at_reference
from hygro.materials.tables import LOG_SUCTION, STEPS_PER_DECADE
from hygro.materials.tabulate import LEAST_SLOPE, regularised_storage

ZERO = int(np.argmin(np.abs(LOG_SUCTION)))


@pytest.fixture(params=list_materials())
def material(request):
    return load_material(request.param)


def test_storage_falls_everywhere_by_the_least_slope(material):
    fall = -np.diff(material.table().water_content)
    least = LEAST_SLOPE * material.free_saturation / STEPS_PER_DECADE
    assert fall.min() >= least * (1 - 1e-6)


def test_storage_meets_dry_free_saturation_and_saturation(material):
    water = material.table().water_content
    assert water[ZERO] == pytest.approx(material.free_saturation, rel=1e-12)
    assert water[0] == pytest.approx(
        max(material.saturation, material.free_saturation * (1 + LEAST_SLOPE)), rel=1e-12
    )
    # The storage function of EN 15026 annex A falls slowest: 1.8 % are left at 1e10 Pa.
    assert 0.0 <= water[-1] < 0.02 * material.free_saturation
    overflow = np.diff(water[: ZERO + 1])
    np.testing.assert_allclose(overflow, overflow[0], rtol=1e-6)


def test_regularisation_leaves_the_humid_range_alone(material):
    x = LOG_SUCTION
    humid = (x > 5.5) & (humidity_at_reference(10.0**x) > 0.2)
    stated = np.asarray(material.storage.water_content(10.0 ** x[humid]))
    error = np.abs(material.table().water_content[humid] - stated)
    # At most the least slope gathered over the five to six decades from saturation.
    assert error.max() <= 7 * LEAST_SLOPE * material.free_saturation


def test_potential_never_rises_with_suction_and_ends_dry(material):
    potential = material.table().flux_potential
    assert np.all(np.diff(potential) <= 0.0)
    assert potential[-1] <= 1e-2 * potential[0]


def test_resistance_and_conductivity_are_plausible(material):
    table = material.table()
    assert table.resistance_factor.min() >= 1.0
    assert np.all(np.isfinite(table.resistance_factor))
    assert np.all(np.diff(table.conductivity) <= 1e-12)
    # 4 W/(m K) is the wettest benchmark material; nothing in a wall conducts better.
    assert material.conductivity_dry - 1e-12 <= table.conductivity[-1]
    assert table.conductivity[0] < 4.0


def test_linear_interpolation_is_consistent_with_the_curves(material):
    """Half-way between nodes the table is off by less than a thousandth of the range."""
    table = material.table()
    middle = 0.5 * (LOG_SUCTION[ZERO:-1] + LOG_SUCTION[ZERO + 1 :])
    stated = np.minimum(material.storage.water_content(10.0**middle), material.free_saturation)
    between = np.interp(middle, LOG_SUCTION, table.water_content)
    assert np.abs(between - stated).max() < 1.1e-3 * material.free_saturation


def test_table_is_built_once():
    brick = load_material("solid-brick")
    assert brick.table() is brick.table()
    assert load_material("solid-brick") is brick


def test_regularised_storage_by_hand():
    # One decade of 100 steps: flat at 10, then a drop to 2, then flat.
    water = np.concatenate([np.full(50, 10.0), np.full(51, 2.0)])
    out = regularised_storage(water, 10.0)
    step = LEAST_SLOPE * 10.0 / STEPS_PER_DECADE
    np.testing.assert_allclose(out[:50], 10.0 - step * np.arange(50), rtol=1e-14)
    np.testing.assert_allclose(out[50:], 2.0 - step * np.arange(51), rtol=1e-14)


def base(**changes):
    values = dict(
        name="trial",
        density=1500.0,
        specific_heat=900.0,
        conductivity_dry=0.5,
        porosity=0.3,
        free_saturation=200.0,
        storage=([0.5, 0.8], [5.0, 12.0]),
    )
    return Material.from_curves(**{**values, **changes})


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"storage": lambda s: 200.0 * (s / 1e10) ** 0.1}, "does not end at free saturation"),
        ({"storage": lambda s: 200.0 - 50.0 * np.sin(np.log10(s)) ** 2}, "rises with suction"),
        ({"liquid": lambda s: -1e-10 / s}, "negative conductivity"),
        ({"liquid": lambda s: np.full_like(s, np.nan)}, "not finite"),
        ({"vapour": lambda phi: 5.0 - 6.0 * phi}, "above 0"),
        ({"heat": lambda w: 0.5 - 0.01 * w}, "above 0"),
    ],
)
def test_curves_that_cannot_be_tabulated_are_refused(changes, sentence):
    with pytest.raises(MaterialError, match=sentence):
        base(**changes).table()
