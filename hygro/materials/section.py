"""One section of a material file: values taken out by type, and complaints that name the line."""

from __future__ import annotations

import difflib
import math
from pathlib import Path
from typing import Any, NoReturn

from hygro.errors import MaterialError
from hygro.materials.sources import KINDS, Source

ROUNDING = 1e-9
"""Share by which a value moved to an end of its spread may miss it, for the last digits of the arithmetic."""


class Section:
    """A table of a TOML file, read once, key by key.

    Parameters
    ----------
    path : Path
        The file, for messages.
    name : str
        Dotted name; empty for the top level.
    data : dict
        The table.
    lines : dict
        Line of each dotted key of the file.
    """

    def __init__(self, path: Path, name: str, data: dict[str, Any], lines: dict[str, int]) -> None:
        self.path, self.name, self.data, self.lines = path, name, data, lines
        self.seen: set[str] = set()

    def __contains__(self, key: str) -> bool:
        return key in self.data

    def fail(self, what: str, key: str = "", **parts: Any) -> NoReturn:
        """Raise with file and line.

        Raises
        ------
        MaterialError
            Always.
        """
        raise MaterialError(what, where=self.where(key), **parts)

    def where(self, key: str = "") -> str:
        """File and line of a key, or of the section."""
        dotted = ".".join(part for part in (self.name, key) if part)
        line = self.lines.get(dotted, self.lines.get(self.name))
        return f"{self.path}:{line}" if line else str(self.path)

    def take(self, key: str, expected: str | None = None) -> Any:
        """Take a value that must be there; `expected` says what, where it is not.

        Raises
        ------
        MaterialError
            If it is not.
        """
        self.seen.add(key)
        if key not in self.data:
            close = self._near(key, set(self.data) - self.seen)
            hint = f"is {close!r} meant for it?" if close else None
            self.fail(f"{self._called(key)} is missing", key, expected=expected, hint=hint)
        return self.data[key]

    def text(self, key: str, choices: tuple[str, ...] | None = None) -> str:
        """Take a text, one of `choices` where given.

        Raises
        ------
        MaterialError
            If it is missing, empty, no text or none of the choices.
        """
        value = self.take(key)
        if not isinstance(value, str) or not value.strip():
            self.fail(f"{self._called(key)} must be a text", key, found=value)
        if choices and value not in choices:
            close = self._near(value, set(choices))
            self.fail(
                f"{self._called(key)} is not known",
                key,
                found=value,
                expected="one of " + ", ".join(choices),
                hint=f"did you mean {close!r}?" if close else None,
            )
        return value

    def flag(self, key: str, default: bool | None = None) -> bool:
        """Take true or false.

        Raises
        ------
        MaterialError
            If it is missing without a default, or something else.
        """
        if key not in self.data and default is not None:
            return default
        value = self.take(key)
        if not isinstance(value, bool):
            self.fail(f"{self._called(key)} must be true or false", key, found=value)
        return value

    def number(self, key: str, unit: str = "") -> float:
        """Take a finite number.

        Raises
        ------
        MaterialError
            If it is missing, text, or not finite.
        """
        return self._number(key, self.take(key), unit)

    def numbers(self, key: str, unit: str = "") -> tuple[float, ...]:
        """Take a list of finite numbers.

        Raises
        ------
        MaterialError
            If it is missing, no list, empty, or holds something else.
        """
        value = self.take(key)
        if not isinstance(value, list) or not value:
            self.fail(
                f"{self._called(key)} must be a list of numbers", key, found=value, expected=unit or None
            )
        return tuple(self._number(key, item, unit) for item in value)

    def section(self, key: str) -> Section:
        """Enter a table inside this one.

        Raises
        ------
        MaterialError
            If it is missing or no table.
        """
        name = f"{self.name}.{key}" if self.name else key
        value = self.take(key, expected=f"a section [{name}], see docs/materials.md")
        if not isinstance(value, dict):
            self.fail(
                f"{key} needs its source beside it",
                key,
                found=value,
                expected=f"a section [{name}] with value, unit, kind and source",
            )
        return Section(self.path, name, value, self.lines)

    def origin(self, value: str, typical: float | None = None) -> Source:
        """Take `kind`, `source`, `sample` and the spread of a section with a value.

        Parameters
        ----------
        value : str
            The value as text.
        typical : float, optional
            The number that a spread must bracket; without it a spread is refused.

        Raises
        ------
        MaterialError
            If one is missing or the spread does not bracket the value.
        """
        low, high = self._spread(typical)
        kind = self.text("kind", KINDS)
        why = self.text("spread") if "spread" in self else ""
        sample = self.text("sample") if "sample" in self else ""
        return Source(self.name, value, self.text("source"), kind, low, high, why, sample)  # type: ignore[arg-type]

    def _spread(self, typical: float | None) -> tuple[float | None, float | None]:
        stated = [key for key in ("low", "high", "spread") if key in self]
        if not stated:
            return None, None
        if typical is None:
            self.fail(f"[{self.name}] has no single number that a spread could belong to", stated[0])
        low, high = self.number("low"), self.number("high")
        if low > high:
            self.fail("the spread is upside down", "low", found=(low, high), expected="low below high")
        slack = ROUNDING * abs(typical)
        if not low - slack <= typical <= high + slack:
            self.fail(
                f"the spread of {self.name} does not hold its own value",
                "low" if typical < low else "high",
                found=(low, high),
                expected=f"low at most and high at least {typical:.4g}",
            )
        return low, high

    def finish(self) -> None:
        """Refuse keys that nothing asked for.

        Raises
        ------
        MaterialError
            Naming the first of them and the nearest key that is known here.
        """
        for key in self.data:
            if key not in self.seen:
                close = self._near(key, self.seen)
                self.fail(
                    f"unknown key {key!r}" + (f" in [{self.name}]" if self.name else ""),
                    key,
                    expected="one of " + ", ".join(sorted(self.seen)),
                    hint=f"did you mean {close!r}?" if close else None,
                )

    def _number(self, key: str, value: Any, unit: str) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
            expected = f"a number in {unit}" if unit and unit != "1" else "a number"
            self.fail(f"{self._called(key)} must be a number", key, found=value, expected=expected)
        return float(value)

    def _called(self, key: str) -> str:
        return f"{key} of [{self.name}]" if self.name else key

    @staticmethod
    def _near(word: str, words: set[str]) -> str | None:
        close = difflib.get_close_matches(word, sorted(words), n=1, cutoff=0.6)
        return close[0] if close else None
