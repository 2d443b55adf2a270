"""Reading case files from disk."""

from __future__ import annotations

import pickle

import pytest

import hygro
from hygro.case import load_case
from hygro.errors import CaseError


@pytest.fixture
def folder(tmp_path, text):
    (tmp_path / "weather.csv").write_text("hour_ending_utc\n")
    (tmp_path / "wall.toml").write_text(text)
    return tmp_path


def test_a_good_file_loads(folder, own_materials, own_films):
    case = load_case(folder / "wall.toml", materials=own_materials, films=own_films)
    assert case.title == "A wall"
    assert case.path == folder / "wall.toml"
    assert case.source_text.startswith("title")
    assert hygro.load_case is load_case


def test_byte_order_mark_and_foreign_line_ends(folder, text, own_materials, own_films):
    (folder / "wall.toml").write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())
    case = load_case(str(folder / "wall.toml"), materials=own_materials, films=own_films)
    assert case.spec.wall.layer[0].thickness_mm == 225.0


def test_absent_file_names_a_near_miss(folder):
    with pytest.raises(CaseError, match=r"wal\.toml: there is no such case file; did you mean 'wall\.toml'"):
        load_case(folder / "wal.toml")


def test_absent_directory(folder):
    with pytest.raises(CaseError, match="there is no directory"):
        load_case(folder / "nowhere" / "wall.toml")


def test_directory_instead_of_file(folder):
    with pytest.raises(CaseError, match=r"is a directory, expected a case file \(\.toml\)"):
        load_case(folder)


def test_other_encoding_is_met_with_its_line(folder):
    (folder / "latin.toml").write_bytes('title = "a"\ndescription = "Gebäude"\n'.encode("latin-1"))
    with pytest.raises(
        CaseError, match=r"latin\.toml:2: holds bytes that are not UTF-8; save the file as UTF-8"
    ):
        load_case(folder / "latin.toml")


def test_an_empty_file_lacks_its_first_key(folder):
    (folder / "empty.toml").write_text("")
    with pytest.raises(CaseError, match=r"empty\.toml:1: the case lacks the key"):
        load_case(folder / "empty.toml")


def test_a_file_too_large_is_not_read(folder):
    with (folder / "large.toml").open("wb") as file:
        file.truncate(6_000_000)
    with pytest.raises(CaseError, match="too large"):
        load_case(folder / "large.toml")


def test_a_case_crosses_process_borders(folder, own_materials, own_films):
    """Batch workers get a case by pickling; the library's materials are looked up again on the other side."""
    case = load_case(folder / "wall.toml", materials=own_materials, films=own_films)
    copy = pickle.loads(pickle.dumps(case))
    assert copy.resolved() == case.resolved()
    assert copy.digest() == case.digest()
    assert copy.variants() == case.variants()


@pytest.mark.parametrize("name", ["\\u0000", "é" * 190, ".", "../.."])
@pytest.mark.parametrize("key", ["weather.csv", "brick"])
def test_names_of_files_that_no_file_can_have(folder, text, own_films, key, name):
    (folder / "odd.toml").write_text(
        text.replace(f'"{key}"', f'"{name}.toml"' if key == "brick" else f'"{name}"')
    )
    with pytest.raises(CaseError, match=r"odd\.toml:\d+: "):
        load_case(folder / "odd.toml", films=own_films)
