"""The pages of the documentation are those that the data make."""

import math
import re
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import numpy as np
import pytest

from hygro.materials import list_films, list_materials, load_material
from hygro.materials.__main__ import CENSUS, LIBRARY, fill, write_documentation
from hygro.materials.document import census_table, library_table
from hygro.materials.pages import curve_points, library_pages, warnings_of
from hygro.materials.pictures import picture, ticks

DOCS = Path(__file__).parents[2] / "docs"
FOLDER = DOCS / "materials"
PAGES = library_pages()
AGAIN = "run `python -m hygro.materials docs`"


def test_the_tables_of_the_page_are_current():
    text = (DOCS / "materials.md").read_text(encoding="utf-8")
    assert library_table() in text, AGAIN
    assert census_table() in text, AGAIN


@pytest.mark.parametrize("name", PAGES)
def test_the_page_of_every_shelf_is_current(name):
    assert (FOLDER / name).read_text(encoding="utf-8") == PAGES[name], AGAIN


def test_no_page_and_no_picture_is_left_over():
    assert {path.name for path in FOLDER.glob("*.md")} == set(PAGES)
    pictures = {path.stem: path for path in (FOLDER / "pictures").iterdir()}
    assert set(pictures) == set(list_materials())
    assert max(path.stat().st_size for path in pictures.values()) < 40_000


def test_every_material_and_film_stands_on_one_page():
    shelves = [text for name, text in PAGES.items() if name not in ("README.md", "memory.md")]
    for name in (*list_materials(), *list_films()):
        assert sum(f'<a id="{name}"></a>' in text for text in shelves) == 1
        assert f"`{name}`" in PAGES["README.md"]


def test_every_recalled_value_is_listed():
    rows = re.findall(r"^\| `", PAGES["memory.md"], flags=re.MULTILINE)
    assert len(rows) == len(re.findall(r"^\| [^|]+\| [^|]+\| [^|]*\| memory \|", "".join(
        text for name, text in PAGES.items() if name != "memory.md"), flags=re.MULTILINE))  # fmt: skip


def test_warnings_speak_of_what_matters():
    limestone = " ".join(warnings_of(load_material("limestone")))
    assert "From memory, unconfirmed: free saturation" in limestone
    assert "absorption coefficient spreads over a factor of 15" in limestone
    assert "No liquid moves" in " ".join(warnings_of(load_material("granite")))
    assert "No liquid moves" not in limestone


@pytest.mark.parametrize("name", ["solid-brick", "foam-foil-faced", "softwood"])
def test_a_picture_is_the_same_each_time_and_well_formed(name):
    material = load_material(name)
    drawn = picture(material)
    assert drawn == picture(material)
    tree = ElementTree.fromstring(drawn)
    lines = [node for node in tree.iter() if node.tag.endswith("polyline")]
    assert len(lines) == (5 if curve_points(material)["liquid"][0].size else 4)
    for line in lines:
        points = np.array([pair.split(",") for pair in line.attrib["points"].split()], dtype=float)
        assert np.all(np.isfinite(points))
        assert points.min() >= 0.0
        assert points[:, 1].max() <= 121.0  # the lower edge of a panel


@pytest.mark.parametrize(
    ("low", "high"), [(0.0, 100.0), (0.0, 0.0231), (-17.3, -8.2), (5.0, 5.0), (0.0, 1e6), (0.0, 3.05)]
)
def test_ticks_are_round_and_span_the_range(low, high):
    found = ticks(low, high)
    assert found[0] <= low <= high <= found[-1]
    assert 2 <= len(found) <= 5
    step = found[1] - found[0]
    assert step / 10.0 ** math.floor(math.log10(step) + 1e-9) == pytest.approx(
        min((1.0, 2.0, 5.0), key=lambda m: abs(step / 10.0 ** math.floor(math.log10(step) + 1e-9) - m))
    )


def test_documentation_is_written_and_cleared(tmp_path):
    (tmp_path / "materials" / "pictures").mkdir(parents=True)
    (tmp_path / "materials" / "old-shelf.md").write_text("gone")
    (tmp_path / "materials" / "pictures" / "old.svg").write_text("gone")
    marks = "".join(f"<!-- {mark} -->\nold\n<!-- end of {mark} -->\n" for mark in (CENSUS, LIBRARY))
    (tmp_path / "materials.md").write_text(f"# Head\n{marks}tail\n")
    write_documentation(tmp_path)
    text = (tmp_path / "materials.md").read_text(encoding="utf-8")
    assert text.startswith("# Head\n")
    assert text.endswith("tail\n")
    assert "old" not in text.replace("solid-brick, old", "").split("| name |")[0]
    assert {path.name for path in (tmp_path / "materials").glob("*.md")} == set(PAGES)
    assert not (tmp_path / "materials" / "pictures" / "old.svg").exists()
    assert not list(tmp_path.rglob("*.new"))


def test_a_page_without_its_place_is_refused():
    with pytest.raises(SystemExit, match="no place marked <!-- census -->"):
        fill("nothing", CENSUS, "text")
