"""Curves of a material as a picture needs them: the curve, the band of its spread, the points stated."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Final

import numpy as np

from hygro.errors import MaterialError
from hygro.materials import Material
from hygro.materials.liquid import ConductivityCurve, DiffusivityCurve
from hygro.materials.storage import suction_at_reference
from hygro.physics.typing import FloatArray

DRIEST, WETTEST = 1.0e9, 1.0
"""Suction at the two ends of the pictures [Pa]."""

LEAST_DIFFUSIVITY: Final = 1.0e-18
"""Liquid diffusivity below which nothing is drawn [m2/s]."""

PANELS: Final = ("storage", "liquid", "vapour", "heat")

_LEANS_ON: Final = {
    "storage": ("storage", "free_saturation"),
    "liquid": ("absorption_coefficient",),
    "vapour": ("vapour",),
    "heat": ("conductivity_dry",),
}
"""Values of a file whose spread moves a curve."""


@dataclass(frozen=True)
class Curve:
    """One curve of one material.

    Parameters
    ----------
    x, y : array
        Suction [Pa], share of free saturation [%], relative humidity [%] or water content [kg/m3], rising,
        and the quantity; empty where nothing moves.
    low, high : array
        Envelope of the stated spread at `x`; equal to `y` where none is stated.
    kind : str
        How sure the curve is, as its source says.
    points : array, shape (2, n)
        What was measured, in the same units.
    """

    x: FloatArray
    y: FloatArray
    low: FloatArray
    high: FloatArray
    kind: str
    points: FloatArray

    @property
    def spreads(self) -> bool:
        """Whether there is a band to draw."""
        return bool(np.any(self.high > self.low * (1.0 + 1e-9)))


def curves_of(material: Material) -> dict[str, Curve]:
    """Gather the four curves of a material.

    Parameters
    ----------
    material : Material
        From the library, a file or Python.

    Returns
    -------
    dict
        By the names in `PANELS`: water content over suction, liquid diffusivity over the share of free
        saturation, resistance factor over relative humidity, thermal conductivity over water content.

    Raises
    ------
    MaterialError
        If a curve cannot be tabulated.
    """
    made = {}
    for panel in PANELS:
        x, y = _values(material, panel)
        rows = [y, *(np.interp(x, *_values(other, panel)) for other in _ends(material, panel))]
        rows += [y * factor for factor in _factors(material, panel)]
        kind = next((source.kind for source in material.sources if source.key == panel), "memory")
        made[panel] = Curve(x, y, np.min(rows, axis=0), np.max(rows, axis=0), kind, _points(material, panel))
    return made


def _values(material: Material, panel: str) -> tuple[FloatArray, FloatArray]:
    # The curves themselves, without the least slope that the solver's table gives them.
    suction = np.logspace(np.log10(DRIEST), np.log10(WETTEST), 901)
    if panel == "storage":
        return suction[::-1], _held(material, suction)[::-1]
    if panel == "liquid":
        share, diffusivity = _diffusivity(material, suction)
        moving = diffusivity > LEAST_DIFFUSIVITY
        return share[moving], diffusivity[moving]
    if panel == "vapour":
        humidity = np.linspace(0.005, 0.995, 199)
        water = _held(material, suction_at_reference(humidity))
        return 100.0 * humidity, material.vapour.resistance_factor(humidity, water)
    water = np.linspace(0.0, material.free_saturation, 200)
    return water, material.heat.conductivity(water)


def _held(material: Material, suction: FloatArray) -> FloatArray:
    return np.minimum(material.storage.water_content(suction), material.free_saturation)


def _diffusivity(material: Material, suction: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return D_w over the share of free saturation [%]; of a conductivity it is K |ds/dw|."""
    free = material.free_saturation
    if isinstance(material.liquid, DiffusivityCurve):
        water = np.linspace(0.0, free, 200)
        return 100.0 * water / free, np.asarray(material.liquid.diffusivity(water), dtype=float)
    if not isinstance(material.liquid, ConductivityCurve):
        return np.empty(0), np.empty(0)
    water = _held(material, suction)
    rising = np.concatenate([[True], np.diff(water) > 1e-5 * free])  # the flat wet end has no diffusivity
    conductivity = np.asarray(material.liquid.conductivity(suction, water), dtype=float)
    share, slope = 100.0 * water / free, -np.gradient(water, np.log(suction)) / suction
    return share[rising], conductivity[rising] / np.maximum(slope[rising], 1e-30)


def _ends(material: Material, panel: str) -> list[Material]:
    """Return the material at the ends of the spreads that move a curve, as far as they can stand."""
    found: list[Material] = []
    for source in material.sources:
        if source.key not in _LEANS_ON[panel] or source.low is None or not material.content:
            continue
        for end in ("low", "high"):
            try:
                found.append(material.with_value(source.key, end))
            except MaterialError:
                continue
    return found


def _factors(material: Material, panel: str) -> tuple[float, ...]:
    """Return the factors that liquid and heat curves state as their spread."""
    for source in material.sources:
        wanted = panel in ("liquid", "heat") and source.key == panel
        if wanted and source.low is not None and source.high is not None:
            return source.low, source.high
    return ()


def _points(material: Material, panel: str) -> FloatArray:
    """Return the points that a file lists for a curve."""
    section = json.loads(material.content).get(panel, {}) if material.content else {}
    if panel == "storage":
        return _storage_points(section, material.density)
    if panel == "liquid" and section.get("form") == "diffusivity table":
        share = 100.0 * np.array(section["water_content_kg_m3"]) / material.free_saturation
        return np.array([share, section["diffusivity_m2_s"]])
    if panel == "vapour" and section.get("form") == "table":
        return np.array([section["relative_humidity_percent"], section["resistance_factor"]])
    if panel == "heat" and section.get("form") == "table":
        return np.array([section["water_content_kg_m3"], section["conductivity_W_mK"]])
    return np.empty((2, 0))


def _storage_points(section: dict[str, list[float]], density: float) -> FloatArray:
    x: list[float] = []
    y: list[float] = []
    if "relative_humidity_percent" in section:
        humidity = np.array(section["relative_humidity_percent"]) / 100.0
        x += [float(value) for value in suction_at_reference(humidity)]
        y += _water(section, "", density)
    if "suction_Pa" in section:
        x += section["suction_Pa"]
        y += _water(section, "suction_", density)
    return np.array([x, y]) if x else np.empty((2, 0))


def _water(section: dict[str, list[float]], prefix: str, density: float) -> list[float]:
    if f"{prefix}water_mass_percent" in section:
        return [value / 100.0 * density for value in section[f"{prefix}water_mass_percent"]]
    return list(section[f"{prefix}water_content_kg_m3"])
