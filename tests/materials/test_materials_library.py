"""The library: complete, sourced, plausible, and described as it is."""

import hashlib
import pickle
import re
from pathlib import Path

import numpy as np
import pytest

from hygro.errors import MaterialError
from hygro.materials import list_films, list_materials, load_film, load_material
from hygro.materials.census import count_by_kind, library_census
from hygro.materials.liquid import AbsorptionDiffusivity, NoLiquid
from hygro.materials.parse import GROUPS
from hygro.materials.sources import DECLINES, KINDS, SENSITIVITIES

KEPT = [
    "solid-brick",
    "solid-brick-strongly-sucking",
    "sandstone",
    "limestone",
    "lime-mortar",
    "cement-mortar",
    "lime-plaster",
    "gypsum-plaster",
    "insulating-lime-plaster",
    "wood-fibre-rigid",
    "wood-fibre-flexible",
    "hemp-fibre",
    "hemp-lime",
    "sheeps-wool",
    "cork-board",
    "recycled-cotton",
    "calcium-silicate",
    "mineral-wool",
    "foam-foil-faced",
    "softwood",
    "lining-board",
    "wood-fibre-lining-board",
    "dense-brick-1980",
    "en15026-annex-a",
    "hamstad-bm2",
    "hamstad-bm5-brick",
    "hamstad-bm5-mortar",
    "hamstad-bm5-insulation",
]

"""Names that case files of old rely on."""

NAMED = list_materials()
FILMS = list_films()

FILMS_KEPT = [
    "vapour-open-paint",
    "limewash",
    "vinyl-paint",
    "membrane-airtight-vapour-open",
    "membrane-humidity-dependent",
    "foil",
    "masonry-paint",
]

COUNTS = {"published": 526, "derived": 583, "common practice": 322, "memory": 393}
FILM_COUNTS = {"published": 11, "derived": 6, "common practice": 26, "memory": 15}
GRADE_COUNTS = {"measured set": 4, "composite of sources": 18, "partly from memory": 123}

SCALARS = ("density", "specific_heat", "conductivity_dry", "porosity", "saturation", "free_saturation")
SPREADING = (*SCALARS[:4], "free_saturation", "absorption_coefficient", "storage", "vapour")
CURVES = ("storage", "liquid", "vapour", "heat")
CLASSES = ("mould_sensitivity", "mould_decline")


def test_names_that_case_files_rely_on_stay():
    assert set(KEPT) <= set(NAMED)
    assert set(FILMS_KEPT) <= set(FILMS)


def test_the_library_is_as_large_as_it_says():
    generic = [name for name in NAMED if load_material(name).group != "published cases"]
    assert len(generic) >= 80
    assert len(FILMS) >= 20
    groups = {load_material(name).group for name in NAMED} | {load_film(name).group for name in FILMS}
    assert groups == set(GROUPS)


@pytest.mark.parametrize("name", NAMED)
def test_every_value_has_a_source(name):
    material = load_material(name)
    expected = {*SCALARS, *CURVES, *CLASSES}
    if material.absorption_coefficient is not None:
        expected.add("absorption_coefficient")
    assert {source.key for source in material.sources} == expected
    assert len(material.sources) == len(expected)
    for source in material.sources:
        assert source.kind in KINDS
        assert len(source.source) > 8
        assert source.value
    assert material.title
    assert material.description
    assert material.mould_sensitivity in SENSITIVITIES
    assert material.mould_decline in DECLINES


@pytest.mark.parametrize("name", NAMED)
def test_memory_and_practice_say_so_in_words(name):
    for source in load_material(name).sources:
        assert (source.kind == "memory") == ("unconfirmed" in source.source), source
        if source.kind == "common practice":
            assert "common practice" in source.source or "no published source" in source.source, source


@pytest.mark.parametrize("name", FILMS)
def test_every_film_has_sources(name):
    film = load_film(name)
    assert [source.key for source in film.sources] == ["s_d", "liquid_open"]
    assert all(len(source.source) > 8 for source in film.sources)


def test_how_much_is_known_is_counted():
    """Adding a value or confirming one from memory changes these numbers, on purpose."""
    census = library_census()
    assert census.kinds == COUNTS == count_by_kind(load_material(name) for name in NAMED)
    assert census.film_kinds == FILM_COUNTS == count_by_kind(load_film(name) for name in FILMS)
    assert census.grades == GRADE_COUNTS
    assert (census.materials, census.films) == (len(NAMED), len(FILMS))
    assert len(census.recalled) == COUNTS["memory"] + FILM_COUNTS["memory"]
    assert all(source.kind == "memory" for _, source in census.recalled)
    assert sum(census.groups.values()) == census.materials + census.films


@pytest.mark.parametrize("name", NAMED)
def test_recalled_values_state_how_far_they_may_be_off(name):
    """Cases that others published define their numbers, so nothing spreads there."""
    material = load_material(name)
    for source in material.sources:
        assert (source.low is None) == (source.spread == "")
        if source.low is not None:
            assert source.low < source.high
        if source.kind == "memory" and source.key in SPREADING and material.group != "published cases":
            assert source.low is not None, source


