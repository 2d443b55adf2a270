"""What a short material file leaves out, by kind of material: published figures to complete it from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

CABEZA: Final = "Cabeza-Prieto, Camino-Olea, Saez-Perez et al. 2022, Materials 15, 4001"
ASHRAE: Final = "ASHRAE Handbook Fundamentals 2021, chapter 26"


@dataclass(frozen=True)
class Figure:
    """A published figure with its spread.

    Parameters
    ----------
    value, low, high : float
        In the unit of what it completes.
    source : str
        Where the three come from.
    """

    value: float
    low: float
    high: float
    source: str

    def scaled(self, factor: float) -> tuple[float, float, float]:
        """Value, low and high times a factor."""
        return self.value * factor, self.low * factor, self.high * factor


@dataclass(frozen=True)
class Rules:
    """Figures for one category.

    Parameters
    ----------
    specific_heat : Figure
        [J/(kg K)].
    growth : Figure
        Of thermal conductivity with water: per kg/m3 [W m2/(kg K)], or as a share of the dry conductivity.
    growth_is_share : bool
        Which of the two.
    solid_density : Figure or None
        Without pores [kg/m3]; None where it differs too much to infer a porosity.
    sensitivity, decline : str
        Mould classes of Ojanen et al. 2010.
    mould_source : str
        Why these.
    """

    specific_heat: Figure
    growth: Figure
    growth_is_share: bool
    solid_density: Figure | None
    sensitivity: str
    decline: str
    mould_source: str


_MINERAL_GROWTH = Figure(
    0.0041,
    0.0031,
    0.0050,
    f"six lots of old brick, 0.031 to 0.050 W/(m K) per % by volume, mean 0.041, {CABEZA}",
)
_MINERAL_SOLID = Figure(
    2680.0,
    2600.0,
    2750.0,
    "solid of 2680 kg/m3: old hand-made brick of 1711 kg/m3 with 36.2 % open pores, "
    f"{CABEZA}, and Pavia and Lynch 2003; calcite is 2710, Hall and Hamilton 2016, Mater. Struct. 49, "
    "3969-3979; 2600 to 2750: common practice, no published source",
)
_MINERAL_MOULD = (
    "mineral, put with concrete in Ojanen et al. 2010, which does not name it; common practice, no "
    "published source"
)
_CAREFUL_MOULD = "the careful end of Ojanen et al. 2010, for want of a test"

RULES: Final[dict[str, Rules]] = {
    "masonry": Rules(
        Figure(
            880.0,
            792.0,
            920.0,
            "median of sandstone 792 (Gut and Ackerknecht 1993), limestone 880 and brick 920 (Berge 2000)",
        ),
        _MINERAL_GROWTH,
        False,
        _MINERAL_SOLID,
        "medium resistant",
        "relatively low",
        _MINERAL_MOULD,
    ),
    "mortar and plaster": Rules(
        Figure(
            950.0,
            920.0,
            1080.0,
            "median of cement render 920, lime render 960 (Berge 2000), gypsum plaster 936, cement plaster "
            "1080 (Gut and Ackerknecht 1993), rounded",
        ),
        _MINERAL_GROWTH,
        False,
        _MINERAL_SOLID,
        "medium resistant",
        "relatively low",
        _MINERAL_MOULD,
    ),
    "insulation": Rules(
        Figure(
            1600.0,
            800.0,
            2200.0,
            f"from mineral wool 800 ({ASHRAE}) to hemp 2200 (Tuerk 2014, table 50), which has 1600 for flax",
        ),
        Figure(0.004, 0.003, 0.005, f"moist foams, heat flow + 3 to 5 % per 1 % by volume, {ASHRAE}"),
        True,
        None,
        "very sensitive",
        "almost none",
        _CAREFUL_MOULD,
    ),
    "board and timber": Rules(
        Figure(
            1600.0,
            960.0,
            2600.0,
            "timber 1600 (EN 12524); gypsum board 960 and moist pine 2600 (Berge 2000) mark the spread",
        ),
        Figure(
            0.00017,
            0.0001,
            0.0006,
            "soft fibreboard, 0.0017 W/(m K) per % by volume, Sonderegger and Niemz; the high end is water's "
            "own 0.56 W/(m K) by its share of volume, as for insulation in Rouchier et al. 2013, table 1",
        ),
        False,
        None,
        "very sensitive",
        "almost none",
        _CAREFUL_MOULD,
    ),
}
"""By category. Values read from published tables; where a spread is judged, its source says so."""

FREE_SHARE: Final = Figure(
    0.62,
    0.48,
    0.90,
    "mean of four pairs of capillary and total water content: aerated concrete 0.48 and gypsum board 0.61 "
    f"({ASHRAE}, table 7), concrete 0.72 (Kumaran 1996, IEA Annex 24), old brick 0.67 ({CABEZA}, with the "
    "porosity of Pavia and Lynch 2003); the high end 0.9 is calcium silicate, from memory",
)
"""Free saturation as a share of saturation [1]."""

WET_SHARE: Final = Figure(
    0.69,
    0.55,
    1.0,
    "mean of seven pairs: clay masonry 10/16 (EN 12524), limestone 25/40, 40/50 and 20/30, sandstone 30/40 "
    f"(EN 1745 and Th-U in Courgey and Oliva), dense brick 36/44 and cement mortar 6.6/12 ({ASHRAE}, "
    "table 6: 0.55, the low end)",
)
"""Wet cup over dry cup [1]."""

STORAGE_SPREAD: Final = (
    0.8,
    2.0,
    "water held in drying over that in wetting is 1.2 for pine, 1.3 for concrete, 2 for aerated "
    "concrete (Gottfredsen and Nielsen 2000; Kumaran 1996; Kumaran 2002)",
)
"""Factors on the storage curve, and why."""

LIQUID_SPREAD: Final = (
    0.1,
    10.0,
    "the ratio 1000 of wet to dry end is the law's own; published ends differ by 20 for brick to "
    "1e5 for lime plaster (Krus and Kiessl, second-hand), so the middle is known within a factor of 10 and "
    "only the wet end follows from A",
)
"""Factors on the liquid diffusivity, and why."""

VAPOUR_SPREAD: Final = (
    0.8,
    1.25,
    "common practice, no published source; Feng et al. 2020 found that laboratories differ on the "
    "cups of one brick without one strict protocol",
)
"""Factors on the resistance factor, and why."""
