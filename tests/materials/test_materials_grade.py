"""The grade follows from the kinds of the sources by the rule that the documentation states."""

import pytest

from hygro.materials import list_materials, load_material
from hygro.materials.grade import GRADES, NOT_COMPUTED, grade_of
from hygro.materials.sources import Source


def sources(kind="published", sample="core 1", **other):
    keys = ("density", "specific_heat", "free_saturation", "storage", "vapour", "liquid")
    made = {key: Source(key, "1", "a paper", kind, sample=sample) for key in keys}
    made["specific_heat"] = Source("specific_heat", "1", "a standard", "published")
    made["liquid"] = Source("liquid", "none", "the trade", "common practice")
    made["mould_sensitivity"] = Source("mould_sensitivity", "sensitive", "recalled", "memory")
    return {**made, **other}.values()


def test_one_sample_makes_a_measured_set():
    assert grade_of(sources()) == "measured set"
    assert grade_of(sources(kind="derived")) == "measured set"


def test_mould_classes_do_not_count_but_anything_computed_does():
    recalled = Source("specific_heat", "1", "recalled", "memory")
    assert grade_of(sources(specific_heat=recalled)) == "partly from memory"


@pytest.mark.parametrize(
    "other",
    [
        {"storage": Source("storage", "points", "another paper", "published", sample="core 2")},
        {"storage": Source("storage", "points", "a paper", "published")},
        {"storage": Source("storage", "points", "the trade", "common practice", sample="core 1")},
        {"absorption_coefficient": Source("absorption_coefficient", "1", "another paper", "published")},
    ],
)
def test_two_samples_or_none_make_a_composite(other):
    assert grade_of(sources(**other)) == "composite of sources"


def test_a_set_without_storage_is_none():
    assert grade_of([s for s in sources() if s.key != "storage"]) == "composite of sources"


@pytest.mark.parametrize("name", list_materials())
def test_every_material_has_its_grade(name):
    material = load_material(name)
    assert material.grade in GRADES
    recalled = {s.key for s in material.sources if s.kind == "memory"} - set(NOT_COMPUTED)
    assert (material.grade == "partly from memory") == bool(recalled)
