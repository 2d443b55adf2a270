"""How figures look, and how a matplotlib figure becomes inline SVG."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from contextlib import contextmanager
from html import escape
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

INK: Final = "#1f2933"
MUTED: Final = "#5b6770"
RULE: Final = "#c5ced6"
ACCENT: Final = "#0b6b7a"
LIMIT: Final = "#9c2f1f"
"""Colour of a limit and of what exceeds it."""

WIDE: Final = 7.4
"""Width of a figure on a screen or a sheet [inch]."""

NARROW: Final = 3.7
"""Width of a figure on a telephone [inch]: the same text, less room."""

HUMIDITY_COLOURS: Final = "cividis_r"
"""Light is dry, dark is wet; even in lightness and readable without seeing red and green."""

LINE_COLOURS: Final = (ACCENT, "#4a5560", "#8a98a5", "#2e3a44")
MARKERS: Final = ("o", "s", "^", "D", "v", "P")
DASHES: Final = ("-", (0, (5, 2)), (0, (2, 1.5)), (0, (7, 2, 1.5, 2)))

_STYLE: Final[dict[str, Any]] = {
    "font.family": ["DejaVu Sans"],
    "font.size": 8.5,
    "axes.titlesize": 9.0,
    "axes.titleweight": "bold",
    "axes.titlelocation": "left",
    "axes.titlecolor": INK,
    "axes.labelcolor": INK,
    "axes.labelsize": 8.5,
    "axes.edgecolor": RULE,
    "axes.linewidth": 0.8,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "xtick.color": RULE,
    "ytick.color": RULE,
    "xtick.labelcolor": MUTED,
    "ytick.labelcolor": MUTED,
    "xtick.labelsize": 8.0,
    "ytick.labelsize": 8.0,
    "text.color": INK,
    "figure.facecolor": "none",
    "axes.facecolor": "none",
    "savefig.facecolor": "none",
    "svg.fonttype": "none",
    "path.simplify": True,
    "axes.unicode_minus": True,
}
_DOTS_PER_INCH: Final = 160
"""Of what is drawn as an image inside an SVG: sharp on a dense screen at the largest width."""

_IDENTIFIER: Final = re.compile(r'\bid="([^"]+)"')
_REFERENCE: Final = re.compile(r'(url\(#|href="#)')
_WRAPPING: Final = re.compile(r"<\?xml.*?\?>|<!DOCTYPE.*?>|<metadata>.*?</metadata>|<!--.*?-->", re.DOTALL)
_NAMESPACE: Final = re.compile(r'\s+xmlns(:\w+)?="[^"]*"')
_OPENING: Final = re.compile(r"<svg[^>]*>", re.DOTALL)
_VIEW_BOX: Final = re.compile(r'viewBox="([^"]+)"')


@contextmanager
def house_style() -> Iterator[None]:
    """Draw in the look of the house: starts from matplotlib's own defaults, so no user file shows through."""
    from matplotlib import rc_context, rcParamsDefault

    skipped = {"backend", "interactive"}  # not a matter of looks, and setting them changes the session
    settings: Any = {key: value for key, value in rcParamsDefault.items() if key not in skipped}
    settings.update(_STYLE)
    with rc_context(settings):
        yield


def blank_figure(width: float, height: float) -> Figure:
    """Return an empty figure that belongs to no window, so that nothing is left open.

    Parameters
    ----------
    width, height : float
        [inch].

    Returns
    -------
    matplotlib.figure.Figure
    """
    from matplotlib.figure import Figure

    return Figure(figsize=(width, height), layout="constrained")


def quiet_grid(axes: Axes, axis: str = "both") -> None:
    """Put a hairline grid behind the data."""
    axes.grid(True, axis=axis, color=RULE, linewidth=0.5, alpha=0.7)  # type: ignore[arg-type]
    axes.set_axisbelow(True)
    axes.tick_params(length=3.0)


def to_svg(figure: Figure, prefix: str, title: str) -> str:
    """Turn a figure into SVG that can stand beside others in one HTML page.

    Parameters
    ----------
    figure : matplotlib.figure.Figure
        Drawn in `house_style`.
    prefix : str
        Put before every id, so that no two figures of a page share one.
    title : str
        What the picture shows, for those who cannot see it. Escaped here.

    Returns
    -------
    str
        An svg element without size, which fills the width it is given. The same figure gives the same text.
    """
    from matplotlib import rc_context

    buffer = io.StringIO()
    with house_style(), rc_context({"svg.hashsalt": prefix}):
        figure.savefig(buffer, format="svg", dpi=_DOTS_PER_INCH, metadata={"Date": None})
    text = _WRAPPING.sub("", buffer.getvalue()).strip()
    return _inline(text, prefix, title)


def _inline(text: str, prefix: str, title: str) -> str:
    opening = _OPENING.search(text)
    assert opening is not None, "matplotlib wrote no svg element"
    box = _VIEW_BOX.search(opening.group())
    assert box is not None, "matplotlib wrote no viewBox"
    body = text[opening.end() :].replace("xlink:href", "href")
    body = _NAMESPACE.sub("", body)
    body = _IDENTIFIER.sub(rf'id="{prefix}-\1"', body)
    body = _REFERENCE.sub(rf"\g<1>{prefix}-", body)
    label = escape(title)
    return f'<svg viewBox="{box.group(1)}" role="img" aria-label="{label}"><title>{label}</title>{body}'
