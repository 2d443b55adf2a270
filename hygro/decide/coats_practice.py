"""Water in a coat fresh from the trowel, and when it counts as dry: what stands where a case says nothing.

No measured series was found. Each figure is the mixing water that stays free once the binder has taken its
part, per volume of the hardened plaster, all from memory; the plaster at hand decides.
"""

from __future__ import annotations

from typing import Final

_MEMORY: Final = "from memory, unconfirmed"

FRESH_WATER: Final[dict[str, tuple[float, str]]] = {
    "insulating-lime-plaster": (350.0, f"{_MEMORY}: 0.8 to 1 l of water to 1 kg of light dry mix"),
    "aerogel-lime-plaster": (280.0, f"{_MEMORY}: about 1.2 l to 1 kg of a mix of 220 kg/m3"),
    "cork-lime-plaster": (330.0, f"{_MEMORY}: 0.6 to 0.8 l to 1 kg of light dry mix"),
    "hemp-lime-plaster": (380.0, f"{_MEMORY}: the shiv drinks part of the mixing water"),
    "polystyrene-lime-plaster": (200.0, f"{_MEMORY}: 0.8 l to 1 kg of a mix of 250 kg/m3"),
    "expanded-clay-lime-plaster": (250.0, f"{_MEMORY}: 0.4 l to 1 kg of dry mix"),
    "lime-plaster": (270.0, f"{_MEMORY}: 0.16 to 0.2 l to 1 kg of sand and lime"),
    "lime-render": (270.0, f"{_MEMORY}: as lime plaster"),
    "lime-cement-plaster": (230.0, f"{_MEMORY}: as lime plaster, less what the cement binds"),
    "gypsum-plaster": (400.0, f"{_MEMORY}: 0.6 l to 1 kg of gypsum, of which a third is bound"),
    "clay-plaster": (300.0, f"{_MEMORY}: 0.18 to 0.2 l to 1 kg of dry mix; clay binds none"),
}
"""Free water of a fresh coat [kg/m3] and where the figure comes from, by material of the library."""

DRY_HUMIDITY_PERCENT: Final = 90.0
DRY_SOURCE: Final = "common practice, no published source: the coat has turned light and feels dry"
"""A coat is dry enough for the next when it holds, in the mean, what this humidity leaves in it."""

HARDENS_DAYS: Final = 3
HARDENS_SOURCE: Final = "advice on lime coats, 3 to 5 days each; web pages read second-hand, weak"
"""Least days before the next coat, however dry."""

TRADE_MM_PER_DAY: Final = 1.0
TRADE_SOURCE: Final = "common practice, no published source"
"""Thickness of plaster that is said to dry in a day."""
