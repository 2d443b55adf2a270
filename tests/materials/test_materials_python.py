"""Materials and films made in Python."""

import numpy as np
import pytest

from hygro.errors import MaterialError
from hygro.materials import Material, Source, ThinLayer, load_film
from hygro.materials.film import FILM_HUMIDITY
from hygro.materials.tables import LOG_SUCTION

PHI, WATER = [0.3, 0.5, 0.8, 0.95], [3.0, 5.0, 12.0, 30.0]


def make(**changes):
    values = dict(
        name="trial",
        density=1500.0,
        specific_heat=900.0,
        conductivity_dry=0.5,
        porosity=0.3,
        free_saturation=200.0,
        storage=(PHI, WATER),
    )
    return Material.from_curves(**{**values, **changes})


def test_lists_and_functions_give_the_same_table():
    k = (np.array([1e3, 1e6, 1e9]), np.array([1e-9, 1e-12, 1e-15]))
    from_lists = make(liquid=k, vapour=([0.0, 1.0], [12.0, 8.0]), heat=([0.0, 200.0], [0.5, 0.9])).table()
    from_functions = make(
        liquid=lambda s: np.minimum(1e-6 / s, 1e-9),
        vapour=lambda phi: 12.0 - 4.0 * phi,
        heat=lambda w: 0.5 + 0.002 * np.minimum(w, 200.0),
    ).table()
    np.testing.assert_allclose(from_lists.resistance_factor, from_functions.resistance_factor, rtol=1e-12)
    np.testing.assert_allclose(from_lists.conductivity, from_functions.conductivity, rtol=1e-12)
    # K = 1e-6 / s integrates to a straight line over log s.
    expected = 1e-6 * np.log(10.0) * (10.0 - LOG_SUCTION)
    drier = LOG_SUCTION >= 3.0
    np.testing.assert_allclose(from_lists.flux_potential[drier], expected[drier], rtol=1e-9, atol=1e-20)
    np.testing.assert_allclose(from_functions.flux_potential[drier], expected[drier], rtol=1e-9, atol=1e-20)


def test_numbers_are_constants_and_defaults_are_careful():
    material = make(vapour=15, heat=0.001)
    table = material.table()
    assert np.all(table.resistance_factor == 15.0)
    np.testing.assert_allclose(table.conductivity, 0.5 + 0.001 * table.water_content, rtol=1e-14)
    assert np.all(table.flux_potential == 0.0)
    assert material.saturation == pytest.approx(300.0)
    assert (material.mould_sensitivity, material.mould_decline) == ("very sensitive", "almost none")
    assert material.sources[0].kind == "memory"


def test_storage_as_a_function_of_suction():
    material = make(storage=lambda s: 200.0 / (1.0 + 1e-6 * s), liquid=None)
    assert material.water_content(1.0) == pytest.approx(200.0, rel=1e-6)
    s = -1000.0 * 461.5 * 293.15 * np.log(0.9)
    assert material.water_content(0.9) == pytest.approx(200.0 / (1.0 + 1e-6 * s), rel=1e-12)


def test_sources_are_kept():
    source = Source("density", "1500 kg/m3", "weighed here", "published")
    assert make(sources=[source]).source("density") is source


def test_digest_tells_curves_apart_and_repeats():
    assert make().digest() == make().digest()
    assert make().digest() != make(storage=(PHI, [3.0, 5.0, 12.0, 31.0])).digest()
    assert make().digest() != make(density=1501.0).digest()
    assert make().digest() != make(name="other").digest()


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"density": 1.5}, "trial: density is not plausible"),
        ({"porosity": 0.15}, "free saturation exceeds saturation"),
        ({"saturation": 310.0}, "more water than the open pores hold"),
        ({"storage": (PHI, [3.0, 5.0, 4.0, 30.0])}, "must rise"),
        ({"vapour": 0.0}, "above 0"),
        ({"heat": -0.1}, "must not fall"),
        ({"specific_heat": float("nan")}, "not plausible"),
    ],
)
def test_contradictions_are_refused(changes, sentence):
    with pytest.raises(MaterialError, match=sentence):
        make(**changes)


def test_film_from_a_number_and_from_a_function():
    paint = ThinLayer.from_resistance("paint", 0.2, liquid_open=False)
    assert paint.s_d.shape == FILM_HUMIDITY.shape
    assert np.all(paint.s_d == 0.2)
    membrane = ThinLayer.from_resistance(
        "membrane", lambda phi: 5.0 - 4.0 * phi, liquid_open=False, title="Mine"
    )
    assert membrane.s_d[50] == pytest.approx(3.0)
    assert membrane.title == "Mine"
    assert len({paint.digest(), membrane.digest(), load_film("foil").digest()}) == 3
    with pytest.raises(MaterialError, match="not plausible"):
        ThinLayer.from_resistance("bad", 0.0, liquid_open=True)
    with pytest.raises(MaterialError, match="101 finite values"):
        ThinLayer("bad", "bad", np.ones(100), liquid_open=True)
