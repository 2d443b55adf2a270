"""The state of a march on disk, so that one that was stopped can go on."""

from __future__ import annotations

import logging
import os
import time
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

INTERVAL = 20.0
"""Seconds of run time between two checkpoints: what is lost at most, and what short runs never pay for."""

SHARE = 0.05
"""Largest share of the run time that writing may take; where it takes longer, checkpoints become rarer."""

_DIGEST = "digest"

Arrays = dict[str, NDArray[Any]]

_log = logging.getLogger(__name__)


class Checkpoint:
    """A file that holds the state of one march.

    Parameters
    ----------
    path : Path
        The file. What is written goes to a neighbour of it first and takes its place when it is complete, so
        that a process that is killed leaves the older state or the newer one.
    digest : str
        Of everything that the march depends on: a state with another digest is not used.
    interval : float
        Least time between two states [s].
    """

    def __init__(self, path: Path, digest: str, interval: float | None = None) -> None:
        self.path = path
        self.digest = digest
        self.interval = INTERVAL if interval is None else interval
        self._next = time.monotonic() + self.interval
        self._usable = True

    def sibling(self, name: str) -> Checkpoint:
        """Return another checkpoint of the same run, for a part of it that goes by another name."""
        return Checkpoint(
            self.path.with_name(f"{self.path.name}-{name}"), f"{self.digest}-{name}", self.interval
        )

    def load(self) -> Arrays | None:
        """Read the state.

        Returns
        -------
        dict of arrays or None
            None where there is none, or where it is damaged or belongs to another run, which is logged.
        """
        if not self.path.is_file():
            return None
        try:
            with self.path.open("rb") as handle, np.load(handle, allow_pickle=False) as file:
                found: Arrays = {name: file[name] for name in file.files}
        except (OSError, ValueError, EOFError, KeyError, zipfile.BadZipFile) as failure:
            _log.warning("%s is damaged (%s) and is not used; the run starts anew", self.path, failure)
            return None
        if str(found.pop(_DIGEST, "")) != self.digest:
            _log.warning(
                "%s was kept by a run of another case, wall, setting or version and is not used; the run "
                "starts anew",
                self.path,
            )
            return None
        _log.info("the run goes on from %s", self.path)
        return found

    def save_if_due(self, state: Callable[[], Arrays]) -> None:
        """Write the state where the last one is old enough.

        Parameters
        ----------
        state : callable
            Gives the arrays; called only where they are written.
        """
        if not self._usable or time.monotonic() < self._next:
            return
        began = time.monotonic()
        try:
            self._write(state())
        except OSError as failure:
            self._usable = False
            _log.warning(
                "%s cannot be written (%s); if the run is stopped, it starts anew",
                self.path,
                failure.strerror or failure,
            )
        ended = time.monotonic()
        self._next = ended + max(self.interval, (ended - began) / SHARE if self.interval > 0.0 else 0.0)

    def remove(self) -> None:
        """Remove the file and what an earlier process may have left of one; both may be missing."""
        for path in (self.path, self._temporary):
            path.unlink(missing_ok=True)

    @property
    def _temporary(self) -> Path:
        return self.path.with_name(f".{self.path.name}.partial")

    def _write(self, arrays: Arrays) -> None:
        self.path.parent.mkdir(parents=True, exist_ok=True)
        with self._temporary.open("wb") as file:
            np.savez(file, **arrays, **{_DIGEST: np.array(self.digest)})  # type: ignore[arg-type]
            file.flush()
            os.fsync(file.fileno())
        os.replace(self._temporary, self.path)
