"""One picture of what a material does with water, vapour and heat; or of several, to compare."""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hygro.errors import MaterialError
from hygro.materials import Material
from hygro.materials.storage import suction_at_reference
from hygro.report.look import (
    ACCENT,
    DASHES,
    INK,
    LINE_COLOURS,
    MARKERS,
    MUTED,
    RULE,
    WIDE,
    blank_figure,
    house_style,
    quiet_grid,
)
from hygro.report.plots.common import clipped, plain
from hygro.report.plots.material_curves import DRIEST, PANELS, WETTEST, Curve, curves_of
from hygro.whole_files import replacing

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

TITLES: Final = {
    "storage": "Water held, w",
    "liquid": "Liquid diffusivity, D_w",
    "vapour": "Vapour resistance factor, μ",
    "heat": "Thermal conductivity, λ",
}

UNITS: Final = {
    "storage": ("suction s (Pa), from dry to wet", "kg/m³"),
    "liquid": ("water content, share of free saturation (%)", "m²/s"),
    "vapour": ("relative humidity φ (%)", "1"),
    "heat": ("water content w (kg/m³)", "W/(m·K)"),
}

KIND_DASHES: Final[dict[str, Any]] = {
    "published": "-",
    "derived": (0, (5, 2)),
    "common practice": (0, (7, 2, 1.5, 2)),
    "memory": (0, (1.2, 1.8)),
}
"""How the line of a curve shows how sure it is."""

MOST_COMPARED: Final = 6
"""Materials in one picture; more lines cannot be told apart."""

SUFFIXES: Final = (".png", ".svg")

LEAST_HELD: Final = 0.02
"""Water content at the foot of the picture [kg/m3]."""

_HUMIDITY_MARKS: Final = (0.1, 0.5, 0.8, 0.95, 0.99, 0.999)
_DOTS_PER_INCH: Final = 200
_HEIGHT: Final = 6.6
_BELOW_HEAD: Final = 0.925  # share of the height


def material_picture(materials: Sequence[Material]) -> Figure:
    """Draw storage, liquid diffusivity, vapour resistance and thermal conductivity.

    Parameters
    ----------
    materials : sequence of Material
        One, with the band of its spread and its kinds shown by the line; or up to `MOST_COMPARED`.

    Returns
    -------
    matplotlib.figure.Figure

    Raises
    ------
    MaterialError
        If there are none or too many, or a curve cannot be tabulated.
    """
    if not 1 <= len(materials) <= MOST_COMPARED:
        raise MaterialError(
            "one picture cannot hold so many materials",
            found=len(materials),
            expected=f"1 to {MOST_COMPARED}",
        )
    curves = [curves_of(material) for material in materials]
    with house_style():
        figure = blank_figure(WIDE, _HEIGHT)
        figure.set_facecolor("white")
        panels = figure.subplots(2, 2)
        places = {
            "storage": panels[0, 0],
            "liquid": panels[1, 0],
            "vapour": panels[0, 1],
            "heat": panels[1, 1],
        }
        for name in PANELS:
            _draw(places[name], name, [each[name] for each in curves])
        _head(figure, materials, curves)
    return figure


def save_picture(figure: Figure, path: Path) -> Path:
    """Write a picture, whole or not at all.

    Parameters
    ----------
    figure : matplotlib.figure.Figure
        From `material_picture`.
    path : Path
        Ends in .png or .svg.

    Returns
    -------
    Path

    Raises
    ------
    MaterialError
        If the ending is another or the file cannot be written.
    """
    from matplotlib import rc_context

    if path.suffix.lower() not in SUFFIXES:
        raise MaterialError("a picture ends in .png or .svg", found=str(path))
    kind = path.suffix.lower()[1:]
    buffer = io.BytesIO()
    with house_style(), rc_context({"svg.hashsalt": "material", "savefig.facecolor": "white"}):
        metadata = {"Date": None} if kind == "svg" else {"Software": "hygro"}
        figure.savefig(buffer, format=kind, dpi=_DOTS_PER_INCH, metadata=metadata)
    with replacing(path, MaterialError) as temporary:
        temporary.write_bytes(buffer.getvalue())
    return path


