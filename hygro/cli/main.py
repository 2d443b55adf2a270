"""The command `hygro`."""

from __future__ import annotations

import click

import hygro
from hygro.cli import assess, coats, condensation, materials, score, simulate, site, weather
from hygro.cli.group import HygroGroup


def _show_versions(ctx: click.Context, _parameter: click.Parameter, wanted: bool) -> None:
    if not wanted or ctx.resilient_parsing:
        return
    from hygro.results.provenance import platform_text, source_text, versions

    click.echo(source_text())
    for name, version in versions().items():
        if name != "hygro":
            click.echo(f"{name} {version}")
    click.echo(platform_text())
    ctx.exit()


@click.group(
    cls=HygroGroup, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100}
)
@click.version_option(hygro.__version__, message="hygro %(version)s")
@click.option(
    "--show-versions",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_show_versions,
    help="Show versions of hygro and of what it stands on, and exit.",
)
def cli() -> None:
    """How much internal insulation an old solid wall can safely take, and why.

    \b
    A first look:
      hygro assess cases/first-look.toml

    Results go to stdout, messages to stderr. Exit codes: 0 fine, 1 fault of hygro, 2 wrong usage, 3 wrong
    case, material, climate or file, 4 the solver could not go on, 5 nothing stays within the limits (where
    that was asked), 6 some variants failed.
    """  # noqa: D301


cli.add_command(assess.command)
cli.add_command(simulate.command)
cli.add_command(score.command)
cli.add_command(coats.command)
cli.add_command(condensation.command)
cli.add_command(materials.group)
cli.add_command(site.command)
cli.add_command(weather.group)


def main() -> None:
    """Run the command line."""
    cli(prog_name="hygro")


if __name__ == "__main__":
    main()
