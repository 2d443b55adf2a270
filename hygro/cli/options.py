"""Arguments and options that several commands share: CASE.toml of assess and simulate; --json of all."""

from __future__ import annotations

from pathlib import Path

import click

case_argument = click.argument("case_file", metavar="CASE.toml", type=click.Path(path_type=Path))

json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON instead of tables.")


def default_directory(case_file: Path) -> Path:
    """Return where the results of a case go unless told otherwise: results/<name of the case file>."""
    return Path("results") / case_file.stem
