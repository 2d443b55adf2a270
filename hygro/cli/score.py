"""`hygro score`: a result, or logged data in its shape, against the limits."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

import click

from hygro.cli.options import json_option
from hygro.cli.output import print_json, print_table, state_words

if TYPE_CHECKING:
    from hygro.scores import Score


@click.command("score")
@click.argument("result_file", metavar="RESULT.nc", type=click.Path(path_type=Path))
@click.option(
    "--group",
    "groups",
    multiple=True,
    metavar="NAME",
    help="Only this group of scores (mould, interface, water, timber, timber layers, heat); may be repeated.",
)
@json_option
def command(result_file: Path, groups: tuple[str, ...], as_json: bool) -> None:
    """Score a result file against the limits of its case.

    Logged data in the shape of a result are scored alike; without layers and heat flows, ask for the groups
    mould, interface and timber.

    \b
    Examples:
      hygro score results/first-look/runs/bare-wall-SW.nc
      hygro score logged.nc --group mould --group interface
    """  # noqa: D301
    from hygro.decide.governing import governing_score, worst_state
    from hygro.decide.words import governing_words
    from hygro.results import load
    from hygro.scores import score

    scores = score(load(result_file), groups=groups or None)
    state, governing = worst_state(scores), governing_score(scores)
    if as_json:
        found = {"state": state, "governing": asdict(governing) if governing else None}
        print_json(found | {"scores": [asdict(made) for made in scores]})
        return
    judged = [made for made in scores if made.limit is not None]
    others = [made for made in scores if made.limit is None]
    if judged:
        columns = ["score", "place", "value>", "limit>", "state", "when", "note"]
        print_table("Judged against a limit", columns, [_judged_row(made) for made in judged])
    if others:
        columns = ["score", "place", "value>", "when", "note"]
        print_table("For information", columns, [_row(made) for made in others])
    click.echo(f"{state_words(state)}; governed by {governing_words(governing)}")
    for source in dict.fromkeys(made.limit_source for made in scores if made.limit_source):
        click.echo(f"limit: {source}")


def _row(made: Score) -> list[str]:
    from hygro.decide.words import value_words
    from hygro.scores import DEFINITIONS

    return [DEFINITIONS[made.name].title, made.place, value_words(made), made.when, made.note]


def _judged_row(made: Score) -> list[str]:
    title, place, value, when, note = _row(made)
    return [title, place, value, f"{made.limit:g}", state_words(made.state), when, note]