@pytest.mark.parametrize("name", NAMED)
def test_values_agree_with_each_other(name):
    material = load_material(name)
    assert material.free_saturation <= material.saturation * 1.0001 <= 1000.0 * material.porosity * 1.001
    assert material.water_content(0.8) <= 0.8 * material.free_saturation
    assert float(material.heat.conductivity(np.array(0.0))) == pytest.approx(material.conductivity_dry)
    if material.absorption_coefficient is None:
        assert not isinstance(material.liquid, AbsorptionDiffusivity)


def test_ordinary_old_brick_lies_in_the_range_of_old_bricks():
    brick = load_material("solid-brick")
    assert 0.1 <= brick.absorption_coefficient <= 0.28
    assert 200.0 <= brick.free_saturation <= 250.0
    assert 0.6 <= brick.conductivity_dry <= 0.8
    # Remembered range for old bricks at 80 % humidity.
    assert 2.0 <= brick.water_content(0.8) <= 10.0
    # The capillary range is what rain fills: half of it lies between pores of 0.1 and 10 um.
    table = brick.table()
    half = np.interp(-0.5 * brick.free_saturation, -table.water_content, np.linspace(-1.0, 10.0, 1101))
    assert 4.2 < half < 6.2


def test_hygroscopic_insulation_holds_little_water_and_states_it():
    for name in ("mineral-wool", "foam-foil-faced", "hemp-fibre", "sheeps-wool", "recycled-cotton"):
        material = load_material(name)
        assert isinstance(material.liquid, NoLiquid)
        assert material.free_saturation <= 0.45 * material.density
        assert material.source("free_saturation").source


def test_timber_limits_apply_to_timber_and_boards_of_it():
    for name in NAMED:
        material = load_material(name)
        wood = "timber" in material.group and not {"gypsum", "cement"} & set(
            re.split("[- ]", material.title.lower())
        )
        assert material.timber == (wood and "plasterboard" not in name), name


@pytest.mark.parametrize(
    ("name", "suggestion"),
    [
        ("solid-brik", "solid-brick"),
        ("Lime Plaster", "lime-plaster"),
        ("wood_fibre_rigid", "wood-fibre-rigid"),
    ],
)
def test_near_misses_are_suggested(name, suggestion):
    with pytest.raises(MaterialError, match=f"did you mean .*'{suggestion}'"):
        load_material(name)


def test_far_misses_list_the_library():
    with pytest.raises(MaterialError, match="the library holds .*calcium-silicate"):
        load_material("zzz")
    with pytest.raises(MaterialError, match="the library holds .*limewash"):
        load_film("zzz")


def test_films_and_materials_are_told_apart():
    with pytest.raises(MaterialError, match="'foil' is a film, not a material; write film = \"foil\""):
        load_material("foil")
    with pytest.raises(
        MaterialError, match="'softwood' is a material, not a film; write material = \"softwood\""
    ):
        load_film("softwood")


def test_own_files_are_found_from_their_base(tmp_path):
    source = Path(load_material.__code__.co_filename).parent / "data" / "solid-brick.toml"
    (tmp_path / "my-brick.toml").write_text(source.read_text())
    mine = load_material("my-brick.toml", base=tmp_path)
    assert mine.name == "my-brick"
    np.testing.assert_array_equal(
        mine.table().water_content, load_material("solid-brick").table().water_content
    )
    assert load_material(tmp_path / "my-brick.toml").digest() == mine.digest()
    with pytest.raises(MaterialError, match="no such material file.* is looked up in the library"):
        load_material("./other.toml", base=tmp_path)
    with pytest.raises(MaterialError, match=r"no such material file.*did you mean 'my-brick.toml'\?"):
        load_material("./my-brik.toml", base=tmp_path)
    with pytest.raises(MaterialError, match="no such film file"):
        load_film("sub/other", base=tmp_path)


def test_digest_follows_the_content(tmp_path):
    text = (Path(load_material.__code__.co_filename).parent / "data" / "solid-brick.toml").read_text()
    digests = set()
    for change in (
        text,
        "# a remark changes nothing\n" + text,
        text.replace("value = 1700.0", "value = 1701.0"),
    ):
        (tmp_path / "brick.toml").write_text(change)
        digest = load_material(tmp_path / "brick.toml").digest()
        assert len(digest) == len(hashlib.sha256().hexdigest())
        digests.add(digest)
    assert len(digests) == 2


@pytest.mark.parametrize("name", NAMED)
def test_materials_travel_between_processes(name):
    material = load_material(name)
    material.table()
    back = pickle.loads(pickle.dumps(material))
    assert back.digest() == material.digest()
    np.testing.assert_array_equal(
        back.water_content(np.array([0.3, 0.9])), material.water_content(np.array([0.3, 0.9]))
    )


def test_unknown_source_key():
    with pytest.raises(KeyError):
        load_material("solid-brick").source("colour")
