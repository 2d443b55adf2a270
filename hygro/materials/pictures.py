"""Small pictures of a material's curves for the documentation, written as SVG by hand.

A drawing library would make each ten times as large, and other bytes with each of its versions.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from math import ceil, floor, log10
from pathlib import Path

from hygro.materials.material import Material
from hygro.materials.pages import curve_points
from hygro.physics.typing import FloatArray
from hygro.whole_files import write_text

WIDE, HIGH = 190, 150
"""Size of a panel [px]."""

LEFT, RIGHT, TOP, BOTTOM = 42, 8, 20, 30
"""Margins of a panel [px]."""

MOST_TICKS = 4

PANELS = (
    ("storage", "relative humidity, %", "water content, kg/m³"),
    ("suction", "log10 of suction in Pa", "water content, kg/m³"),
    ("liquid", "log10 of suction in Pa", "log10 of liquid conductivity in s"),
    ("vapour", "relative humidity, %", "vapour resistance factor"),
    ("heat", "water content, kg/m³", "conductivity, W/(m·K)"),
)
"""Key of the curve, words under and above its panel."""

STYLE = (
    "text{font:9px sans-serif;fill:#20303c}.a{fill:none;stroke:#8a949c}.c{fill:none;stroke:#20303c;"
    "stroke-width:1.5}.m{text-anchor:middle}.e{text-anchor:end}"
)


def write_picture(material: Material, path: Path) -> None:
    """Draw the curves of a material.

    Parameters
    ----------
    material : Material
        Any.
    path : Path
        An .svg file, replaced as a whole.
    """
    write_text(path, picture(material))


def picture(material: Material) -> str:
    """SVG of the curves of a material."""
    points = curve_points(material)
    size = f"{WIDE * len(PANELS)} {HIGH}"
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size}" role="img">',
        f"<title>{escape(material.title)}</title>",
        f"<style>{STYLE}</style>",
    ]
    for number, (key, across, up) in enumerate(PANELS):
        x, y = points[key]
        parts.append(f'<g transform="translate({number * WIDE} 0)">')
        parts += _panel(x, y, across, up, from_zero=key != "liquid")
        parts.append("</g>")
    return "\n".join([*parts, "</svg>", ""])


def _panel(x: FloatArray, y: FloatArray, across: str, up: str, *, from_zero: bool) -> list[str]:
    right, bottom = WIDE - RIGHT, HIGH - BOTTOM
    lines = [f'<text x="{LEFT}" y="12">{up}</text>']
    if not x.size:
        middle = (LEFT + right) / 2
        return [*lines, f'<text class="m" x="{middle:g}" y="{HIGH / 2:g}">no liquid moves</text>']
    lines.append(f'<text class="m" x="{(LEFT + right) / 2:g}" y="{HIGH - 4}">{across}</text>')
    horizontal = ticks(float(x.min()), float(x.max()))
    vertical = ticks(0.0 if from_zero else float(y.min()), float(y.max()))

    def at_x(value: float) -> float:
        return LEFT + (value - horizontal[0]) / (horizontal[-1] - horizontal[0]) * (right - LEFT)

    def at_y(value: float) -> float:
        return bottom - (value - vertical[0]) / (vertical[-1] - vertical[0]) * (bottom - TOP)

    frame = "".join(f"M{at_x(tick):.1f} {bottom}v4" for tick in horizontal)
    frame += "".join(f"M{LEFT} {at_y(tick):.1f}h-4" for tick in vertical)
    lines.append(f'<path class="a" d="M{LEFT} {TOP}V{bottom}H{right}{frame}"/>')
    lines += [
        f'<text class="m" x="{at_x(tick):.1f}" y="{bottom + 14}">{tick:g}</text>' for tick in horizontal
    ]
    lines += [f'<text class="e" x="{LEFT - 6}" y="{at_y(tick) + 3:.1f}">{tick:g}</text>' for tick in vertical]
    path = " ".join(f"{at_x(float(a)):.1f},{at_y(float(b)):.1f}" for a, b in zip(x, y, strict=True))
    return [*lines, f'<polyline class="c" points="{path}"/>']


def ticks(low: float, high: float) -> Sequence[float]:
    """Round numbers that span a range, at most `MOST_TICKS` steps of 1, 2 or 5 times a power of ten.

    Parameters
    ----------
    low, high : float
        Ends of the range; equal ends are set apart.

    Returns
    -------
    sequence of float
        The first at or below `low`, the last at or above `high`.
    """
    if high <= low:
        low, high = min(low, 0.0), max(high, 0.0, low + 1.0)
    power = 10.0 ** floor(log10((high - low) / MOST_TICKS))
    for multiple in (1.0, 2.0, 5.0, 10.0, 20.0):
        step = multiple * power
        first, last = floor(low / step + 1e-9), ceil(high / step - 1e-9)
        if last - first <= MOST_TICKS:
            break
    return [float(f"{number * step:.12g}") for number in range(first, last + 1)]
