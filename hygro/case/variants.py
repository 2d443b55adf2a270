"""Variants: bare wall and build-ups, each thickness, each elevation."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, replace

from hygro.case.schema import CaseFile
from hygro.case.walls import BuildUpSection, LayerSection, WallSection
from hygro.climate.site import elevation_name, parse_elevation
from hygro.materials.mixed_air import STILL_AIR
from hygro.materials.mixed_heat import mixed_name

BARE_WALL = "bare wall"
"""Name of the variant without any build-up."""


@dataclass(frozen=True)
class LayerChoice:
    """One layer of a variant, everything decided.

    Parameters
    ----------
    name : str
        What results call it, unlike the name of any other layer of the variant.
    material, film : str or None
        One of the two: a name of the library or a file, or "still-air".
    thickness_mm : float or None
        Of a material; None for a film.
    initial_temperature_C : float
        At the start.
    initial_relative_humidity_percent : float
        At the start, unless a water content is given.
    initial_water_content_kg_m3 : float or None
        At the start.
    part : {"wall", "build-up"}
        Where the layer comes from.
    varied : bool
        Whether its thickness is the one that changes from variant to variant.
    path : tuple
        Where the case file describes it.
    air_layer : bool
        Whether it is still air.
    ventilated_per_hour : float
        Changes of its air with outdoor air.
    contact_resistance_m_s : float
        Of the contact with the layer outside of it to liquid.
    mixed : tuple of (str, float)
        Materials side by side with their shares; `material` then is what they are called together.
    mixed_heat : {"ISO 6946", "parallel"}
        How heat goes through them.
    beside : tuple of LayerChoice
        The other layers with thickness of the variant, which the combined method of ISO 6946 asks for;
        empty where nothing is mixed.
    """

    name: str
    material: str | None
    film: str | None
    thickness_mm: float | None
    initial_temperature_C: float
    initial_relative_humidity_percent: float
    initial_water_content_kg_m3: float | None
    part: str
    varied: bool
    path: tuple[str | int, ...]
    air_layer: bool = False
    ventilated_per_hour: float = 0.0
    contact_resistance_m_s: float = 0.0
    mixed: tuple[tuple[str, float], ...] = ()
    mixed_heat: str = "ISO 6946"
    beside: tuple[LayerChoice, ...] = ()


@dataclass(frozen=True)
class Variant:
    """One wall to compute.

    Parameters
    ----------
    slug : str
        Safe as a file name, unlike any other of the case.
    build_up : str
        Name of the build-up, or "bare wall".
    thickness_mm : float or None
        Thickness of the layer that varies; None where none does.
    elevation : float or None
        Degrees from north that the wall faces; None where the external boundary is prescribed.
    elevation_name : str
        Compass point or degrees; empty where there is no elevation.
    layers : tuple of LayerChoice
        From outside to inside, films among them.
    """

    slug: str
    build_up: str
    thickness_mm: float | None
    elevation: float | None
    elevation_name: str
    layers: tuple[LayerChoice, ...]


def slugify(text: str) -> str:
    """Turn a name into lower-case words of ASCII letters and digits, joined by hyphens.

    Parameters
    ----------
    text : str
        Any name.

    Returns
    -------
    str
        Possibly empty, where the name holds no letter or digit that has an ASCII form.
    """
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-")


def expand(spec: CaseFile) -> tuple[Variant, ...]:
    """List the variants of a case: elevation by elevation, bare wall first, then each build-up by thickness.

    Parameters
    ----------
    spec : CaseFile
        A checked case.

    Returns
    -------
    tuple of Variant
        At least one.
    """
    walls: list[tuple[str, float | None, tuple[LayerChoice, ...]]] = []
    if spec.bare_wall or not spec.build_up:
        walls.append((BARE_WALL, None, _unlike(_wall_layers(spec.wall))))
    for position, build_up in enumerate(spec.build_up):
        walls += _with_build_up(spec.wall, build_up, position)
    return tuple(
        Variant(
            _slug(name, thickness, facing),
            name,
            thickness,
            facing,
            "" if facing is None else elevation_name(facing),
            layers,
        )
        for facing in _elevations(spec)
        for name, thickness, layers in walls
    )


def _elevations(spec: CaseFile) -> tuple[float | None, ...]:
    """Return the elevations, or None alone where the external boundary is prescribed."""
    if spec.site is None or spec.external.kind != "climate":
        return (None,)
    return tuple(parse_elevation(value) for value in spec.site.elevations)


def _slug(name: str, thickness: float | None, facing: float | None) -> str:
    parts = [slugify(name) or "build-up"]
    if thickness is not None:
        whole, _, rest = f"{thickness:g}".partition(".")
        parts.append(f"{int(float(whole)):03d}{'_' + rest if rest else ''}mm")
    if facing is not None:
        parts.append(elevation_name(facing).replace(" ", "").replace(".", "_"))
    return "-".join(parts)


def _wall_layers(wall: WallSection, removes: tuple[str, ...] = ()) -> tuple[LayerChoice, ...]:
    chosen = tuple(
        _choice(layer, wall, "wall", ("wall", "layer", index)) for index, layer in enumerate(wall.layer)
    )
    return tuple(layer for layer in chosen if layer.name not in removes)


def _with_build_up(
    wall: WallSection, build_up: BuildUpSection, position: int
) -> list[tuple[str, float | None, tuple[LayerChoice, ...]]]:
    """Put a build-up on the wall, once for each thickness of its list."""
    old = _wall_layers(wall, build_up.removes)
    new = tuple(
        _choice(layer, wall, "build-up", ("build_up", position, "layer", index))
        for index, layer in enumerate(build_up.layer)
    )
    candidates = next(
        (layer.thickness_mm for layer in build_up.layer if isinstance(layer.thickness_mm, tuple)), None
    )
    if candidates is None:
        return [(build_up.name, None, _unlike(old + new))]
    return [
        (
            build_up.name,
            thickness,
            _unlike(old + tuple(replace(n, thickness_mm=thickness) if n.varied else n for n in new)),
        )
        for thickness in candidates
    ]


def _choice(layer: LayerSection, wall: WallSection, part: str, path: tuple[str | int, ...]) -> LayerChoice:
    """Fill in what a layer leaves to the wall."""
    temperature, humidity = layer.initial_temperature_C, layer.initial_relative_humidity_percent
    thickness = layer.thickness_mm
    return LayerChoice(
        name=layer_name(layer),
        material=_called(layer),
        film=layer.film,
        thickness_mm=None if isinstance(thickness, tuple) else thickness,
        initial_temperature_C=wall.initial_temperature_C if temperature is None else temperature,
        initial_relative_humidity_percent=wall.initial_relative_humidity_percent
        if humidity is None
        else humidity,
        initial_water_content_kg_m3=layer.initial_water_content_kg_m3,
        part=part,
        varied=isinstance(thickness, tuple),
        path=path,
        air_layer=layer.air_layer,
        ventilated_per_hour=layer.ventilated_per_hour or 0.0,
        contact_resistance_m_s=layer.contact_resistance_m_s or 0.0,
        mixed=tuple((part.material, part.share) for part in layer.mixed or ()),
        mixed_heat=layer.mixed_heat or "ISO 6946",
    )


def layer_name(layer: LayerSection) -> str:
    """Return what a layer is called: its name, else that of its material or film without directory."""
    called = _called(layer) or layer.film or ""
    return layer.name or _plain(called)


def _called(layer: LayerSection) -> str | None:
    """Name the material of a layer, for a mixed one all its parts with their shares."""
    if layer.air_layer:
        return STILL_AIR
    if layer.mixed is None:
        return layer.material
    return mixed_name([(_plain(part.material), part.share) for part in layer.mixed])


def _plain(name: str) -> str:
    """Strip directory and ending off a material's file."""
    return name.replace("\\", "/").rsplit("/", 1)[-1].removesuffix(".toml")


def _unlike(layers: tuple[LayerChoice, ...]) -> tuple[LayerChoice, ...]:
    """Add a number to the layers that share a name, from outside to inside."""
    seen: dict[str, int] = {}
    named = []
    for layer in layers:
        seen[layer.name] = seen.get(layer.name, 0) + 1
        count = seen[layer.name]
        named.append(layer if count == 1 else replace(layer, name=f"{layer.name} ({count})"))
    return _beside(tuple(named))


def _beside(layers: tuple[LayerChoice, ...]) -> tuple[LayerChoice, ...]:
    """Tell each mixed layer what it stands in series with."""
    thick = [layer for layer in layers if layer.material]
    return tuple(
        replace(layer, beside=tuple(other for other in thick if other is not layer)) if layer.mixed else layer
        for layer in layers
    )
