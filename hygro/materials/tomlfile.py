"""Reading TOML so that each key keeps the line it stands on."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

from hygro.errors import MaterialError

_HEADER = re.compile(r"^\s*\[([A-Za-z0-9_.\- ]+)\]")
_KEY = re.compile(r"^\s*([A-Za-z0-9_-]+)\s*=")
_TOML_LINE = re.compile(r"\(at line (\d+), column \d+\)|\(at end of document\)")


def read_toml(path: Path) -> tuple[dict[str, Any], dict[str, int]]:
    """Read a file.

    Parameters
    ----------
    path : Path
        A TOML file.

    Returns
    -------
    data : dict
        Its content.
    lines : dict
        Line number of every dotted key and section.

    Raises
    ------
    MaterialError
        If the file cannot be read or is no TOML; names the line.
    """
    try:
        text = path.read_text(encoding="utf-8")
    except OSError as error:
        raise MaterialError(f"the material file cannot be read ({error})", where=str(path)) from None
    except UnicodeDecodeError:
        raise MaterialError(
            "the material file holds bytes that are not UTF-8", where=str(path), hint="save the file as UTF-8"
        ) from None
    try:
        return tomllib.loads(text), _lines(text)
    except tomllib.TOMLDecodeError as error:
        found = re.search(r"at line (\d+)", str(error))
        line = found.group(1) if found else max(text.rstrip().count("\n") + 1, 1)
        where = f"{path}:{line}"
        what = _TOML_LINE.sub("", str(error)).strip()
        raise MaterialError(f"the file is not valid TOML ({what})", where=where) from None


def _lines(text: str) -> dict[str, int]:
    lines: dict[str, int] = {}
    section = ""
    for number, line in enumerate(text.splitlines(), start=1):
        if header := _HEADER.match(line):
            section = header.group(1).strip()
            lines.setdefault(section, number)
        elif key := _KEY.match(line):
            lines.setdefault(f"{section}.{key.group(1)}" if section else key.group(1), number)
    return lines
