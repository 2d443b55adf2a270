"""Put measured tables into docs/benchmarks.md, between the marks that name them."""

import os
from pathlib import Path

PAGE = Path(__file__).parents[1] / "docs" / "benchmarks.md"


def fill(name, text, page=PAGE):
    """Replace what stands between `<!-- name -->` and `<!-- end of name -->`."""
    begin, end = f"<!-- {name} -->", f"<!-- end of {name} -->"
    old = page.read_text(encoding="utf-8")
    head, found, rest = old.partition(begin)
    _, closed, tail = rest.partition(end)
    if not (found and closed):
        raise SystemExit(f"{page} has no place marked {begin} ... {end}")
    temporary = page.with_suffix(".new")
    temporary.write_text(f"{head}{begin}\n\n{text}\n\n{end}{tail}", encoding="utf-8")
    os.replace(temporary, page)
