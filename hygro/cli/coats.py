"""`hygro coats`: when each wet coat may follow."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from hygro.cli.options import case_argument, default_directory, json_option
from hygro.cli.output import print_json, print_table

if TYPE_CHECKING:
    from hygro.decide.coats_programme import Programme, StepRow

PICTURE = "coats.svg"

_COLUMNS = ("step", "applied", "day>", "dry after days>", "at 1 mm a day>", "fresh water kg/m2>",
            "to room kg/m2>", "into wall kg/m2>")  # fmt: skip


@click.command("coats")
@case_argument
@click.option("--variant", "slug", metavar="NAME", help="Which wall; all with wet coats where omitted.")
@click.option(
    "--out",
    metavar="DIRECTORY",
    type=click.Path(path_type=Path, file_okay=False),
    help="Where tables and picture go; default results/<name of the case>.",
)
@json_option
@click.option("--no-picture", is_flag=True, help="Leave out coats.svg.")
def command(case_file: Path, slug: str | None, out: Path | None, as_json: bool, no_picture: bool) -> None:
    """Tell when each wet coat of a build-up may follow, when the finish, and when the wall has dried.

    Marches the wall in its weather and the air of the room, with the layers that are there so far. Each coat
    goes on with its fresh water when the one below is dry enough. [programme] of the case names the starts
    and the rooms. Writes coats.csv, coats-water.csv, coats.json and coats.svg.

    \b
    Example:
      hygro coats cases/coats.toml
    """  # noqa: D301
    from hygro.case import load_case
    from hygro.decide.coats import coat_programmes
    from hygro.decide.coats_files import document, write_coats
    from hygro.whole_files import make_directory

    case = load_case(case_file)
    variants = None if slug is None else [case.variant(slug)]
    directory = make_directory(out or default_directory(case_file))
    found = coat_programmes(case, variants, told=lambda line: click.echo(line, err=True))
    written = write_coats(case, found, directory)
    if not no_picture:
        written.append(_picture(found, directory / PICTURE))
    if as_json:
        print_json(document(case, found))
        return
    click.echo(f"{case.title}\n")
    for programme in found:
        _print(programme)
    click.echo("\n".join(str(path) for path in written))


def _picture(programmes: list[Programme], path: Path) -> Path:
    from hygro.report.plots.coats import coats_picture
    from hygro.report.plots.material import save_picture

    return save_picture(coats_picture(programmes), path)


def _print(programme: Programme) -> None:
    from hygro.decide.coats_files import sentence
    from hygro.decide.words import date_words

    title = f"{programme.variant.slug}, begun {date_words(programme.start)}, room {programme.room}"
    print_table(title, _COLUMNS, [_row(row) for row in programme.rows])
    click.echo(f"{sentence(programme)}\n")


def _row(row: StepRow) -> list[str]:
    from hygro.decide.words import date_words

    cells = [row.step.name, date_words(row.date), str(row.day)]
    if row.step.kind != "coat":
        return cells + ["", "", "", "", ""]
    return [
        *cells,
        "not dry" if row.days is None else str(row.days),
        f"{row.trade_days:.0f}",
        f"{row.step.fresh_water * row.step.thickness:.2f}",
        f"{row.to_room:.2f}",
        f"{row.into_wall:.2f}",
    ]
