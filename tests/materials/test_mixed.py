"""Mixed layers: what passes in parallel adds up by area, and identical parts are the part."""

import pickle

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hygro.errors import MaterialError
from hygro.materials import load_material
from hygro.materials.mixed import LIMITS, mixed_material
from hygro.materials.mixed_air import STILL_AIR, still_air
from hygro.materials.tables import LOG_SUCTION

WOOD, WOOL = load_material("softwood"), load_material("wood-fibre-flexible")
BRICK, MORTAR = load_material("solid-brick"), load_material("lime-mortar")
STUDS = mixed_material([(WOOD, 0.12), (WOOL, 0.88)])
MASONRY = mixed_material([(BRICK, 0.8), (MORTAR, 0.2)])


@pytest.mark.parametrize(("mix", "parts"), [(STUDS, (WOOD, WOOL)), (MASONRY, (BRICK, MORTAR))])
@pytest.mark.parametrize("curve", ["water_content", "flux_potential", "conductivity"])
def test_curves_add_up_by_area_at_every_suction(mix, parts, curve):
    first = 0.12 if mix is STUDS else 0.8
    expected = first * getattr(parts[0].table(), curve) + (1.0 - first) * getattr(parts[1].table(), curve)
    # 1e-4 of free saturation a decade is the least slope that any table is given.
    scale = np.abs(expected).max()
    assert getattr(mix.table(), curve) == pytest.approx(expected, rel=1e-6, abs=1e-5 * scale)


def test_vapour_passes_in_parallel():
    """Worked at 50 %: 1 / (0.12 / 64 + 0.88 / mu of the fill)."""
    humidity = np.array([0.5])
    wool = WOOL.vapour.resistance_factor(humidity, WOOL.water_content(humidity))[0]
    mixed = STUDS.vapour.resistance_factor(humidity, STUDS.water_content(humidity))[0]
    assert mixed == pytest.approx(1.0 / (0.12 / 64.0 + 0.88 / wool), rel=1e-3)


def test_scalars_are_means_by_area_and_heat_by_mass():
    assert STUDS.density == pytest.approx(0.12 * 450.0 + 0.88 * WOOL.density)
    heat = 0.12 * 450.0 * 1600.0 + 0.88 * WOOL.density * WOOL.specific_heat
    assert STUDS.density * STUDS.specific_heat == pytest.approx(heat)
    assert STUDS.conductivity_dry == pytest.approx(0.12 * 0.12 + 0.88 * WOOL.conductivity_dry)
    assert not STUDS.timber
    assert STUDS.mould_sensitivity == "very sensitive"


def test_a_given_conductivity_scales_the_moist_curve():
    mix = mixed_material([(WOOD, 0.12), (WOOL, 0.88)], conductivity=0.9 * STUDS.conductivity_dry)
    assert mix.table().conductivity == pytest.approx(0.9 * STUDS.table().conductivity, rel=1e-9)
    assert mix.digest() != STUDS.digest()


def test_identical_parts_give_the_part_itself():
    assert mixed_material([(BRICK, 0.3), (BRICK, 0.7)]) is BRICK


@given(share=st.floats(0.001, 0.999))
def test_every_mix_can_be_tabulated_and_lies_between_its_parts(share):
    table = mixed_material([(BRICK, share), (MORTAR, 1.0 - share)]).table()
    for curve in ("water_content", "conductivity", "flux_potential"):
        ends = np.sort([getattr(part.table(), curve) for part in (BRICK, MORTAR)], axis=0)
        values, room = getattr(table, curve), 1e-5 * ends.max()
        assert np.all(values >= ends[0] - room)
        assert np.all(values <= ends[1] + room)
    assert np.all(np.diff(table.water_content) < 0.0)


def test_sources_name_how_and_whence():
    kinds = {source.key: source.kind for source in STUDS.sources}
    assert kinds["density"] == kinds["storage"] == kinds["conductivity_dry"] == "derived"
    assert STUDS.source("mixed").source == LIMITS
    assert "judge embedded timber" in STUDS.description
    assert STUDS.source("softwood: vapour").source == WOOD.source("vapour").source


def test_a_mix_is_known_no_better_than_its_parts():
    assert WOOD.grade == "partly from memory"
    assert STUDS.grade == "partly from memory"


def test_digest_tells_shares_apart_and_stays():
    again = mixed_material([(WOOD, 0.12), (WOOL, 0.88)])
    assert again.digest() == STUDS.digest()
    assert mixed_material([(WOOD, 0.13), (WOOL, 0.87)]).digest() != STUDS.digest()


def test_a_mix_can_be_sent_to_another_process():
    assert pickle.loads(pickle.dumps(STUDS)).digest() == STUDS.digest()


def test_shares_are_checked():
    with pytest.raises(MaterialError, match=r"0.5 \+ 0.6 = 1.1"):
        mixed_material([(WOOD, 0.5), (WOOL, 0.6)])


@pytest.mark.parametrize(
    ("thickness", "resistance"), [(0.005, 0.11), (0.010, 0.15), (0.015, 0.17), (0.050, 0.18), (0.3, 0.18)]
)
def test_still_air_has_the_resistance_of_iso_6946(thickness, resistance):
    """Air layers, horizontal heat flow: ISO 6946, as reproduced in University of Iceland texts."""
    air = still_air(thickness)
    assert air.name == STILL_AIR
    assert thickness / air.conductivity_dry == pytest.approx(resistance)
    assert air.table().flux_potential.max() == 0.0


@pytest.mark.parametrize("thickness", [0.0, 0.5])
def test_there_is_no_air_layer_of_any_width(thickness):
    with pytest.raises(MaterialError, match="no resistance of an air layer"):
        still_air(thickness)


def test_dabs_leave_liquid_their_share_of_the_contact():
    adhesive = load_material("lime-plaster")
    dabs = mixed_material([(adhesive, 0.4), (still_air(0.01), 0.6)])
    assert dabs.table().flux_potential == pytest.approx(0.4 * adhesive.table().flux_potential)
    assert dabs.table().resistance_factor.min() < 2.0
    assert dabs.table().water_content[np.searchsorted(LOG_SUCTION, 0.0)] == pytest.approx(
        0.4 * 260.0, rel=1e-3
    )
