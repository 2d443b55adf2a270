"""The places whose hourly history is kept: surfaces, interfaces, the faces under films, probes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, get_args

import numpy as np

from hygro.grid.cells import Grid, IntArray
from hygro.materials.sources import MouldDecline, MouldSensitivity
from hygro.model.wall import WallModel
from hygro.physics.typing import FloatArray
from hygro.results.raw import PlaceInfo, PlaceKind

# From the most to the least sensitive; from the fastest to the slowest decline.
SENSITIVITY_ORDER = get_args(MouldSensitivity)
DECLINE_ORDER = get_args(MouldDecline)

FARTHEST = 0.25
"""Most that a line to a face may add: decades of suction, or kelvin."""

VAPOUR_TIGHT = 100.0
"""s_d from which a film counts as closing a board [m]; foils have several hundred (common practice)."""


@dataclass(frozen=True)
class Side:
    """State of a place as the line through two nodes has it.

    Parameters
    ----------
    node, other : int
        The node next to the place and one more.
    factor : float
        Distance of the place from the node over that of the node from the other: the line through both, drawn
        on to the place (negative between them).
    most : float
        Most that the line may add to the value at the node.
    """

    node: int
    other: int
    factor: float
    most: float


@dataclass(frozen=True)
class Place:
    """A place on the grid.

    Parameters
    ----------
    info : PlaceInfo
        Label and meaning.
    sides : tuple of Side
        How its state follows from nodes; the mean of all.
    """

    info: PlaceInfo
    sides: tuple[Side, ...]


def places_of(model: WallModel, grid: Grid, layers: list[Mapping[str, Any]]) -> list[Place]:
    """List the places of a wall from outside to inside.

    Parameters
    ----------
    model : WallModel
        The wall.
    grid : Grid
        Its grid.
    layers : list of mapping
        Description of each layer as from `hygro.model.build.describe`.

    Returns
    -------
    list of Place
        An interface is one place, its state the mean of the lines that both sides draw to it; with a film in
        it, two at one depth: the faces of the film. A film on a surface adds the face under it. Faces inside
        a layer that vapour-tight films enclose on both sides are a sealed core: what little moisture it holds
        moves to and fro in it and reaches nothing that could rot.
    """
    sealed = _sealed_layers(model)
    last = grid.nodes - 1
    films = _film_names(model)
    thickness = float(grid.depth[last])
    found = [_surface("external surface", 0, 0.0, layers[0])]
    if 0 in films:
        found.append(_face(f"under {films[0]}, outside", _line(grid, 1, 2, 0.0), None, layers[0], 0.0))
    for index in range(1, len(layers)):
        found += _interface(index, grid, layers, films.get(index), sealed)
    if len(layers) in films:
        side = _line(grid, last - 1, last - 2, thickness)
        found.append(_face(f"under {films[len(layers)]}, inside", side, layers[-1], None, thickness))
    found.append(_surface("internal surface", last, thickness, layers[-1]))
    return found + [_probe(model, grid, layers, index) for index in range(len(model.probes))]


def _sealed_layers(model: WallModel) -> set[int]:
    """Layers with a vapour-tight film on both faces."""
    tight = {film.position for film in model.films if film.s_d.min() >= VAPOUR_TIGHT}
    return {index for index in range(len(model.layers)) if {index, index + 1} <= tight}


def _film_names(model: WallModel) -> dict[int, str]:
    names: dict[int, list[str]] = {}
    for film in model.films:
        names.setdefault(film.position, []).append(film.name)
    return {position: " + ".join(parts) for position, parts in names.items()}


def _surface(label: PlaceKind, node: int, depth: float, layer: Mapping[str, Any]) -> Place:
    outside = label == "external surface"
    info = PlaceInfo(
        label,
        label,
        depth,
        "" if outside else layer["material"],
        layer["material"] if outside else "",
        layer["mould_sensitivity"],
        layer["mould_decline"],
    )
    return Place(info, (Side(node, node, 0.0, 0.0),))


def _line(grid: Grid, node: int, other: int, depth: float) -> Side:
    """Draw the line through two nodes on to a face half a cell away.

    Where humidity falls steeply in the first tenth of a millimetre, the node alone is off by some 0.1 %RH.
    What condenses in one cell makes the line meaningless, so that it may not reach far.
    """
    factor = (depth - grid.depth[node]) / (grid.depth[node] - grid.depth[other])
    return Side(node, other, float(factor), FARTHEST)


def _interface(
    index: int, grid: Grid, layers: list[Mapping[str, Any]], film: str | None, sealed: set[int]
) -> list[Place]:
    """Return the place, or the two faces of the film, between layers index-1 and index."""
    inner = int(np.flatnonzero(grid.layer[1:-1] == index)[0]) + 1
    outer = inner - 1
    a, b = layers[index - 1], layers[index]
    label = f"{a['name']} | {b['name']}"
    depth = float(grid.depth[outer] + grid.size[outer] / 2)
    if film is None:
        sensitivity, decline = _more_sensitive(a, b)
        info = PlaceInfo(label, "interface", depth, a["material"], b["material"], sensitivity, decline)
        sides = (_line(grid, outer, outer - 1, depth), _line(grid, inner, inner + 1, depth))
        return [Place(info, sides)]
    return [
        _face(
            f"{label}, outer face of {film}",
            _line(grid, outer, outer - 1, depth),
            a,
            b,
            depth,
            index - 1 in sealed,
        ),
        _face(
            f"{label}, inner face of {film}",
            _line(grid, inner, inner + 1, depth),
            a,
            b,
            depth,
            index in sealed,
        ),
    ]


def _face(
    label: str,
    side: Side,
    a: Mapping[str, Any] | None,
    b: Mapping[str, Any] | None,
    depth: float,
    sealed: bool = False,
) -> Place:
    beside = [layer for layer in (a, b) if layer is not None]
    sensitivity, decline = _more_sensitive(beside[0], beside[-1])
    info = PlaceInfo(
        label,
        "sealed core" if sealed else "interface",
        depth,
        a["material"] if a else "",
        b["material"] if b else "",
        sensitivity,
        decline,
    )
    return Place(info, (side,))


def _probe(model: WallModel, grid: Grid, layers: list[Mapping[str, Any]], index: int) -> Place:
    probe = model.probes[index]
    inner = int(np.clip(np.searchsorted(grid.depth, probe.depth), 1, grid.nodes - 1))
    outer = inner - 1
    gap = grid.depth[inner] - grid.depth[outer]
    share = float((probe.depth - grid.depth[outer]) / gap) if gap > 0 else 0.0
    layer = layers[int(grid.layer[inner])]
    info = PlaceInfo(
        probe.name,
        "probe",
        probe.depth,
        layer["material"],
        layer["material"],
        layer["mould_sensitivity"],
        layer["mould_decline"],
        probe.timber,
    )
    return Place(info, (Side(outer, inner, -min(max(share, 0.0), 1.0), np.inf),))


def _more_sensitive(a: Mapping[str, Any], b: Mapping[str, Any]) -> tuple[str, str]:
    """Classes of the side on which mould grows more readily; the slower decline of the two."""
    sensitivity = min((a["mould_sensitivity"], b["mould_sensitivity"]), key=SENSITIVITY_ORDER.index)
    decline = max((a["mould_decline"], b["mould_decline"]), key=DECLINE_ORDER.index)
    return sensitivity, decline


def watched_nodes(places: list[Place]) -> IntArray:
    """Nodes to keep the history of, each once, in order."""
    return np.unique([node for place in places for side in place.sides for node in (side.node, side.other)])


def at_places(values: FloatArray, watched: IntArray, places: list[Place]) -> FloatArray:
    """Histories at the places from those at the nodes.

    Parameters
    ----------
    values : array, shape (hours, watched)
        Temperature or log10 of suction.
    watched : int array
        From `watched_nodes`.
    places : list of Place
        The places.

    Returns
    -------
    array, shape (hours, places)
    """
    found = np.empty((len(values), len(places)))
    for column, place in enumerate(places):
        lines = [_value(values, watched, side) for side in place.sides]
        found[:, column] = np.mean(lines, axis=0)
    return found


def _value(values: FloatArray, watched: IntArray, side: Side) -> FloatArray:
    """Value that a side's line has at the place."""
    node = values[:, np.searchsorted(watched, side.node)]
    other = values[:, np.searchsorted(watched, side.other)]
    value: FloatArray = node + np.clip(side.factor * (node - other), -side.most, side.most)
    return value
