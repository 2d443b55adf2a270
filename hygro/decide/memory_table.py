"""`python -m hygro.decide.memory_table [docs]`: write what recalled values decide into docs/materials.md."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Sequence
from itertools import groupby
from pathlib import Path
from typing import Final

from hygro.case import load_case
from hygro.decide.answers import Answer
from hygro.decide.memory_effect import MemoryEffect, Outcome, memory_effect
from hygro.decide.words import governing_words, number_words, thickness_words
from hygro.materials.__main__ import fill
from hygro.materials.sources import KINDS, Kind
from hygro.whole_files import write_text

MARK: Final = "recalled"
"""Place in docs/materials.md where the tables go."""

CASE: Final = "first-look.toml"

ORDER: Final[tuple[Kind, ...]] = ("memory", *(kind for kind in KINDS if kind != "memory"))

HEAD: Final = (
    "| value | kind | low, as it is, high | answer at low | at high | {followed} | {humidity} | who states "
    "the ends |",
    "|---|---|---|---|---|---|---|---|",
)


def memory_table(effects: Sequence[MemoryEffect]) -> str:
    """Markdown tables of effects, one for each build-up and elevation, recalled values first.

    Parameters
    ----------
    effects : sequence of MemoryEffect
        Of one case.
    """
    lines: list[str] = []
    ordered = sorted(effects, key=lambda effect: (effect.build_up, effect.elevation_name))
    for (build_up, elevation), group in groupby(ordered, lambda e: (e.build_up, e.elevation_name)):
        rows = sorted(group, key=lambda effect: ORDER.index(effect.source.kind))
        lines += [f"{build_up}, {elevation}: {_as_stated(rows[0].stated)}", ""]
        lines += [line.format(**_columns(rows[0].stated)) for line in HEAD]
        lines += [_row(effect) for effect in rows if effect.low or effect.high]
        lines += ["", *_not_moved(rows)]
    return "\n".join(lines).rstrip()


def answer_words(answer: Answer) -> str:
    """Say in short how thick a build-up may be."""
    if answer.chosen == "":
        return answer.outcome
    within, marginal = answer.greatest_within_mm, answer.greatest_marginal_mm
    if answer.outcome == "within" and within == marginal:
        return f"{thickness_words(within)} within"
    head = f"{thickness_words(within)} within, " if answer.outcome == "within" else ""
    return f"{head}{thickness_words(marginal)} marginal"


def write_memory_table(docs: Path) -> None:
    """Compute the example anew and fill docs/materials.md.

    Parameters
    ----------
    docs : Path
        Folder of the documentation, beside cases/.
    """
    page = docs / "materials.md"
    effects = memory_effect(load_case(docs.resolve().parent / "cases" / CASE), kinds=KINDS)
    write_text(page, fill(page.read_text(encoding="utf-8"), MARK, memory_table(effects)))


def _as_stated(stated: Outcome) -> str:
    thickness = thickness_words(stated.verdict.thickness_mm)
    return f"as stated {answer_words(stated.answer)}; {thickness}: {governing_words(stated.followed)}."


def _columns(stated: Outcome) -> dict[str, str]:
    score = stated.followed
    followed = f"{score.place}, {score.unit}" if score else "nothing is judged"
    place = stated.verdict.interface.replace("|", "/")  # a bar would end the cell
    return {"followed": followed, "humidity": f"{place}, most %RH" if place else "no interface"}


def _value(effect: MemoryEffect) -> str:
    key = effect.source.key
    return f"`{effect.material}` {key if key == 's_d' else key.replace('_', ' ')}"


def _row(effect: MemoryEffect) -> str:
    source, stated = effect.source, effect.stated
    figures = " / ".join("-" if x is None else f"{x:.4g}" for x in (source.low, effect.typical, source.high))
    ends = [
        "not moved" if end is None else _beside(answer_words(end.answer), answer_words(stated.answer))
        for end in (effect.low, effect.high)
    ]
    outcomes = (effect.low, stated, effect.high)
    cells = [_value(effect), source.kind, figures, *ends]
    cells += [_three(outcomes, _followed), _three(outcomes, _humidity), source.spread]
    return "| " + " | ".join(cells) + " |"


def _beside(words: str, stated: str) -> str:
    return "same" if words == stated else f"**{words}**"


def _three(outcomes: Iterable[Outcome | None], figure: Callable[[Outcome], str]) -> str:
    return " / ".join("-" if outcome is None else figure(outcome) for outcome in outcomes)


def _followed(outcome: Outcome) -> str:
    score = outcome.followed
    return "-" if score is None else number_words(score.value, score.limit, 2)


def _humidity(outcome: Outcome) -> str:
    most = outcome.verdict.interface_humidity_most
    return "-" if most is None else f"{most:.1f}"


def _not_moved(effects: Iterable[MemoryEffect]) -> list[str]:
    """Name the values that stay where they are, by kind of source."""
    left = [effect for effect in effects if not (effect.low or effect.high)]
    if not left:
        return []
    named = [f"{_value(effect)} ({effect.source.kind})" for effect in left]
    spreadless = all(effect.source.low is None for effect in left)
    why = "they state no spread" if spreadless else "they state no spread or cannot be moved"
    return [f"Not moved, {why}: {', '.join(named)}.", ""]


if __name__ == "__main__":
    write_memory_table(Path(sys.argv[1]) if len(sys.argv) > 1 else Path("docs"))
