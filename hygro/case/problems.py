"""From what the schema refuses to one sentence with file, line and a near miss."""

from __future__ import annotations

from collections.abc import Callable
from difflib import get_close_matches
from typing import Any, get_args

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from hygro.case.lines import Path, line_of
from hygro.case.schema import CaseFile
from hygro.case.source import CaseSource
from hygro.errors import CaseError


def case_error(failure: ValidationError, source: CaseSource) -> CaseError:
    """Build the error for the first thing that is wrong.

    Unknown keys come first, since a mistyped key also leaves a key missing.

    Parameters
    ----------
    failure : ValidationError
        What the schema refused.
    source : CaseSource
        The text it came from.

    Returns
    -------
    CaseError
        One sentence.
    """
    errors = failure.errors(include_url=False)
    ranked = sorted(errors, key=lambda e: (e["type"] != "extra_forbidden", line_of(source.lines, e["loc"])))
    first = ranked[0]
    build = _BUILDERS.get(first["type"], _wrong_value)
    return build(first, source)


def _table(path: Path) -> str:
    """Write the table that holds a key as it stands in the file."""
    names = ".".join(str(part) for part in path[:-1] if isinstance(part, str))
    if not names:
        return "the case"
    in_list = len(path) > 1 and isinstance(path[-2], int)
    return f"[[{names}]]" if in_list else f"[{names}]"


def _model_at(path: Path) -> type[BaseModel] | None:
    """Follow a path through the schema to the section that holds its last key."""
    model: type[BaseModel] | None = CaseFile
    for part in path[:-1]:
        if isinstance(part, int) or model is None:
            continue
        field = _fields(model).get(part)
        model = _section_in(field) if field is not None else None
    return model


def _section_in(annotation: Any) -> type[BaseModel] | None:
    """Find the section inside an annotation such as tuple[Section, ...] or Section | None."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((found for part in get_args(annotation) if (found := _section_in(part))), None)


def _fields(model: type[BaseModel]) -> dict[str, Any]:
    """Return the keys of a section as the file writes them, with their annotations."""
    return {field.alias or name: field.annotation for name, field in model.model_fields.items()}


def _unknown_key(error: ErrorDetails, source: CaseSource) -> CaseError:
    path = error["loc"]
    key = str(path[-1])
    model = _model_at(path)
    known = sorted(_fields(model)) if model else []
    close = get_close_matches(key, known, n=1, cutoff=0.6)
    if close:
        hint = f"did you mean {close[0]!r}?"
    elif home := _home_of(key, model):
        hint = f"that key belongs in [{home}]"
    else:
        hint = f"known are {', '.join(known)}"
    return source.error(path, f"unknown key {key!r} in {_table(path)}", hint=hint)


def _home_of(key: str, model: type[BaseModel] | None) -> str | None:
    """Name the section that knows a key put elsewhere."""
    for name, annotation in _fields(CaseFile).items():
        section = _section_in(annotation)
        if section is not None and section is not model and key in _fields(section):
            return name
    return None


def _missing_key(error: ErrorDetails, source: CaseSource) -> CaseError:
    path = error["loc"]
    model = _model_at(path)
    field = (
        next((f for n, f in model.model_fields.items() if (f.alias or n) == path[-1]), None)
        if model
        else None
    )
    meaning = f" ({field.description.rstrip('.')})" if field and field.description else ""
    return source.error(path, f"{_table(path)} lacks the key {str(path[-1])!r}{meaning}")


def _wrong_choice(error: ErrorDetails, source: CaseSource) -> CaseError:
    expected = error.get("ctx", {}).get("expected", "")
    choices = [choice.strip("'") for choice in str(expected).replace(" or ", ", ").split(", ")]
    close = get_close_matches(str(error["input"]), choices, n=1, cutoff=0.6)
    return source.error(
        error["loc"],
        f"{_key(error)} is none of the choices",
        found=error["input"],
        expected=f"one of {', '.join(choices)}",
        hint=f"did you mean {close[0]!r}?" if close else None,
    )


def _refused(error: ErrorDetails, source: CaseSource) -> CaseError:
    parts = error.get("ctx", {})
    what = f"{_key(error)} {parts['what']}"
    found = error["input"] if parts["shown"] else None
    return source.error(error["loc"], what, found=found, expected=parts["expected"], hint=parts["hint"])


def _wrong_value(error: ErrorDetails, source: CaseSource) -> CaseError:
    expected, hint = _EXPECTED.get(error["type"], lambda _: (error["msg"], None))(error)
    out_of_range = error["type"] in _RANGES
    what = f"{_key(error)} is {'out of range' if out_of_range else 'of the wrong kind'}"
    return source.error(error["loc"], what, found=_short(error["input"]), expected=expected, hint=hint)


def _key(error: ErrorDetails) -> str:
    """Name a key with its table."""
    named: Path = error["loc"]
    while named and isinstance(named[-1], int):
        named = named[:-1]
    if not named:
        return "the case"
    return f"{named[-1]!r} in {_table(named)}"


def _short(value: object) -> object:
    """Shorten what is too long to be read in a sentence; tables are left out."""
    if isinstance(value, dict) or (isinstance(value, list) and value and isinstance(value[0], dict)):
        return None
    return value if len(repr(value)) <= 80 else f"{repr(value)[:77]}..."


def _bound(error: ErrorDetails) -> tuple[str, str | None]:
    (name, value) = next(iter(error["ctx"].items()))
    words = {"gt": "above", "ge": "at least", "lt": "below", "le": "at most"}
    return f"{words[name]} {value:g}", None


def _number(error: ErrorDetails) -> tuple[str, str | None]:
    quoted = isinstance(error["input"], str)
    return "a number", "write it without quotes and without a unit" if quoted else None


def _plain(expected: str) -> Callable[[ErrorDetails], tuple[str, str | None]]:
    return lambda _: (expected, None)


_RANGES = {"greater_than", "greater_than_equal", "less_than", "less_than_equal"}

_EXPECTED: dict[str, Callable[[ErrorDetails], tuple[str, str | None]]] = {
    **dict.fromkeys(_RANGES, _bound),
    "float_type": _number,
    "int_type": lambda e: ("a whole number", None),
    "finite_number": _plain("a finite number"),
    "string_type": _plain("text in quotes"),
    "string_too_short": _plain("some text"),
    "string_too_long": _plain("a shorter text"),
    "bool_type": _plain("true or false"),
    "tuple_type": lambda e: (
        ("a list of tables, each under double brackets [[...]]", None)
        if isinstance(e["input"], dict)
        else ("a list", None)
    ),
    "dict_type": _plain("a table"),
    "model_type": _plain("one table, under single brackets [...]"),
}

_BUILDERS: dict[str, Callable[[ErrorDetails, CaseSource], CaseError]] = {
    "extra_forbidden": _unknown_key,
    "missing": _missing_key,
    "literal_error": _wrong_choice,
    "refused": _refused,
}
