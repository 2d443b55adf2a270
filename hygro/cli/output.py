"""Results on stdout: tables for people, JSON for programs."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any, Final

import click

if TYPE_CHECKING:
    from rich.console import Console

PLAIN_WIDTH: Final = 150
"""Columns of text where stdout is no terminal."""

_SYMBOLS: Final = {
    "within": "✓",
    "marginal": "~",
    "exceeded": "✗",
    "for information": "·",
    "unknown": "?",
}
_PLAIN_SYMBOLS: Final = {**_SYMBOLS, "within": "+", "exceeded": "x", "for information": "."}


def print_json(value: Any) -> None:
    """Print a value as JSON on stdout."""
    click.echo(json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False))


def counted(number: int, noun: str) -> str:
    """Say how many there are of something: "1 year", "10 years"."""
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def console() -> Console:
    """Return a console on the stdout of the moment; names are printed as they are, never read as markup."""
    from rich.console import Console

    width = None if sys.stdout.isatty() else PLAIN_WIDTH
    return Console(file=sys.stdout, width=width, markup=False, highlight=False, emoji=False)


def print_table(title: str, columns: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
    """Print a table; a column whose name ends in ">" is set to the right.

    Parameters
    ----------
    title : str
        Above the table; may be empty.
    columns : sequence of str
        Headings.
    rows : iterable of sequences of str
        Cells.
    """
    from rich.box import ASCII2, SIMPLE_HEAD
    from rich.table import Table

    box = SIMPLE_HEAD if _prints("─") else ASCII2
    table = Table(box=box, pad_edge=False)
    for heading in columns:
        right = heading.endswith(">")
        table.add_column(heading.rstrip(">"), justify="right" if right else "left", overflow="fold")
    for row in rows:
        table.add_row(*row)
    if title:
        click.echo(title)
    console().print(table)


def state_words(state: str) -> str:
    """Return a state as symbol and word, so that no colour is needed to tell it."""
    symbols = _SYMBOLS if _prints("".join(_SYMBOLS.values())) else _PLAIN_SYMBOLS
    return f"{symbols.get(state, '?')} {state}"


def _prints(text: str) -> bool:
    """Tell whether stdout has these characters."""
    try:
        text.encode(getattr(sys.stdout, "encoding", None) or "ascii")
    except (UnicodeEncodeError, LookupError):
        return False
    return True
