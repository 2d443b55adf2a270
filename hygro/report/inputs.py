"""What an assessment left in its directory: verdicts, answers, the case. Read, checked, typed."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any, TypeVar

from hygro.case.schema import CaseFile
from hygro.case.variants import Variant, expand
from hygro.decide.answers import Answer
from hygro.decide.verdict import Verdict
from hygro.errors import ResultError
from hygro.scores.states import Score

Record = TypeVar("Record", Verdict, Answer, Score)

VERDICTS = "verdicts.json"
_HINT = "run the assessment again"


@dataclass(frozen=True)
class Inputs:
    """An assessment as it lies in its directory.

    Parameters
    ----------
    out_dir : Path
        The directory.
    verdicts : tuple of Verdict
        One a variant.
    answers : tuple of Answer
        One a build-up and elevation.
    case : CaseFile
        The case with every default filled in.
    variants : mapping
        Variants of the case by slug.
    document : mapping
        The whole of verdicts.json.
    """

    out_dir: Path
    verdicts: tuple[Verdict, ...]
    answers: tuple[Answer, ...]
    case: CaseFile
    variants: Mapping[str, Variant]
    document: Mapping[str, Any]

    def verdict(self, slug: str) -> Verdict | None:
        """Return the verdict on a variant, None where there is none."""
        return next((verdict for verdict in self.verdicts if verdict.slug == slug), None)


def read_inputs(out_dir: Path) -> Inputs:
    """Read what an assessment wrote.

    Parameters
    ----------
    out_dir : Path
        Directory with verdicts.json.

    Returns
    -------
    Inputs

    Raises
    ------
    ResultError
        The directory or file is missing, is no JSON, or holds something else than verdicts of this version.
    """
    path = Path(out_dir) / VERDICTS
    document = _document(path)
    verdicts = tuple(_verdict(entry, path) for entry in _list(document, "verdicts", path))
    if not verdicts:
        raise ResultError("there is no verdict to report", where=str(path), hint=_HINT)
    answers = tuple(_answer(entry, path) for entry in _list(document, "answers", path))
    case = _case(document, path)
    variants = {variant.slug: variant for variant in expand(case)}
    for verdict in verdicts:
        if verdict.slug not in variants:
            raise ResultError(
                "a verdict belongs to no variant of the case", where=str(path), found=verdict.slug, hint=_HINT
            )
    return Inputs(Path(out_dir), verdicts, answers, case, variants, document)


def _document(path: Path) -> Mapping[str, Any]:
    if not path.is_file():
        raise ResultError(
            "there is no assessment to report",
            where=str(path),
            expected=VERDICTS,
            hint="run hygro assess first",
        )
    try:
        document = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError) as error:
        raise ResultError(
            "the verdicts cannot be read", where=str(path), found=str(error), hint=_HINT
        ) from error
    if not isinstance(document, dict):
        raise ResultError("the verdicts are unusable", where=str(path), expected="a JSON object", hint=_HINT)
    return document


def _list(document: Mapping[str, Any], key: str, path: Path) -> list[Any]:
    found = document.get(key)
    if not isinstance(found, list):
        raise ResultError(f"the verdicts lack the list {key!r}", where=str(path), hint=_HINT)
    return found


def _case(document: Mapping[str, Any], path: Path) -> CaseFile:
    from pydantic import ValidationError

    try:
        return CaseFile.model_validate(document.get("case_resolved"))
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        where = ".".join(str(part) for part in first["loc"]) or "case_resolved"
        raise ResultError(
            f"the case in the verdicts is unusable at {where}", where=str(path), hint=_HINT
        ) from error


def _verdict(entry: Any, path: Path) -> Verdict:
    data = _table(entry, "a verdict", path)
    scores = tuple(_record(Score, score, path) for score in data.get("scores", ()))
    return _record(
        Verdict, {**data, "governing": _score(data.get("governing"), path), "scores": scores}, path
    )


def _answer(entry: Any, path: Path) -> Answer:
    data = _table(entry, "an answer", path)
    lists = {key: tuple(value) for key, value in data.items() if isinstance(value, list)}
    return _record(
        Answer, {**data, **lists, "next_governing": _score(data.get("next_governing"), path)}, path
    )


def _score(entry: Any, path: Path) -> Score | None:
    return None if entry is None else _record(Score, entry, path)


def _table(entry: Any, what: str, path: Path) -> dict[str, Any]:
    if not isinstance(entry, dict):
        raise ResultError(f"{what} is unusable", where=str(path), found=entry, expected="a table", hint=_HINT)
    return entry


def _record(kind: type[Record], entry: Any, path: Path) -> Record:
    """Make a record of a table that must have exactly its keys."""
    data = _table(entry, f"a {kind.__name__.lower()}", path)
    wanted = {field.name for field in fields(kind)}
    odd = sorted(wanted.symmetric_difference(data))
    if odd:
        raise ResultError(
            f"a {kind.__name__.lower()} lacks or has an unknown key {odd[0]!r}",
            where=str(path),
            hint=f"it was written by another version of hygro; {_HINT}",
        )
    return kind(**data)
