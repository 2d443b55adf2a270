"""docs/scores.md keeps step with the registry."""

from pathlib import Path

from hygro.scores import DEFINITIONS
from hygro.scores.definitions import markdown_table

TEXT = (Path(__file__).parents[2] / "docs" / "scores.md").read_text(encoding="utf-8")


def test_docs_hold_the_table():
    assert markdown_table() in TEXT, "paste hygro.scores.definitions.markdown_table() into docs/scores.md"


def test_every_score_is_explained_beyond_the_table():
    rest = TEXT.replace(markdown_table(), "")
    assert [name for name in DEFINITIONS if f"`{name}`" not in rest] == []


def test_every_section_says_what_its_score_can_not_tell():
    sections = [part for part in TEXT.split("\n## ")[1:] if "**Value.**" in part]
    assert len(sections) == 5
    assert all("**What it can't tell.**" in part for part in sections)
