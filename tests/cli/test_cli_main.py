import errno
import logging
import subprocess
import sys

import click
import pytest
from click.testing import CliRunner

import hygro
from hygro.cli.group import HygroGroup
from hygro.errors import BatchError, CaseError, LimitError, SolverError


def ending_with(failure):
    """A group whose only command raises."""

    @click.group(cls=HygroGroup)
    def group():
        pass

    @group.command("go")
    def go():
        raise failure

    return CliRunner().invoke(group, ["go"])


def test_help_does_not_load_what_is_slow_to_load():
    code = (
        "import sys; from hygro.cli.main import cli; cli(['--help'], standalone_mode=False); "
        "slow = {'numpy', 'xarray', 'numba', 'pandas', 'scipy', 'matplotlib', 'pydantic', 'rich'}; "
        "print('slow:', sorted(slow & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert "slow: []" in done.stdout
    assert "assess" in done.stdout


def test_the_module_runs_as_a_program():
    done = subprocess.run(
        [sys.executable, "-m", "hygro.cli.main", "--version"], capture_output=True, text=True, check=True
    )
    assert done.stdout == f"hygro {hygro.__version__}\n"


def test_show_versions_names_what_hygro_stands_on(run):
    found = run("--show-versions")
    assert found.exit_code == 0
    lines = found.stdout.splitlines()
    assert lines[0].startswith(f"hygro {hygro.__version__}")
    assert any(line.startswith("numba ") for line in lines)


@pytest.mark.parametrize("arguments", [(), ("--help",), ("-h",)])
def test_help_lists_every_command_and_the_exit_codes(run, arguments):
    found = run(*arguments)
    text = found.output
    assert all(name in text for name in ("assess", "simulate", "score", "materials"))
    assert "Exit codes: 0 fine" in text


@pytest.mark.parametrize(
    ("failure", "code"),
    [
        (CaseError("key is unknown", where="wall.toml:3"), 3),
        (SolverError("the march could not go on"), 4),
        (LimitError("nothing stays within"), 5),
        (BatchError("2 of 3 variants failed"), 6),
    ],
)
def test_an_expected_error_is_one_sentence_on_stderr_and_its_exit_code(failure, code):
    found = ending_with(failure)
    assert found.exit_code == code
    assert found.stderr == f"hygro: {failure.sentence()}\n"
    assert found.stdout == ""


def test_an_unexpected_error_is_owned_up_to_and_says_how_to_see_more():
    found = ending_with(ValueError("what is this"))
    assert found.exit_code == 1
    assert found.stderr.startswith("hygro: unexpected ValueError: what is this. This is a fault of hygro")
    assert "HYGRO_TRACEBACK=1" in found.stderr
    assert "Traceback" not in found.stderr


def test_the_traceback_can_be_asked_for(monkeypatch):
    monkeypatch.setenv("HYGRO_TRACEBACK", "1")
    found = ending_with(ValueError("what is this"))
    assert isinstance(found.exception, ValueError)


def test_an_interrupt_ends_with_the_code_that_shells_expect():
    found = ending_with(KeyboardInterrupt())
    assert (found.exit_code, found.stderr) == (130, "hygro: interrupted.\n")


def test_a_reader_that_goes_away_is_no_fault():
    found = ending_with(OSError(errno.EPIPE, "broken pipe"))
    assert "fault" not in found.stderr


def test_wrong_usage_ends_with_2(run):
    assert run("assess").exit_code == 2
    assert run("assess", "x.toml", "--workers", "0").exit_code == 2
    assert run("no-such-command").exit_code == 2


def test_the_log_goes_to_stderr_and_leaves_no_handler_behind():
    @click.group(cls=HygroGroup)
    def group():
        pass

    @group.command("go")
    def go():
        logging.getLogger("hygro.room").info("3 runs are reused")
        logging.getLogger("hygro.room").warning("one failed")
        click.echo("result")

    before = list(logging.getLogger("hygro").handlers)
    found = CliRunner().invoke(group, ["go"])
    assert found.stdout == "result\n"
    assert found.stderr == "3 runs are reused\nwarning: one failed\n"
    assert logging.getLogger("hygro").handlers == before
