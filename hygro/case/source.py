"""The text of a case file, and how to point into it."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path as FilePath
from typing import Any

from hygro.case.lines import Path, key_lines, line_of
from hygro.errors import CaseError

_TWICE = {"[[": "a list of tables has double brackets at each of its tables"}
"""Hint where a key is given twice, by how the second one begins."""

_LARGEST = 5_000_000
"""Bytes; a case file is text that a person wrote."""


@dataclass(frozen=True)
class CaseSource:
    """A case file's text with the lines of its keys.

    Parameters
    ----------
    path : pathlib.Path
        Where it was read, or what it is called.
    text : str
        Its content.
    data : dict
        Its content, parsed.
    lines : dict
        Line of each key.
    """

    path: FilePath
    text: str
    data: dict[str, Any]
    lines: dict[Path, int]

    def where(self, path: Path) -> str:
        """Return file and line of a key."""
        return f"{self.path}:{line_of(self.lines, path)}"

    def error(
        self,
        path: Path,
        what: str,
        *,
        found: object = None,
        expected: str | None = None,
        hint: str | None = None,
    ) -> CaseError:
        """Build the error that points at a key."""
        return CaseError(what, where=self.where(path), found=found, expected=expected, hint=hint)


def read_text(path: FilePath) -> str:
    """Read a case file.

    Parameters
    ----------
    path : pathlib.Path
        A .toml file in UTF-8.

    Returns
    -------
    str
        Its text; each line ends with a plain line feed.

    Raises
    ------
    CaseError
        There is no such file, it is a directory, too large, unreadable or not in UTF-8.
    """
    if path.is_dir():
        raise CaseError("is a directory", where=str(path), expected="a case file (.toml)")
    try:
        size = path.stat().st_size
        raw = path.read_bytes() if size <= _LARGEST else b""
    except FileNotFoundError:
        raise CaseError("there is no such case file", where=str(path), hint=_beside(path)) from None
    except OSError as failure:
        raise CaseError(f"cannot be read ({failure.strerror})", where=str(path)) from None
    if size > _LARGEST:
        raise CaseError(f"is too large for a case file ({size} bytes)", where=str(path))
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as failure:
        line = raw.count(b"\n", 0, failure.start) + 1
        raise CaseError(
            "holds bytes that are not UTF-8", where=f"{path}:{line}", hint="save the file as UTF-8"
        ) from None
    return text.replace("\r\n", "\n")


def parse_source(text: str, path: FilePath) -> CaseSource:
    """Parse the text of a case file.

    Parameters
    ----------
    text : str
        TOML.
    path : pathlib.Path
        Named in errors.

    Returns
    -------
    CaseSource
        Text, data and lines.

    Raises
    ------
    CaseError
        The text is not TOML, or a key is given twice.
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as failure:
        raise _syntax_error(str(failure), text, path) from None
    return CaseSource(path, text, data, key_lines(text))


def near_file(path: FilePath) -> str | None:
    """Name the file beside a path that is most like it.

    Parameters
    ----------
    path : pathlib.Path
        A file that is not there.

    Returns
    -------
    str or None
        Name, without the directory, of a file of the same suffix.
    """
    try:
        names = sorted(entry.name for entry in path.parent.iterdir() if entry.suffix == path.suffix)
    except OSError:
        return None
    return next(iter(get_close_matches(path.name, names, n=1)), None)


def _beside(path: FilePath) -> str | None:
    """Name a case file that may have been meant."""
    if not path.parent.is_dir():
        return f"there is no directory {str(path.parent)!r} either"
    near = near_file(path)
    return f"did you mean {near!r}?" if near else None


def _syntax_error(message: str, text: str, path: FilePath) -> CaseError:
    """Turn a parser's message into a sentence with file and line."""
    place = re.search(r"\(at line (\d+), column (\d+)\)", message)
    line = int(place.group(1)) if place else max(text.rstrip().count("\n") + 1, 1)
    reason = re.sub(r"\s*\(at [^)]*\)$", "", message)
    where = f"{path}:{line}"
    content = text.splitlines()[line - 1].strip() if text.strip() else ""
    if reason.startswith("Cannot overwrite"):
        return CaseError("this key is given twice", where=where, found=content, hint=_TWICE.get(content[:2]))
    if reason.startswith("Cannot declare"):
        return CaseError(
            "this table is given twice",
            where=where,
            found=content,
            hint="keep one, or write [[...]] for a list of them",
        )
    what = f"not valid TOML ({reason[:1].lower()}{reason[1:]})"
    hint = _slip(reason, content)
    if path.suffix.lower() != ".toml":
        hint = "a case file ends in .toml"
    return CaseError(what, where=where, found=content or None, hint=hint)


def _slip(reason: str, content: str) -> str | None:
    """Name the slip that most often stands behind what the parser says."""
    if re.search(r"=\s*[+-]?\d+,\d+\s*(#|$)", content):
        return "decimals are written with a point"
    if reason.startswith(("Illegal character '\\n'", "Unterminated string")):
        return "a closing quote seems to be missing"
    return None
