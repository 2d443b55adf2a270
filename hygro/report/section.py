"""The wall and its build-ups drawn in section, to scale."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from markupsafe import Markup, escape

from hygro.case.variants import LayerChoice, Variant
from hygro.report.plots.common import spread

_WIDTH: Final = 350.0
_HEIGHT: Final = 74.0
_TOP: Final = 30.0
_SIDE: Final = 50.0
_BADGE: Final = 13.0  # distance that keeps two numbers apart
_OLD: Final = ("#aab5bf", "#bcc6ce")
_NEW: Final = ("#dfe6eb", "#eef2f5")
_INSULATION: Final = "#bfe0e4"


@dataclass(frozen=True)
class SectionLayer:
    """One line of the key beside a section.

    Parameters
    ----------
    mark : str
        Number of a layer, letter of a film.
    name, material : str
        What the case calls it, and the title of the material.
    thickness_mm : float or None
        None for a film.
    part : str
        "wall" or "build-up".
    """

    mark: str
    name: str
    material: str
    thickness_mm: float | None
    part: str


def section_key(variant: Variant, titles: Mapping[str, str]) -> tuple[SectionLayer, ...]:
    """List the layers and films of a variant with their marks, from outside to inside.

    Parameters
    ----------
    variant : Variant
        Which wall.
    titles : mapping
        Title of each material and film by name; the name where there is none.
    """
    numbers, letters = 0, 0
    rows = []
    for layer in variant.layers:
        if layer.material is None:
            mark = chr(ord("a") + letters % 26)
            letters += 1
        else:
            numbers += 1
            mark = str(numbers)
        called = layer.material or layer.film or ""
        title = titles.get(called, called)
        name = title if layer.name == called else layer.name  # a layer without a name of its own
        rows.append(SectionLayer(mark, name, title, layer.thickness_mm, layer.part))
    return tuple(rows)


def section_svg(variant: Variant, most_mm: float, title: str) -> Markup:
    """Draw a variant in section.

    Parameters
    ----------
    variant : Variant
        Which wall.
    most_mm : float
        Thickness of the thickest wall of the report, so that all are drawn to one scale.
    title : str
        What the picture shows.

    Returns
    -------
    Markup
        An svg element that fills the width it is given.
    """
    scale = (_WIDTH - 2 * _SIDE) / most_mm
    x = _SIDE
    shapes: list[Markup] = []
    films: list[Markup] = []
    badges: list[tuple[float, str]] = []
    rows = section_key(variant, {})
    for index, (layer, row) in enumerate(zip(variant.layers, rows, strict=True)):
        if layer.thickness_mm is None:
            films.append(_film(x))
            badges.append((x, row.mark))
            continue
        width = layer.thickness_mm * scale
        shapes.append(_rectangle(x, width, _fill(layer, index)))
        badges.append((x + width / 2.0, row.mark))
        x += width
    label = escape(title)
    head = Markup('<svg viewBox="0 0 {:g} {:g}" role="img" aria-label="{}"><title>{}</title>').format(
        _WIDTH, _TOP + _HEIGHT + 24.0, label, label
    )
    body = Markup("").join([*shapes, *films, *_badges(badges), _sides(x), _ruler(scale)])
    return head + body + Markup("</svg>")


def _fill(layer: LayerChoice, index: int) -> str:
    if layer.varied:
        return _INSULATION
    return (_OLD if layer.part == "wall" else _NEW)[index % 2]


def _rectangle(x: float, width: float, fill: str) -> Markup:
    return Markup(
        '<rect x="{:.2f}" y="{:g}" width="{:.2f}" height="{:g}" fill="{}" '
        'stroke="#5b6770" stroke-width=".8"/>'
    ).format(x, _TOP, width, _HEIGHT, fill)


def _film(x: float) -> Markup:
    return Markup(
        '<path d="M{:.2f} {:g}v{:g}" stroke="#0b6b7a" stroke-width="2.4" stroke-dasharray="5 3"/>'
    ).format(x, _TOP, _HEIGHT)


def _badges(badges: list[tuple[float, str]]) -> list[Markup]:
    """Put the marks over the layers, apart from their neighbours."""
    slots = spread([centre for centre, _ in badges], _BADGE)
    shift = min(0.0, _WIDTH - _BADGE / 2.0 - slots[-1])  # thin layers towards the room must not run out
    return [
        Markup(
            '<path d="M{:.2f} {:g}L{:.2f} {:g}" stroke="#5b6770" stroke-width=".7" fill="none"/>'
            '<text x="{:.2f}" y="{:g}" text-anchor="middle" font-size="11" fill="#1f2933">{}</text>'
        ).format(centre, _TOP, slot + shift, _TOP - 10.0, slot + shift, _TOP - 13.0, mark)
        for (centre, mark), slot in zip(badges, slots, strict=True)
    ]


def _sides(right: float) -> Markup:
    middle = _TOP + _HEIGHT / 2.0
    text = '<text x="{:g}" y="{:g}" text-anchor="{}" font-size="11" fill="#5b6770">{}</text>'
    return Markup(text).format(_SIDE - 6.0, middle, "end", "outside") + Markup(text).format(
        right + 6.0, middle, "start", "room"
    )


def _ruler(scale: float) -> Markup:
    y = _TOP + _HEIGHT + 9.0
    return Markup(
        '<path d="M{:g} {:g}v4h{:.2f}v-4" fill="none" stroke="#5b6770" stroke-width=".8"/>'
        '<text x="{:.2f}" y="{:g}" font-size="10" fill="#5b6770">100 mm</text>'
    ).format(_SIDE, y, 100.0 * scale, _SIDE + 100.0 * scale + 5.0, y + 6.0)
