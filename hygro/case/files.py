"""Whether the files that a case names are there."""

from __future__ import annotations

from pathlib import Path as FilePath

from hygro.case.lines import Path
from hygro.case.source import CaseSource, near_file


def check_file(path: Path, name: str | None, source: CaseSource) -> None:
    """Check that a file named by a key is there, if one is named."""
    if name is None:
        return
    file = source.path.parent / FilePath(name)
    try:
        there, what = file.is_file(), "is a directory" if file.is_dir() else "there is no such file"
    except OSError as failure:  # such as a name that is too long
        there, what = False, f"cannot be looked up ({failure.strerror})"
    if not there:
        near = near_file(file)
        hint = f"did you mean {near!r}?" if near else "paths start from the directory of the case file"
        raise source.error(path, f"{what}: {name!r}", hint=hint)
