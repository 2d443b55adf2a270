"""A value can be moved to the ends of its spread, and what hangs on it moves along."""

import numpy as np
import pytest

from hygro.errors import MaterialError
from hygro.materials import list_films, list_materials, load_film, load_material
from hygro.materials.document import resistance_at


@pytest.mark.parametrize("name", list_materials())
def test_every_end_of_every_spread_makes_a_material(name):
    material = load_material(name)
    spreading = [source for source in material.sources if source.low is not None]
    digests = {material.digest()}
    for source in spreading:
        for end in ("low", "high"):
            moved = material.with_value(source.key, end)
            assert found(moved, source.key) == pytest.approx(getattr(source, end), rel=1e-9)
            moved.table()
            digests.add(moved.digest())
            assert moved.name == f"{name} ({source.key} {end})"
            assert moved.grade == material.grade
            assert moved.source(source.key).low == source.low
            assert moved.source(source.key).source.startswith("varied: ")
    assert len(digests) == 1 + 2 * len(spreading)


def found(material, key):
    if key == "storage":
        return material.water_content(0.8)
    if key == "vapour":
        return resistance_at(material, 0.5)
    return getattr(material, key)


def test_suction_follows_the_absorption_coefficient():
    brick = load_material("solid-brick")
    strong = brick.with_value("absorption_coefficient", "high")
    ratio = strong.absorption_coefficient / brick.absorption_coefficient
    assert strong.absorption_coefficient == brick.source("absorption_coefficient").high
    wet = strong.liquid.diffusivity(np.array([200.0])) / brick.liquid.diffusivity(np.array([200.0]))
    assert wet == pytest.approx(ratio**2)
    assert strong.water_content(0.9) == brick.water_content(0.9)
    assert "high" in strong.name
    assert "absorption coefficient high" in strong.title


def test_digests_of_ends_differ_from_each_other_and_from_the_middle():
    brick = load_material("solid-brick")
    ends = [brick.with_value("absorption_coefficient", end) for end in ("low", "high", 0.2)]
    assert len({brick.digest(), *(end.digest() for end in ends)}) == 4
    again = load_material("solid-brick").with_value("absorption_coefficient", "low")
    assert again.digest() == ends[0].digest()


def test_porosity_takes_the_water_along():
    brick = load_material("solid-brick")
    tight = brick.with_value("porosity", "low")
    assert tight.saturation == pytest.approx(1000.0 * tight.porosity)
    assert tight.free_saturation / tight.saturation == pytest.approx(brick.free_saturation / brick.saturation)


def test_dry_conductivity_takes_its_table_along():
    brick = load_material("solid-brick")
    warm = brick.with_value("conductivity_dry", "high")
    wet = np.array([0.0, 100.0, 200.0])
    share = warm.conductivity_dry / brick.conductivity_dry
    np.testing.assert_allclose(warm.heat.conductivity(wet), share * brick.heat.conductivity(wet), rtol=1e-12)


def test_two_values_can_be_moved_one_after_the_other():
    brick = load_material("solid-brick")
    both = brick.with_value("density", "low").with_value("absorption_coefficient", "low")
    assert (both.density, both.absorption_coefficient) == (1500.0, 0.083)
    assert both.name == "solid-brick (density low) (absorption_coefficient low)"


def test_a_number_within_the_spread_is_taken():
    brick = load_material("solid-brick")
    assert brick.with_value("density", 1650.0).density == 1650.0
    with pytest.raises(MaterialError, match=r"density would leave its spread.*2100.*1500 to 1900"):
        brick.with_value("density", 2100.0)


def test_what_cannot_be_varied_says_so():
    from hygro.materials import Material

    brick = load_material("solid-brick")
    with pytest.raises(MaterialError, match="liquid states no spread"):
        brick.with_value("liquid", "high")
    with pytest.raises(MaterialError, match=r"no such value to vary.*'colour'.*density"):
        brick.with_value("colour", "high")
    with pytest.raises(MaterialError, match="ends low and high"):
        brick.with_value("density", "top")
    mine = Material.from_curves(
        name="mine",
        density=1700.0,
        specific_heat=900.0,
        conductivity_dry=0.6,
        porosity=0.3,
        free_saturation=240.0,
        storage=([0.5], [3.0]),
    )
    with pytest.raises(MaterialError, match=r"only be varied.*made in Python"):
        mine.with_value("density", "low")


@pytest.mark.parametrize("name", [name for name in list_films() if load_film(name).sources[0].low])
@pytest.mark.parametrize("end", ["low", "high"])
def test_films_move_as_a_whole(name, end):
    film = load_film(name)
    moved = film.with_value("s_d", end)
    assert moved.s_d[50] == pytest.approx(getattr(film.sources[0], end))
    np.testing.assert_allclose(moved.s_d / moved.s_d[50], film.s_d / film.s_d[50], rtol=1e-9)
    assert moved.digest() != film.digest()
