"""What recalled values decide: the answer of a case with each of them at both ends of its spread."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from hygro.case import Case, Variant
from hygro.case.variants import BARE_WALL
from hygro.decide.answers import Answer, answers_of
from hygro.decide.material_spread import ENDS
from hygro.decide.verdict import Verdict, verdict_of
from hygro.errors import MaterialError
from hygro.materials import Material, ThinLayer
from hygro.materials.sources import End, Kind, Source
from hygro.materials.varied import value_at_spread
from hygro.results.simulate import simulate
from hygro.scores.states import Score

RECALLED: Final[tuple[Kind, ...]] = ("memory",)
"""Kinds of values moved where nothing else is asked for."""


@dataclass(frozen=True)
class Outcome:
    """What a case answers with one set of values.

    Parameters
    ----------
    answer : Answer
        Without what is saved: the bare wall is not computed.
    verdict : Verdict
        On the variant that is followed.
    followed : Score or None
        The score there that governs with the values as stated; None where nothing is judged.
    """

    answer: Answer
    verdict: Verdict
    followed: Score | None


@dataclass(frozen=True)
class MemoryEffect:
    """One build-up on one elevation with one value at both ends of its spread.

    The variant that is followed through the rows is the one that decides with the values as stated: the
    first that does not pass, or the thickest where all are at most marginal.

    Parameters
    ----------
    material : str
        Material or film, as the case names it.
    source : Source
        Key, kind and ends of the value.
    typical : float or None
        The value as stated, as `value_at_spread` has it.
    build_up, elevation_name : str
        As in `hygro.case.Variant`.
    stated : Outcome
        With every value as stated.
    low, high : Outcome or None
        With this one at an end, in every layer of the material; None where it was not moved.
    not_moved : str
        Why an end is missing; empty otherwise.
    """

    material: str
    source: Source
    typical: float | None
    build_up: str
    elevation_name: str
    stated: Outcome
    low: Outcome | None
    high: Outcome | None
    not_moved: str

    @property
    def answer_moves(self) -> bool:
        """Whether the greatest thickness, within or marginal, is another at one of the ends."""
        return any(
            _thicknesses(end) != _thicknesses(self.stated) for end in (self.low, self.high) if end is not None
        )


def memory_effect(
    case: Case,
    *,
    kinds: Sequence[Kind] = RECALLED,
    progress: Callable[[str, str, str], None] | None = None,
) -> list[MemoryEffect]:
    """Move each recalled value of the materials and films of a case to both ends of its spread.

    Each is moved alone, and in every layer of its material at once, as `Material.with_value` does it. Bare
    walls are not computed.

    Parameters
    ----------
    case : Case
        A checked case with a build-up.
    kinds : sequence of Kind
        Which values to move, by how sure they are.
    progress : callable, optional
        Called with material, key and end before each value is moved.

    Returns
    -------
    list of MemoryEffect
        One for each value, build-up and elevation. Values that state no spread, or that cannot be moved
        there, are among them with the reason.

    Raises
    ------
    SolverError
        A march could not go on.
    """
    variants = [variant for variant in case.variants() if variant.build_up != BARE_WALL]
    stated = [_verdict(case, variant) for variant in variants]
    followed = [(verdict.slug, verdict.governing) for verdict in map(_deciding(stated), answers_of(stated))]
    as_stated = _outcomes(stated, followed)
    effects = []
    for name, thing in _things(case, variants).items():
        for source in (source for source in thing.sources if source.kind in kinds):
            ends: dict[End, list[Outcome]] = {}
            reasons: list[str] = []
            for end in ENDS:
                if progress is not None:
                    progress(name, source.key, end)
                try:
                    moved = thing.with_value(source.key, end)
                except MaterialError as failure:
                    reasons.append(failure.what)
                    continue
                verdicts = _verdicts(_with(case, name, moved), name, variants, stated)
                ends[end] = _outcomes(verdicts, followed)
            effects += [
                MemoryEffect(
                    material=name,
                    source=source,
                    typical=value_at_spread(thing, source.key),
                    build_up=outcome.answer.build_up,
                    elevation_name=outcome.answer.elevation_name,
                    stated=outcome,
                    low=ends["low"][index] if "low" in ends else None,
                    high=ends["high"][index] if "high" in ends else None,
                    not_moved="; ".join(dict.fromkeys(reasons)),
                )
                for index, outcome in enumerate(as_stated)
            ]
    return effects


def _things(case: Case, variants: Sequence[Variant]) -> dict[str, Material | ThinLayer]:
    """Materials and films by the names of the case, from outside to inside."""
    things: dict[str, Material | ThinLayer] = {}
    for layer in (layer for variant in variants for layer in variant.layers):
        if layer.film:
            things.setdefault(layer.film, case.film(layer))
        elif layer.mixed:
            for name, _ in layer.mixed:
                things.setdefault(name, case.named_material(name, layer.path))
        elif layer.material and not layer.air_layer:
            things.setdefault(layer.material, case.material(layer))
    return things


def _with(case: Case, name: str, thing: Material | ThinLayer) -> Case:
    if isinstance(thing, ThinLayer):
        return replace(case, films={**case.films, name: thing})
    return replace(case, materials={**case.materials, name: thing})


def _verdict(case: Case, variant: Variant) -> Verdict:
    return verdict_of(simulate(case, variant), variant)


def _verdicts(case: Case, name: str, variants: Sequence[Variant], stated: Sequence[Verdict]) -> list[Verdict]:
    """Verdicts anew of the variants that hold a material; those of the others stand."""
    return [
        _verdict(case, variant) if name in _names(variant) else verdict
        for variant, verdict in zip(variants, stated, strict=True)
    ]


def _names(variant: Variant) -> Iterator[str | None]:
    for layer in variant.layers:
        yield from (layer.material, layer.film, *(name for name, _ in layer.mixed))


def _deciding(verdicts: Sequence[Verdict]) -> Callable[[Answer], Verdict]:
    """Return a function that finds the first variant that does not pass, or the thickest where all pass."""

    def find(answer: Answer) -> Verdict:
        group = [
            verdict
            for verdict in verdicts
            if (verdict.build_up, verdict.elevation) == (answer.build_up, answer.elevation)
        ]
        group.sort(key=lambda verdict: verdict.thickness_mm or 0.0)
        chosen = [verdict.slug for verdict in group].index(answer.chosen) if answer.chosen else -1
        return group[min(chosen + 1, len(group) - 1)]

    return find


def _outcomes(verdicts: Sequence[Verdict], followed: Sequence[tuple[str, Score | None]]) -> list[Outcome]:
    by_slug = {verdict.slug: verdict for verdict in verdicts}
    return [
        Outcome(answer, by_slug[slug], _same(by_slug[slug], score))
        for answer, (slug, score) in zip(answers_of(verdicts), followed, strict=True)
    ]


def _same(verdict: Verdict, score: Score | None) -> Score | None:
    if score is None:
        return None
    return next(each for each in verdict.scores if (each.name, each.place) == (score.name, score.place))


def _thicknesses(outcome: Outcome) -> tuple[str, float | None, float | None]:
    answer = outcome.answer
    return answer.outcome, answer.greatest_within_mm, answer.greatest_marginal_mm
