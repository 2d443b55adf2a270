"""One tree of exceptions. Each carries an exit code and one sentence for the person who reads it."""

from __future__ import annotations


class HygroError(Exception):
    """Base of all errors that hygro expects.

    The message is one sentence built from the parts that are known: where it happened, what is wrong, what
    was found, what was expected, and what to try.

    Parameters
    ----------
    what : str
        What is wrong, in plain words.
    where : str, optional
        File and line, or time and cell.
    found : object, optional
        The offending value.
    expected : str, optional
        What would have been right.
    hint : str, optional
        What to try next.
    """

    exit_code = 1

    def __init__(
        self,
        what: str,
        *,
        where: str | None = None,
        found: object = None,
        expected: str | None = None,
        hint: str | None = None,
    ) -> None:
        self.what = what
        self.where = where
        self.found = found
        self.expected = expected
        self.hint = hint
        super().__init__(self.sentence())

    def sentence(self) -> str:
        """Return the whole message as one sentence."""
        text = f"{self.where}: {self.what}" if self.where else self.what
        if self.found is not None:
            text += f", found {self.found!r}"
        if self.expected:
            text += f", expected {self.expected}"
        if self.hint:
            text += f"; {self.hint}"
        return text if text.endswith("?") else text + "."

    def __reduce__(self) -> tuple[object, ...]:
        """Rebuild across process borders, where keyword-only arguments would be lost."""
        return _rebuild, (type(self), self.what, self.where, self.found, self.expected, self.hint)


def _rebuild(
    kind: type[HygroError],
    what: str,
    where: str | None,
    found: object,
    expected: str | None,
    hint: str | None,
) -> HygroError:
    return kind(what, where=where, found=found, expected=expected, hint=hint)


class CaseError(HygroError):
    """The case file is not usable."""

    exit_code = 3


class MaterialError(HygroError):
    """A material is unknown, incomplete or contradicts itself."""

    exit_code = 3


class ClimateError(HygroError):
    """A weather or room record is not usable."""

    exit_code = 3


class ResultError(HygroError):
    """A result file is missing, damaged or lacks what is asked of it."""

    exit_code = 3


class SolverError(HygroError):
    """The march could not go on; what was computed up to there is kept."""

    exit_code = 4


class LimitError(HygroError):
    """No candidate stays within the limits (raised only where the user asked for that to be an error)."""

    exit_code = 5


class BatchError(HygroError):
    """Some variants failed; the results of the others are kept."""

    exit_code = 6
