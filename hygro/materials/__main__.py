"""`python -m hygro.materials [docs]`: write what the documentation says of the library from its data."""

from __future__ import annotations

import sys
from pathlib import Path

from hygro.materials.document import census_table, library_table
from hygro.materials.library import list_materials, load_material
from hygro.materials.pages import library_pages
from hygro.materials.pictures import write_picture
from hygro.whole_files import write_text

CENSUS, LIBRARY = "census", "library"
"""Marks in docs/materials.md between which tables are put."""


def fill(text: str, mark: str, content: str) -> str:
    """Put content between `<!-- mark -->` and `<!-- end of mark -->`.

    Raises
    ------
    SystemExit
        If the text has no such place.
    """
    begin, end = f"<!-- {mark} -->", f"<!-- end of {mark} -->"
    head, found, rest = text.partition(begin)
    _, closed, tail = rest.partition(end)
    if not (found and closed):
        raise SystemExit(f"there is no place marked {begin} ... {end}")
    return f"{head}{begin}\n\n{content}\n\n{end}{tail}"


def write_documentation(docs: Path) -> None:
    """Fill docs/materials.md and write docs/materials/.

    Parameters
    ----------
    docs : Path
        Folder of the documentation.
    """
    page = docs / "materials.md"
    text = fill(page.read_text(encoding="utf-8"), CENSUS, census_table())
    write_text(page, fill(text, LIBRARY, library_table()))
    folder = docs / "materials"
    pictures = folder / "pictures"
    pictures.mkdir(parents=True, exist_ok=True)
    pages = library_pages()
    for name, content in pages.items():
        write_text(folder / name, content)
    for stale in {path.name for path in folder.glob("*.md")} - set(pages):
        (folder / stale).unlink()
    drawn = {f"{name}.svg" for name in list_materials()}
    for name in list_materials():
        write_picture(load_material(name), pictures / f"{name}.svg")
    for stale in {path.name for path in pictures.glob("*.svg")} - drawn:
        (pictures / stale).unlink()


if __name__ == "__main__":
    write_documentation(Path(sys.argv[1]) if len(sys.argv) > 1 else Path("docs"))
