"""Which code and which machine made a result. Nothing here fails where a piece of it is unknown."""

from __future__ import annotations

import platform
import subprocess
from datetime import UTC, datetime
from functools import lru_cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

import hygro

_PACKAGES = ("numpy", "scipy", "numba", "xarray", "netCDF4")
_GIT_PATIENCE = 5.0  # seconds; a hung file system must not hold up a result


def versions() -> dict[str, str]:
    """Return the versions of hygro, Python and the packages that results depend on.

    Returns
    -------
    dict
        Name to version; packages that are not installed are left out.
    """
    found = {"hygro": hygro.__version__, "python": platform.python_version()}
    for name in _PACKAGES:
        try:
            found[name] = version(name)
        except PackageNotFoundError:
            continue
    return found


def platform_text() -> str:
    """Return operating system, machine type and Python implementation, without the host's name."""
    return f"{platform.system()} {platform.machine()}, {platform.python_implementation()}"


def source_text() -> str:
    """Return what made the result: hygro, its version and, in a working copy, the git commit.

    Returns
    -------
    str
        For example ``hygro 0.1.0 (git 0a1b2c3d4e5f, modified)``.
    """
    commit = git_commit(Path(hygro.__file__).resolve().parent.parent)
    return f"hygro {hygro.__version__} (git {commit})" if commit else f"hygro {hygro.__version__}"


@lru_cache(maxsize=4)
def git_commit(root: Path) -> str:
    """Return the short commit hash of a working copy, with ", modified" where files differ from it.

    Parameters
    ----------
    root : Path
        Top of the working copy.

    Returns
    -------
    str
        Empty where `root` is not the top of a working copy, or git is not there.
    """
    if not (root / ".git").exists():
        return ""
    commit = _git(root, "rev-parse", "--short=12", "HEAD")
    if not commit:
        return ""
    changed = _git(root, "status", "--porcelain", "--untracked-files=no")
    return f"{commit}, modified" if changed else commit


def _git(root: Path, *arguments: str) -> str:
    command = ["git", "-C", str(root), *arguments]
    try:
        done = subprocess.run(command, capture_output=True, text=True, timeout=_GIT_PATIENCE, check=False)
    except (OSError, subprocess.SubprocessError):
        return ""
    return done.stdout.strip() if done.returncode == 0 else ""


def history_line(action: str, earlier: str = "") -> str:
    """Return the history of a dataset with one more line on top.

    Parameters
    ----------
    action : str
        What was done.
    earlier : str
        History so far.

    Returns
    -------
    str
        The only place in a result that holds the time of day.
    """
    stamp = datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    line = f"{stamp} {action}, hygro {hygro.__version__}"
    return f"{line}\n{earlier}" if earlier else line
