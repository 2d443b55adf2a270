"""Where a number comes from: every value and every curve of a material carries one `Source`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, cast, get_args

Kind = Literal["published", "derived", "common practice", "memory"]
"""How sure a value is.

published: read in the named source or in a copy that quotes it; derived: computed or carried over from
published values, and the text says how; common practice: what the trade uses, no published source; memory:
recalled, unconfirmed.
"""

KINDS: Final[tuple[Kind, ...]] = cast(tuple[Kind, ...], get_args(Kind))

End = Literal["low", "high"]
"""Ends of a spread."""

MouldSensitivity = Literal["very sensitive", "sensitive", "medium resistant", "resistant"]
"""Sensitivity classes of Ojanen et al. 2010, most sensitive first."""

MouldDecline = Literal["strong", "significant", "relatively low", "almost none"]
"""How fast mould recedes in dry periods; classes of Ojanen et al. 2010, fastest first."""

SENSITIVITIES: Final[tuple[str, ...]] = get_args(MouldSensitivity)
DECLINES: Final[tuple[str, ...]] = get_args(MouldDecline)


@dataclass(frozen=True)
class Source:
    """Origin of one value or curve.

    Parameters
    ----------
    key : str
        Name of the value, as in the material file ("density", "storage").
    value : str
        The value as text, with its unit, or the form of a curve.
    source : str
        Standard or paper, or what it was derived from.
    kind : {"published", "derived", "common practice", "memory"}
        How sure it is.
    low, high : float, optional
        Spread among materials sold or built under the same name, in the unit of the value; both or neither.
        For the vapour curve they bound mu at 50 % relative humidity, for the storage curve the water content
        [kg/m3] at 80 %, for a film s_d [m] at 50 %; for the liquid and heat curves they are factors on the
        curve.
    spread : str
        Why the value spreads, or who states the ends; empty where it is not said.
    sample : str
        Name of the one sample or series that was measured; values of one sample bear the same name. Empty
        where the value is not of a measured sample.
    """

    key: str
    value: str
    source: str
    kind: Kind
    low: float | None = None
    high: float | None = None
    spread: str = ""
    sample: str = ""
