"""From verdicts to answers: the greatest thickness of each build-up, and what stops the next one."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from hygro.case.variants import BARE_WALL
from hygro.decide.verdict import Verdict
from hygro.decide.words import governing_words, heat_words, percent_words, thickness_words
from hygro.scores.states import Score

_PASSES = ("within", "for information")
_PERHAPS = ("within", "for information", "marginal")


@dataclass(frozen=True)
class Answer:
    """How thick one build-up may be on one elevation.

    Parameters
    ----------
    build_up : str
        Name of the build-up.
    elevation, elevation_name
        As in `hygro.case.Variant`.
    outcome : {"within", "marginal", "none", "unknown"}
        Whether some thickness stays within every limit, some is at most marginal, or none; "unknown" where
        the thinnest could not be computed.
    thicknesses_mm : tuple
        Candidates, thin to thick; (None,) where the build-up has no thickness to vary.
    states : tuple of str
        State of each candidate.
    greatest_within_mm : float or None
        Greatest thickness that stays within every limit together with all thinner ones.
    greatest_marginal_mm : float or None
        The same for within or marginal.
    chosen : str
        Slug of the variant that the numbers below belong to: the greatest within, else the greatest marginal;
        empty where there is neither.
    u_value, heat_saved, heat_saved_percent : float or None
        Of the chosen variant [W/(m2 K)], [kWh/(m2 a)], [%].
    next_thicker_mm : float or None
        The candidate after the chosen one (the thinnest, where none is chosen).
    next_state : str
        Its state; empty where there is no thicker candidate.
    next_governing : Score or None
        What governs it.
    sentence : str
        The answer in words.
    notes : tuple of str
        What a reader must know beside it.
    """

    build_up: str
    elevation: float | None
    elevation_name: str
    outcome: str
    thicknesses_mm: tuple[float | None, ...]
    states: tuple[str, ...]
    greatest_within_mm: float | None
    greatest_marginal_mm: float | None
    chosen: str
    u_value: float | None
    heat_saved: float | None
    heat_saved_percent: float | None
    next_thicker_mm: float | None
    next_state: str
    next_governing: Score | None
    sentence: str
    notes: tuple[str, ...]

    def to_dict(self) -> dict[str, Any]:
        """Return the answer as plain JSON-able values."""
        return asdict(self)


def answers_of(verdicts: Sequence[Verdict]) -> tuple[Answer, ...]:
    """Answer for each build-up on each elevation how thick it may be.

    Parameters
    ----------
    verdicts : sequence of Verdict
        Of one case.

    Returns
    -------
    tuple of Answer
        In the order of the verdicts; the bare wall has none of its own.
    """
    groups: dict[tuple[str, float | None], list[Verdict]] = {}
    bare: dict[float | None, Verdict] = {}
    for verdict in verdicts:
        if verdict.build_up == BARE_WALL:
            bare[verdict.elevation] = verdict
        else:
            groups.setdefault((verdict.build_up, verdict.elevation), []).append(verdict)
    return tuple(_answer(group, bare.get(elevation)) for (_, elevation), group in groups.items())


def _answer(group: Sequence[Verdict], bare: Verdict | None) -> Answer:
    candidates = sorted(group, key=lambda verdict: verdict.thickness_mm or 0.0)
    within = _last_of_run(candidates, lambda verdict: verdict.state in _PASSES)
    perhaps = _last_of_run(candidates, lambda verdict: verdict.state in _PERHAPS)
    chosen = within if within is not None else perhaps
    after = 0 if chosen is None else chosen + 1
    best = None if chosen is None else candidates[chosen]
    following = candidates[after] if after < len(candidates) else None
    outcome = _outcome(candidates, within, perhaps)
    return Answer(
        build_up=candidates[0].build_up,
        elevation=candidates[0].elevation,
        elevation_name=candidates[0].elevation_name,
        outcome=outcome,
        thicknesses_mm=tuple(verdict.thickness_mm for verdict in candidates),
        states=tuple(verdict.state for verdict in candidates),
        greatest_within_mm=None if within is None else candidates[within].thickness_mm,
        greatest_marginal_mm=None if perhaps is None else candidates[perhaps].thickness_mm,
        chosen=best.slug if best else "",
        u_value=best.u_value if best else None,
        heat_saved=best.heat_saved if best else None,
        heat_saved_percent=best.heat_saved_percent if best else None,
        next_thicker_mm=following.thickness_mm if following else None,
        next_state=following.state if following else "",
        next_governing=following.governing if following else None,
        sentence=_sentence(outcome, best, following),
        notes=_notes(candidates, within, perhaps, bare),
    )


def _last_of_run(candidates: Sequence[Verdict], passes: Callable[[Verdict], bool]) -> int | None:
    """Index of the last candidate up to which all pass, from the thinnest on."""
    last = None
    for index, verdict in enumerate(candidates):
        if not passes(verdict):
            break
        last = index
    return last


def _outcome(candidates: Sequence[Verdict], within: int | None, perhaps: int | None) -> str:
    if within is not None:
        return "within"
    if perhaps is not None:
        return "marginal"
    return "unknown" if candidates[0].status == "failed" else "none"


def _sentence(outcome: str, best: Verdict | None, following: Verdict | None) -> str:
    stopped = _stopped_by(following)
    if best is None:
        if outcome == "unknown":
            return f"unknown: {stopped}"
        varies = following is not None and following.thickness_mm is not None
        return f"none of the thicknesses: already {stopped}" if varies else f"exceeds a limit: {stopped}"
    thickness = thickness_words(best.thickness_mm)
    if outcome == "marginal":
        head = f"nothing clear of every limit; up to {thickness} marginal: {governing_words(best.governing)}"
    else:
        head = f"up to {thickness} within every limit"
    if best.thickness_mm is None:
        head = head.replace(f"up to {thickness}", thickness)
    saved = ""
    if best.heat_saved is not None:
        saved = f"; saves {heat_words(best.heat_saved)} ({percent_words(best.heat_saved_percent)})"
    return head + saved + (f"; {stopped}" if stopped else "")


def _stopped_by(following: Verdict | None) -> str:
    """Say what is wrong with the first candidate that was not chosen."""
    if following is None:
        return ""
    thickness = thickness_words(following.thickness_mm)
    if following.status == "failed":
        return f"{thickness} could not be computed"
    return f"{thickness} is {following.state}: {governing_words(following.governing)}"


def _notes(
    candidates: Sequence[Verdict], within: int | None, perhaps: int | None, bare: Verdict | None
) -> tuple[str, ...]:
    notes = [
        _bare_wall_note(bare),
        *_failed_notes(candidates),
        _not_relied_on(candidates, within, "within every limit", _PASSES),
        _not_relied_on(candidates, perhaps, "not beyond a limit", _PERHAPS) if within is None else "",
        _end_note(candidates, within),
    ]
    return tuple(note for note in notes if note)


def _bare_wall_note(bare: Verdict | None) -> str:
    if bare is None:
        return "no bare wall was computed to compare with"
    if bare.status == "failed":
        return "the bare wall could not be computed, so there is nothing to compare with"
    if bare.state == "exceeded":
        return f"the bare wall exceeds a limit by itself: {governing_words(bare.governing)}"
    if bare.state == "marginal":
        return f"the bare wall is marginal by itself: {governing_words(bare.governing)}"
    return ""


def _failed_notes(candidates: Sequence[Verdict]) -> list[str]:
    return [
        f"{thickness_words(verdict.thickness_mm)} failed: {verdict.message}"
        for verdict in candidates
        if verdict.status == "failed"
    ]


def _not_relied_on(
    candidates: Sequence[Verdict], last: int | None, what: str, states: tuple[str, ...]
) -> str:
    """Name thicker candidates that pass although a thinner one does not."""
    after = 0 if last is None else last + 1
    odd = [verdict for verdict in candidates[after:] if verdict.state in states]
    if not odd:
        return ""
    names = ", ".join(thickness_words(verdict.thickness_mm) for verdict in odd)
    are = "is" if len(odd) == 1 else "are"
    return (
        f"{names} {are} {what} although {thickness_words(candidates[after].thickness_mm)} is not; "
        "the answer stops where the first one fails"
    )


def _end_note(candidates: Sequence[Verdict], within: int | None) -> str:
    thickest = candidates[-1].thickness_mm
    if thickest is None or within != len(candidates) - 1:
        return ""
    return f"{thickness_words(thickest)} is the thickest candidate; a thicker one was not tried"