def _draw(axes: Axes, name: str, curves: Sequence[Curve]) -> None:
    single = len(curves) == 1
    x_label, unit = UNITS[name]
    title = TITLES[name] + (f" ({unit})" if unit != "1" else "")
    axes.set_title(title, pad=16.0 if name in ("storage", "vapour") else 6.0)
    quiet_grid(axes)
    for number, curve in enumerate(curves):
        if single:
            _draw_single(axes, curve)
        else:
            look = _look(number)
            # A marker here and there tells lines apart without colour; they start one after the other.
            every = (4 + 9 * number, max(len(curve.x) // 4, 1)) if curve.x.size else 1
            axes.plot(curve.x, curve.y, linewidth=1.6, markevery=every, **look)
    if single:
        axes.text(
            0.03,
            0.96,
            curves[0].kind,
            transform=axes.transAxes,
            va="top",
            color=MUTED,
            fontsize=7.5,
            style="italic",
        )
    if all(curve.x.size == 0 for curve in curves):
        axes.text(
            0.5, 0.5, "no liquid moves", transform=axes.transAxes, ha="center", va="center", color=MUTED
        )
    _scale(axes, name, curves, x_label)


def _draw_single(axes: Axes, curve: Curve) -> None:
    if curve.spreads:
        axes.fill_between(curve.x, curve.low, curve.high, color=ACCENT, alpha=0.16, linewidth=0.0)
    dash = KIND_DASHES[curve.kind]
    axes.plot(curve.x, curve.y, color=ACCENT, linestyle=dash, linewidth=1.8)
    axes.plot(
        *curve.points, linestyle="none", marker="o", markersize=4.8, color=ACCENT, markeredgecolor="white"
    )


def _look(number: int) -> dict[str, Any]:
    """Return colour, dash and marker of a line; no two of six share colour and dash."""
    shade = number % len(LINE_COLOURS)
    return {
        "color": LINE_COLOURS[shade],
        "linestyle": DASHES[(shade + number // len(LINE_COLOURS)) % len(DASHES)],
        "marker": MARKERS[number % len(MARKERS)],
        "markersize": 5.4,
        "markeredgecolor": "white",
        "markeredgewidth": 0.6,
    }


def _scale(axes: Axes, name: str, curves: Sequence[Curve], x_label: str) -> None:
    from matplotlib.ticker import FormatStrFormatter, LogLocator

    axes.set_xlabel(x_label)
    if name == "storage":
        axes.set_xscale("log")
        axes.set_yscale("log")
        axes.set_xlim(DRIEST, WETTEST)
        axes.set_ylim(LEAST_HELD, 2.0 * max(float(curve.high.max()) for curve in curves))
        axes.minorticks_off()
        _humidity_axis(axes)
        return
    if name == "liquid":
        axes.set_yscale("log")
        axes.set_xlim(0.0, 100.0)
        axes.minorticks_off()
        if all(curve.x.size == 0 for curve in curves):
            axes.set_yticks([])
        return
    top = max(float(curve.high.max()) for curve in curves)
    low = min(float(curve.low.min()) for curve in curves)
    if top > (8.0 if len(curves) > 1 else 30.0) * low:
        axes.set_yscale("log")
        axes.yaxis.set_major_locator(LogLocator(subs=(1.0, 2.0, 5.0) if top < 1000.0 * low else (1.0,)))
        axes.yaxis.set_major_formatter(FormatStrFormatter("%g"))
        axes.minorticks_off()
        axes.set_ylim(low / 1.5, top * 1.5)
    else:
        axes.set_ylim(0.0, 1.15 * top)
    axes.set_xlim(0.0, 100.0 if name == "vapour" else max(float(curve.x.max()) for curve in curves))


def _humidity_axis(axes: Axes) -> None:
    """Name the relative humidities that go with some suctions, above the panel."""
    for humidity in _HUMIDITY_MARKS:
        at = float(suction_at_reference(np.array(humidity)))
        axes.annotate(
            f"{100.0 * humidity:g}",
            (at, 1.0),
            xycoords=("data", "axes fraction"),
            xytext=(0, 2),
            textcoords="offset points",
            ha="center",
            fontsize=6.5,
            color=MUTED,
        )
    axes.annotate(
        "φ, %",
        (1.0, 1.0),
        xycoords="axes fraction",
        xytext=(0, 2),
        textcoords="offset points",
        ha="right",
        fontsize=6.5,
        color=MUTED,
    )


def _head(figure: Figure, materials: Sequence[Material], curves: Sequence[dict[str, Curve]]) -> None:
    from matplotlib.lines import Line2D
    from matplotlib.patches import Patch

    handles: list[Line2D | Patch]
    if len(materials) == 1:
        title = plain(clipped(materials[0].title, 80))
        kinds = [kind for kind in KIND_DASHES if any(curve.kind == kind for curve in curves[0].values())]
        handles = [
            Line2D([], [], color=ACCENT, linewidth=1.7, linestyle=KIND_DASHES[kind], label=kind)
            for kind in kinds
        ]
        if any(curve.points.size for curve in curves[0].values()):
            handles.append(
                Line2D(
                    [],
                    [],
                    color=ACCENT,
                    linestyle="none",
                    marker="o",
                    markersize=4.6,
                    label="points of the file",
                )
            )
        if any(curve.spreads for curve in curves[0].values()):
            handles.append(Patch(color=ACCENT, alpha=0.16, label="stated spread"))
    else:
        title = "Materials side by side"
        handles = [
            Line2D([], [], linewidth=1.6, label=plain(clipped(material.name, 34)), **_look(number))
            for number, material in enumerate(materials)
        ]
    figure.get_layout_engine().set(rect=(0.0, 0.0, 1.0, _BELOW_HEAD))  # type: ignore[union-attr,call-arg]
    figure.text(0.015, 0.985, title, va="top", fontsize=11.5, fontweight="bold", color=INK)
    figure.text(0.015, 0.948, _figures(materials), va="top", fontsize=8.0, color=MUTED)
    figure.legend(
        handles=handles,
        loc="outside lower left",
        ncols=min(len(handles), 4 if len(materials) == 1 else 3),
        frameon=False,
        fontsize=8.0,
        labelcolor=INK,
        edgecolor=RULE,
        handlelength=3.2,
    )


def _figures(materials: Sequence[Material]) -> str:
    if len(materials) > 1:
        return "curves at 20 °C, from dry on the left to wet on the right"
    one = materials[0]
    suction = one.absorption_coefficient
    parts = [
        f"ρ {one.density:g} kg/m³",
        f"pores {100.0 * one.porosity:.3g} %",
        f"free saturation {one.free_saturation:.3g} kg/m³",
        "no A_w stated" if suction is None else f"A_w {suction:g} kg/(m²·√s)",
        "curves at 20 °C",
    ]
    return "  ·  ".join(parts)
