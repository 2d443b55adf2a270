"""Files written whole or not at all, so that nobody reads half of one and a failure leaves the old one."""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from hygro.errors import HygroError, ResultError


@contextmanager
def replacing(path: Path, failure: type[HygroError] = ResultError) -> Iterator[Path]:
    """Give a place to write to, and put what was written there in the place of a file at the end.

    Parameters
    ----------
    path : Path
        The file; missing directories are made, an existing file is replaced.
    failure : type of HygroError
        What is raised where that cannot be done.

    Yields
    ------
    Path
        A name beside it that is free. Whoever writes makes the file, so that the user's mask holds for it.

    Raises
    ------
    HygroError
        Of the kind given.
    """
    temporary = path.with_name(f".{path.name}.{secrets.token_hex(4)}.partial")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        yield temporary
        os.replace(temporary, path)
    except OSError as error:
        # strerror does not repeat the path
        raise failure(
            "the file cannot be written", where=str(path), found=error.strerror or str(error)
        ) from error
    finally:
        with suppress(OSError):  # where there is no such place, there is nothing to clear away
            temporary.unlink()


def make_directory(path: Path) -> Path:
    """Make a directory now, rather than find out after a long computation that it cannot be made.

    Parameters
    ----------
    path : Path
        With those above it; one that is there is fine.

    Returns
    -------
    Path
        The directory.

    Raises
    ------
    ResultError
        Where it cannot be made.
    """
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise ResultError(
            "the directory cannot be made", where=str(path), found=error.strerror or str(error)
        ) from error
    return path


def write_text(path: Path, text: str, failure: type[HygroError] = ResultError) -> Path:
    """Write a text file whole or not at all.

    Parameters
    ----------
    path : Path
        The file; missing directories are made, an existing file is replaced.
    text : str
        Written as UTF-8, line ends as they are.
    failure : type of HygroError
        What is raised where it cannot be written.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    HygroError
        Of the kind given.
    """
    with replacing(path, failure) as temporary, temporary.open("x", encoding="utf-8", newline="") as file:
        file.write(text)
    return path
