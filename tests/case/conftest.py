"""The small case, read in a directory of its own."""

from __future__ import annotations

from pathlib import Path

import pytest
from small_case import TEXT, simple_films, simple_materials

from hygro.case import Case, parse_case
from hygro.errors import CaseError


@pytest.fixture(scope="session")
def own_materials():
    return simple_materials()


@pytest.fixture(scope="session")
def own_films():
    return simple_films()


@pytest.fixture
def text() -> str:
    return TEXT


@pytest.fixture
def read(tmp_path: Path, own_materials, own_films):
    """Return a function that checks a text as a case in a directory that holds weather.csv."""
    (tmp_path / "weather.csv").write_text("hour_ending_utc\n")

    def read_case(text: str = TEXT) -> Case:
        return parse_case(text, tmp_path / "wall.toml", materials=own_materials, films=own_films)

    return read_case


@pytest.fixture
def refusal(read):
    """Return a function that gives the sentence (from the line number on) that refuses a changed case."""

    def sentence(old: str, new: str) -> str:
        assert old in TEXT, f"{old!r} is not in the text"
        with pytest.raises(CaseError) as caught:
            read(TEXT.replace(old, new, 1))
        return str(caught.value).split("wall.toml")[-1].lstrip(":")

    return sentence
