"""One thing that was found in a weather record: what, in which hours, and what was done about it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

STATES: Final = ("refused", "doubtful", "changed", "modelled", "noted")
"""Refused: the record can't be used as it is. Doubtful: used as it is, but somebody should look. Changed:
filled, clipped or corrected by a rule. Modelled: worked out since the file has none. Noted: nothing wrong."""

SHOWN: Final = 3
"""Spells whose times are written out."""


@dataclass(frozen=True)
class Finding:
    """One finding.

    Attributes
    ----------
    kind : str
        Such as "gap", "stuck sensor", "rain total".
    quantity : str
        Name in `hygro.climate.record.QUANTITIES`, or "rows", "times", "file".
    state : str
        One of `STATES`.
    count : int
        Hours it concerns; 0 where it concerns the file.
    times : tuple of str
        Begin (UTC) and length of the first spells.
    text : str
        A sentence that says it, with the rule where one was followed.
    """

    kind: str
    quantity: str
    state: str
    count: int
    times: tuple[str, ...]
    text: str

    def to_dict(self) -> dict[str, Any]:
        """Return plain values, for JSON."""
        return {**asdict(self), "times": list(self.times)}


def spell_times(begin_utc: NDArray[np.datetime64], spells: Sequence[tuple[int, int]]) -> tuple[str, ...]:
    """Return begin and length of the first spells, and how many more there are.

    Parameters
    ----------
    begin_utc : array of datetime64, shape (hours,)
        Begin of each hour.
    spells : sequence of (int, int)
        First and one-past-last index of each.

    Returns
    -------
    tuple of str
        Such as "2023-01-04T20:00Z 4 h".
    """
    shown = [f"{begin_utc[a].astype('datetime64[m]')}Z {b - a} h" for a, b in spells[:SHOWN]]
    if len(spells) > SHOWN:
        shown.append(f"and {len(spells) - SHOWN} more")
    return tuple(shown)
