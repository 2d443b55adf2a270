"""How well a material is known: a grade that follows from the kinds of its sources, never typed by hand.

The rule, first match:

- partly from memory: at least one value or curve that enters the computation is of kind memory;
- measured set: density, free saturation, storage, vapour and, where stated, the water absorption coefficient
  are published or derived and were measured on one and the same sample (they bear the same `sample`);
- composite of sources: everything else.

Mould classes do not count: they enter no equation of the wall.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final, Literal, get_args

from hygro.materials.sources import Source

Grade = Literal["measured set", "composite of sources", "partly from memory"]
"""Grades of a material, best first."""

GRADES: Final[tuple[Grade, ...]] = get_args(Grade)

NOT_COMPUTED: Final = ("mould_sensitivity", "mould_decline")
"""Values that no equation of the wall uses."""

SET: Final = ("density", "free_saturation", "absorption_coefficient", "storage", "vapour")
"""Values that make a material a measured set where one sample gave them all."""

NEEDED: Final = frozenset(SET) - {"absorption_coefficient"}
"""The part of the set that no material lacks."""


def grade_of(sources: Iterable[Source]) -> Grade:
    """Grade a material by the origin of its values.

    Parameters
    ----------
    sources : iterable of Source
        All of them.

    Returns
    -------
    {"measured set", "composite of sources", "partly from memory"}
    """
    computed = [source for source in sources if source.key not in NOT_COMPUTED]
    if any(source.kind == "memory" for source in computed):
        return "partly from memory"
    of_set = [source for source in computed if source.key in SET]
    samples = {source.sample for source in of_set}
    read = all(source.kind in ("published", "derived") for source in of_set)
    complete = {source.key for source in of_set} >= NEEDED
    if complete and read and len(samples) == 1 and "" not in samples:
        return "measured set"
    return "composite of sources"
