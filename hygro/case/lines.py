"""Where each key of a TOML text stands: dotted path to line number.

The text has already been parsed by `tomllib`, so the scanner trusts its syntax and only follows tables,
arrays of tables, keys, strings and brackets.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

Path = tuple[str | int, ...]
"""Keys and positions in arrays, from the top of the file."""

_KEY_PART = re.compile(r"""\s*(?:"((?:[^"\\]|\\.)*)"|'([^']*)'|([A-Za-z0-9_-]+))\s*""")
_SKIPPED = re.compile(
    r'"""(?:[^\\]|\\.)*?"{3,5}|' + r"'''.*?'{3,5}|" + r'"(?:[^"\\\n]|\\.)*"|' + r"'[^'\n]*'|#[^\n]*",
    re.DOTALL,
)


def key_lines(text: str) -> dict[Path, int]:
    """Find the line of each key and table.

    Parameters
    ----------
    text : str
        Valid TOML.

    Returns
    -------
    dict
        Line number from 1 by path. Keys inside inline tables are not listed: `line_of` falls back to the key
        that holds them.
    """
    lines: dict[Path, int] = {}
    counts: dict[Path, int] = {}
    table: Path = ()
    for position in _statements(text):
        line = text.count("\n", 0, position) + 1
        if text.startswith("[[", position):
            table = _resolve(_keys(text, position + 2), counts, new=True)
        elif text[position] == "[":
            table = _resolve(_keys(text, position + 1), counts, new=False)
        else:
            _note(lines, table + _keys(text, position), line)
            continue
        _note(lines, table, line)
    return lines


def line_of(lines: dict[Path, int], path: Path) -> int:
    """Return the line of a path, or of the nearest table or key that holds it (1 where none is known)."""
    for length in range(len(path), 0, -1):
        if path[:length] in lines:
            return lines[path[:length]]
    return 1


def _note(lines: dict[Path, int], path: Path, line: int) -> None:
    """Keep the first line of a path and of the tables it implies."""
    for length in range(1, len(path) + 1):
        lines.setdefault(path[:length], line)


def _statements(text: str) -> Iterator[int]:
    """Yield where each table header and each key begins."""
    position = 0
    while position < len(text):
        if text[position] in " \t\r\n":
            position += 1
        elif text[position] == "#":
            position = _end_of_line(text, position)
        else:
            yield position
            position = _end_of_statement(text, position)


def _end_of_statement(text: str, position: int) -> int:
    """Skip a header or a key with its value, over strings, comments and line breaks inside brackets."""
    depth = 0
    while position < len(text):
        skipped = _SKIPPED.match(text, position)
        if skipped:
            position = skipped.end()
            continue
        depth += (text[position] in "[{") - (text[position] in "]}")
        if text[position] == "\n" and depth == 0:
            return position
        position += 1
    return position


def _end_of_line(text: str, position: int) -> int:
    end = text.find("\n", position)
    return len(text) if end < 0 else end


def _keys(text: str, position: int) -> Path:
    """Read a dotted key."""
    keys: list[str] = []
    while part := _KEY_PART.match(text, position):
        keys.append(next(group for group in part.groups() if group is not None))
        position = part.end()
        if not text.startswith(".", position):
            break
        position += 1
    return tuple(keys)


def _resolve(keys: Path, counts: dict[Path, int], *, new: bool) -> Path:
    """Put the positions of arrays of tables between the keys of a header."""
    path: Path = ()
    for index, key in enumerate(keys):
        path += (key,)
        last = index == len(keys) - 1
        if new and last:
            counts[path] = counts.get(path, -1) + 1
        if path in counts:
            path += (counts[path],)
    return path
