"""The command line, run in this process in a directory of its own."""

from __future__ import annotations

import pytest
from click.testing import CliRunner
from tiny_study import TEXT, write_study

from hygro.cli.main import cli


@pytest.fixture
def case_file(tmp_path, monkeypatch):
    """The small study in a directory that is also the working directory."""
    monkeypatch.chdir(tmp_path)
    write_study(tmp_path)
    return "tiny.toml"


@pytest.fixture
def single_file(tmp_path, case_file):
    """The same with one variant only."""
    text = TEXT[: TEXT.index("[[build_up]]")] + TEXT[TEXT.index("[run]") :]
    (tmp_path / "single.toml").write_text(text, encoding="utf-8")
    return "single.toml"


@pytest.fixture
def run():
    """Return a function that runs `hygro` with arguments."""

    def invoke(*arguments):
        return CliRunner().invoke(cli, [str(argument) for argument in arguments])

    return invoke
