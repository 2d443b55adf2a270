"""`hygro simulate`: one wall of a case."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from hygro.cli.options import (
    case_argument,
    chosen_variant,
    default_directory,
    json_option,
    refuse_other_ending,
)
from hygro.cli.output import print_json
from hygro.errors import ResultError

if TYPE_CHECKING:
    import xarray as xr

    from hygro.case import Case, Variant


@click.command("simulate")
@case_argument
@click.option("--variant", "slug", metavar="NAME", help="Which wall, where the case holds several.")
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Result file; default: results/<name of the case>/runs/<variant>.nc.",
)
@json_option
@click.option("--fresh", is_flag=True, help="Compute anew and replace a result that is there.")
def command(case_file: Path, slug: str | None, out: Path | None, as_json: bool, fresh: bool) -> None:
    """Simulate one wall of a case and write its result file.

    Prints temperature and humidity of every surface, interface and probe, and heat, rain and balance errors
    of every year. A complete result of the same case, variant and version is reused, and a long run that was
    stopped goes on from where it was.

    \b
    Example:
      hygro simulate cases/first-look.toml --variant bare-wall-SW
    """  # noqa: D301
    from hygro.case import load_case
    from hygro.cli.summary import print_summary, summary_of

    if out is not None:
        refuse_other_ending(out, ".nc")
    case = load_case(case_file)
    variant = chosen_variant(case, slug)
    path = out or default_directory(case_file) / "runs" / f"{variant.slug}.nc"
    summary = summary_of(_result(case, variant, path, fresh, named=out is not None))
    if as_json:
        print_json(summary | {"file": str(path)})
        return
    click.echo(f"{summary['title']}\n{variant.slug}: {summary['status']}\n")
    print_summary(summary)
    click.echo(f"result: {path}")


def _result(case: Case, variant: Variant, path: Path, fresh: bool, *, named: bool) -> xr.Dataset:
    """Load the result where it may be reused, else simulate; a named file of another kind is not replaced."""
    from hygro.decide.reuse import is_reusable
    from hygro.results import load
    from hygro.results.simulate import simulate
    from hygro.solve.binding import is_compiled

    if not fresh and is_reusable(path, case, variant):
        click.echo(f"reused: {path} is complete; --fresh computes it anew", err=True)
        return load(path)
    if named and not fresh and path.exists():
        raise ResultError(
            "there is a file already, and it is not the result of this wall as it is now",
            where=str(path),
            hint="--fresh replaces it",
        )
    if path.exists():
        click.echo(f"{path} is replaced", err=True)
    if not is_compiled():
        click.echo("compiling the solver for this machine, once; about 10 s", err=True)
    with _progress() as progress:
        return simulate(case, variant, out=path, progress=progress, resume=not fresh)


@contextmanager
def _progress() -> Iterator[Callable[[int, int], None] | None]:
    """Show a bar on stderr where that is a terminal."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn

    columns = (TextColumn("{task.description}"), BarColumn(), TextColumn("{task.percentage:.0f} %"))
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("hours", total=None)
        yield lambda done, most: bar.update(task, completed=done, total=most)
