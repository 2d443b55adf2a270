"""Provenance never fails, and says what it knows."""

import re
import shutil
import subprocess

import pytest

import hygro
from hygro.results import provenance


def test_versions_hold_what_results_depend_on():
    found = provenance.versions()
    assert found["hygro"] == hygro.__version__
    assert {"python", "numpy", "numba", "xarray"} <= set(found)


def test_a_package_that_is_not_there_is_left_out(monkeypatch):
    monkeypatch.setattr(provenance, "_PACKAGES", ("numpy", "no-such-package"))
    assert set(provenance.versions()) == {"hygro", "python", "numpy"}


def test_platform_does_not_name_the_host():
    import platform

    text = provenance.platform_text()
    assert platform.machine() in text
    assert not platform.node() or platform.node() not in text


def test_source_names_the_version():
    assert provenance.source_text().startswith(f"hygro {hygro.__version__}")


def test_no_working_copy_no_commit(tmp_path):
    assert provenance.git_commit(tmp_path) == ""
    (tmp_path / ".git").mkdir()
    provenance.git_commit.cache_clear()
    assert provenance.git_commit(tmp_path) == ""


def test_no_git_no_commit(tmp_path, monkeypatch):
    (tmp_path / ".git").mkdir()

    def refuse(*arguments, **options):
        raise FileNotFoundError("git")

    monkeypatch.setattr(subprocess, "run", refuse)
    assert provenance.git_commit(tmp_path) == ""


@pytest.mark.skipif(shutil.which("git") is None, reason="needs git")
def test_a_changed_working_copy_is_told(tmp_path):
    identity = ("-c", "user.name=n", "-c", "user.email=e@example.org")
    (tmp_path / "a").write_text("1")
    for arguments in (("init", "-q"), ("add", "a"), (*identity, "commit", "-q", "-m", "first")):
        subprocess.run(["git", "-C", str(tmp_path), *arguments], check=True, capture_output=True)
    assert re.fullmatch(r"[0-9a-f]{12}", provenance.git_commit(tmp_path))
    (tmp_path / "a").write_text("2")
    provenance.git_commit.cache_clear()
    assert provenance.git_commit(tmp_path).endswith(", modified")


def test_history_grows_at_the_top():
    first = provenance.history_line("simulated wall.toml")
    assert re.match(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ simulated wall\.toml, hygro ", first)
    assert provenance.history_line("scored", first).splitlines()[1] == first
