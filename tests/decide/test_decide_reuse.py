from dataclasses import replace

import pytest
from tiny_study import CLIMATE, TEXT, write_study

import hygro
from hygro.case import load_case
from hygro.decide.reuse import is_reusable
from hygro.results import load, save
from hygro.results.simulate import simulate


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """Case, variant and result file of the bare wall."""
    folder = tmp_path_factory.mktemp("made")
    case = load_case(write_study(folder))
    variant = case.variants()[1]
    simulate(case, variant, out=folder / "run.nc")
    return case, variant, folder / "run.nc"


def test_the_result_of_the_same_case_and_variant_is_reused(made):
    case, variant, path = made
    assert is_reusable(path, case, variant)


def test_comments_in_the_case_do_not_matter(made, tmp_path):
    _, variant, path = made
    assert is_reusable(path, load_case(write_study(tmp_path, TEXT + "# a remark\n")), variant)


def test_a_changed_case_is_not_served_by_an_old_result(made, tmp_path):
    _, variant, path = made
    changed = load_case(write_study(tmp_path, TEXT.replace("225", "330")))
    assert not is_reusable(path, changed, variant)


def test_a_changed_weather_file_is_noticed(tmp_path, made):
    _, variant, path = made
    text = CLIMATE.read_text(encoding="utf-8")
    (tmp_path / "own.csv").write_text(text.replace("invented year", "own year"), encoding="utf-8")
    changed = load_case(write_study(tmp_path, TEXT.replace(CLIMATE.as_posix(), "own.csv")))
    assert not is_reusable(path, changed, variant)


def test_another_variant_is_not_served(made):
    case, variant, path = made
    others = [other for other in case.variants() if other.slug != variant.slug]
    assert not any(is_reusable(path, case, other) for other in others)
    assert not is_reusable(path, case, replace(variant, elevation=0.0))


def test_another_version_is_not_served(made, monkeypatch):
    case, variant, path = made
    monkeypatch.setattr(hygro, "__version__", "99.0")
    assert not is_reusable(path, case, variant)


def test_a_partial_result_is_not_served(made, tmp_path):
    case, variant, path = made
    dataset = load(path)
    dataset.attrs["status"] = "partial: hour 5"
    save(dataset, tmp_path / "partial.nc")
    assert not is_reusable(tmp_path / "partial.nc", case, variant)


def test_what_is_absent_or_no_result_is_not_served(made, tmp_path):
    case, variant, _ = made
    (tmp_path / "text.nc").write_text("no netCDF")
    assert not is_reusable(tmp_path / "absent.nc", case, variant)
    assert not is_reusable(tmp_path / "text.nc", case, variant)
