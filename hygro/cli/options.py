"""What several commands share: CASE.toml, --json, and which wall of a case."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from hygro.errors import CaseError

if TYPE_CHECKING:
    from hygro.case import Case, Variant

case_argument = click.argument("case_file", metavar="CASE.toml", type=click.Path(path_type=Path))

json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON instead of tables.")


def default_directory(case_file: Path) -> Path:
    """Return where the results of a case go unless told otherwise: results/<name of the case file>."""
    return Path("results") / case_file.stem


def chosen_variant(case: Case, slug: str | None) -> Variant:
    """Find the wall that --variant names, or the only one.

    Parameters
    ----------
    case : Case
        A checked case.
    slug : str or None
        What was given.

    Raises
    ------
    CaseError
        There is none of that name, or several and none was named.
    """
    variants = case.variants()
    if slug is not None:
        return case.variant(slug)
    if len(variants) == 1:
        return variants[0]
    raise CaseError(
        "the case holds several walls and none was named",
        where=str(case.path),
        hint=f"name one with --variant, of {', '.join(variant.slug for variant in variants)}",
    )


def refuse_other_ending(out: Path, ending: str) -> None:
    """Refuse a file to write whose name says that it is of another kind.

    Raises
    ------
    click.BadParameter
        Where it does not end as it should.
    """
    if out.suffix.lower() != ending:
        raise click.BadParameter(f"{out.name!r} does not end in {ending}", param_hint="--out")
