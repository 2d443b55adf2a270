"""docs/commands.md keeps step with the commands."""

import re
from pathlib import Path

import click
import pytest

from hygro.cli.main import cli

TEXT = (Path(__file__).parents[2] / "docs" / "commands.md").read_text(encoding="utf-8")


def commands(group=cli, path=("hygro",)):
    """Every command with its full name."""
    yield " ".join(path), group
    if isinstance(group, click.Group):
        for name, command in group.commands.items():
            yield from commands(command, (*path, name))


ALL = dict(commands())


def section(name):
    """Text below the heading of a command."""
    parts = re.split(r"^## `([^`]+)`$", TEXT, flags=re.MULTILINE)
    return dict(zip(parts[1::2], parts[2::2], strict=True))[name]


def headings():
    return re.findall(r"^## `([^`]+)`$", TEXT, flags=re.MULTILINE)


def test_every_command_has_its_heading_and_no_other_has():
    assert sorted(headings()) == sorted(ALL)


@pytest.mark.parametrize("name", ALL)
def test_every_option_is_described_and_no_other(name):
    wanted = {
        option
        for parameter in ALL[name].params
        if isinstance(parameter, click.Option)
        for option in parameter.opts
    }
    rows = re.findall(r"^\| `(--[a-z-]+)", section(name), flags=re.MULTILINE)
    assert sorted(rows) == sorted(wanted)


@pytest.mark.parametrize("name", ALL)
def test_every_command_and_option_has_help(name):
    command = ALL[name]
    assert command.help
    assert all(p.help for p in command.params if isinstance(p, click.Option))


@pytest.mark.parametrize("name", [name for name in ALL if not isinstance(ALL[name], click.Group)])
def test_help_and_document_show_an_example(name):
    assert re.search(rf"Examples?:\n\s+{name} ", ALL[name].help)
    assert re.search(rf"```\n{name} ", section(name))


def test_every_exit_code_is_listed():
    from hygro import errors

    codes = {kind.exit_code for kind in vars(errors).values() if isinstance(kind, type)}
    listed = {int(code) for code in re.findall(r"^\| (\d+) \|", TEXT, flags=re.MULTILINE)}
    assert codes | {0, 2, 130} == listed
