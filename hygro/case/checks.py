"""Checks of more than one key: what a layer must have, which keys go together, whether files are there."""

from __future__ import annotations

from pathlib import Path as FilePath

from hygro.case.boundaries import BoundarySection
from hygro.case.lines import Path
from hygro.case.schema import CaseFile
from hygro.case.source import CaseSource
from hygro.case.variants import expand, slugify
from hygro.case.walls import BuildUpSection, LayerSection

THICKEST_MM = 2000.0
"""Largest thickness of a layer of a building."""

THICKEST_PRESCRIBED_MM = 100_000.0
"""Largest thickness where the external boundary is prescribed: published cases stand for half-spaces."""


def check_case(spec: CaseFile, source: CaseSource) -> None:
    """Check what goes together.

    Parameters
    ----------
    spec : CaseFile
        Sections that are each right by themselves.
    source : CaseSource
        The text, to point into.

    Raises
    ------
    CaseError
        The first thing that does not go together.
    """
    check_layers(spec, source)
    check_build_ups(spec, source)
    check_probes(spec, source)
    check_sides(spec, source)
    check_room(spec, source)
    check_site(spec, source)
    check_run(spec, source)


def check_layers(spec: CaseFile, source: CaseSource) -> None:
    """Check each layer of the wall and of the build-ups."""
    thickest = THICKEST_MM if spec.external.kind == "climate" else THICKEST_PRESCRIBED_MM
    _check_stack(spec.wall.layer, ("wall", "layer"), thickest, source)
    for index, layer in enumerate(spec.wall.layer):
        if isinstance(layer.thickness_mm, tuple):
            raise source.error(
                ("wall", "layer", index, "thickness_mm"),
                "a list of thicknesses stands in the old wall",
                expected="one number; lists belong in a layer of a [[build_up]]",
            )
    for position, build_up in enumerate(spec.build_up):
        _check_stack(build_up.layer, ("build_up", position, "layer"), thickest, source)


def _check_stack(layers: tuple[LayerSection, ...], path: Path, thickest: float, source: CaseSource) -> None:
    if not layers:
        raise source.error(path, "there is no layer", expected="at least one")
    for index, layer in enumerate(layers):
        _check_layer(layer, (*path, index), thickest, source)
    if path[0] == "wall" and all(layer.film for layer in layers):
        raise source.error(path, "the wall has no layer with a thickness", expected="at least one material")


def _check_layer(layer: LayerSection, path: Path, thickest: float, source: CaseSource) -> None:
    if (layer.material is None) == (layer.film is None):
        what = "the layer has neither a material nor a film" if layer.film is None else "the layer has both"
        raise source.error(path, what, expected="either material or film")
    if layer.film is not None:
        _check_film(layer, path, source)
        return
    if layer.thickness_mm is None:
        raise source.error(path, f"the layer of {layer.material!r} has no thickness", expected="thickness_mm")
    listed = layer.thickness_mm if isinstance(layer.thickness_mm, tuple) else (layer.thickness_mm,)
    for thickness in listed:
        if not 0.0 < thickness <= thickest:
            raise source.error(
                (*path, "thickness_mm"),
                f"the layer of {layer.material!r} has an impossible thickness",
                found=thickness,
                expected=f"more than 0 and at most {thickest:g} mm",
            )
    if None not in (layer.initial_relative_humidity_percent, layer.initial_water_content_kg_m3):
        raise source.error(
            (*path, "initial_water_content_kg_m3"),
            "the layer starts from both a humidity and a water content",
            expected="one of the two",
        )


def _check_film(layer: LayerSection, path: Path, source: CaseSource) -> None:
    for key in ("thickness_mm", "initial_water_content_kg_m3", "initial_relative_humidity_percent",
                "initial_temperature_C"):  # fmt: skip
        if getattr(layer, key) is not None:
            raise source.error(
                (*path, key),
                f"the film {layer.film!r} has a key {key!r}",
                expected="none: a film has neither thickness nor content",
            )


def check_build_ups(spec: CaseFile, source: CaseSource) -> None:
    """Check the lists of thicknesses, the layers taken off, and that no two build-ups share a name."""
    slugs: dict[str, str] = {"bare-wall": "bare wall"}
    for position, build_up in enumerate(spec.build_up):
        path: Path = ("build_up", position)
        _check_lists(build_up, path, source)
        _check_removals(spec, build_up, path, source)
        slug = slugify(build_up.name)
        if not slug or slug in slugs:
            found = "has no letter or digit" if not slug else f"is too like {slugs[slug]!r}"
            raise source.error(
                (*path, "name"), f"the name {build_up.name!r} {found}", expected="names that differ"
            )
        slugs[slug] = build_up.name
    if not spec.bare_wall and not spec.build_up:
        raise source.error(("bare_wall",), "there is nothing to compute: no build-up, and bare_wall = false")
    if len({variant.slug for variant in expand(spec)}) != len(expand(spec)):
        raise source.error(
            ("build_up",), "two variants have the same name", hint="rename one of the build-ups"
        )


def _check_lists(build_up: BuildUpSection, path: Path, source: CaseSource) -> None:
    listed = [i for i, layer in enumerate(build_up.layer) if isinstance(layer.thickness_mm, tuple)]
    if len(listed) > 1:
        raise source.error(
            (*path, "layer", listed[1], "thickness_mm"),
            f"the build-up {build_up.name!r} has a second list of thicknesses",
            expected="a list in at most one layer, the insulation",
        )


def _check_removals(spec: CaseFile, build_up: BuildUpSection, path: Path, source: CaseSource) -> None:
    names = [layer.name or layer.material or layer.film or "" for layer in spec.wall.layer]
    for name in build_up.removes:
        if name not in names:
            raise source.error(
                (*path, "removes"),
                f"the wall has no layer {name!r} to remove",
                expected=f"one of {', '.join(names)}",
            )
    kept = [layer for layer, name in zip(spec.wall.layer, names, strict=True) if name not in build_up.removes]
    if not any(layer.material for layer in kept):
        raise source.error((*path, "removes"), f"the build-up {build_up.name!r} removes the whole wall")


def check_probes(spec: CaseFile, source: CaseSource) -> None:
    """Check that probes lie within the old wall as it stands, and have names of their own."""
    total = sum(layer.thickness_mm for layer in spec.wall.layer if isinstance(layer.thickness_mm, float))
    names: set[str] = set()
    for index, probe in enumerate(spec.probe):
        if probe.depth_mm > total:
            raise source.error(
                ("probe", index, "depth_mm"),
                f"the probe {probe.name!r} lies outside the wall",
                found=probe.depth_mm,
                expected=f"at most the wall's thickness of {total:g} mm",
            )
        if probe.name in names:
            raise source.error(("probe", index, "name"), f"two probes are called {probe.name!r}")
        names.add(probe.name)


_ALLOWED = {
    "climate": (),
    "constant": ("temperature_C", "relative_humidity_percent", "vapour_pressure_Pa", "heat_coefficient_W_m2K",
                 "vapour_coefficient_kg_m2sPa", "rain_kg_m2s"),
    "series": ("file", "heat_coefficient_W_m2K", "vapour_coefficient_kg_m2sPa"),
    "fixed": ("file", "temperature_C", "relative_humidity_percent"),
}  # fmt: skip
"""Keys that each kind of boundary takes."""

_NEEDED = {
    "climate": (),
    "constant": ("temperature_C", "heat_coefficient_W_m2K", "vapour_coefficient_kg_m2sPa"),
    "series": ("file",),
    "fixed": (),
}
"""Keys that each kind of boundary cannot do without."""


def check_sides(spec: CaseFile, source: CaseSource) -> None:
    """Check the keys of [external] and [internal] against their kind."""
    for name, side in (("external", spec.external), ("internal", spec.internal)):
        given = [
            key for key in BoundarySection.model_fields if key != "kind" and getattr(side, key) is not None
        ]
        for key in given:
            if key not in _ALLOWED[side.kind]:
                raise source.error(
                    (name, key),
                    f"the key {key!r} means nothing where the {name} boundary is of kind {side.kind!r}",
                    expected=f"only {', '.join(_ALLOWED[side.kind])}"
                    if _ALLOWED[side.kind]
                    else "no other key",
                )
        for key in _NEEDED[side.kind]:
            if key not in given:
                raise source.error((name,), f"[{name}] of kind {side.kind!r} lacks the key {key!r}")
        _check_state(name, side, given, source)
        _check_file((name, "file"), side.file, source)


def _check_state(name: str, side: BoundarySection, given: list[str], source: CaseSource) -> None:
    """Check that temperature and humidity are given once."""
    humidities = [key for key in ("relative_humidity_percent", "vapour_pressure_Pa") if key in given]
    if side.kind == "constant" and len(humidities) != 1:
        raise source.error(
            (name,),
            f"[{name}] gives {'two humidities' if humidities else 'no humidity'}",
            expected="either relative_humidity_percent or vapour_pressure_Pa",
        )
    state = ("temperature_C", "relative_humidity_percent")
    if side.kind == "fixed":
        constants = [key for key in state if key in given]
        if (side.file is None and len(constants) != 2) or (side.file is not None and constants):
            raise source.error(
                (name,),
                f"[{name}] of kind 'fixed' does not say what the surface's state is",
                expected="either file, or both temperature_C and relative_humidity_percent",
            )


def check_room(spec: CaseFile, source: CaseSource) -> None:
    """Check the keys of [room] against its climate."""
    room = spec.room
    if spec.internal.kind != "climate":
        if room is not None:
            raise source.error(("room",), "[room] means nothing where [internal] prescribes the boundary")
        return
    if room is None:
        raise source.error((), "the case lacks the table [room]", hint='such as climate = "EN 15026 normal"')
    allowed = {"constant": ("temperature_C", "relative_humidity_percent"), "series": ("file",)}.get(
        room.climate, ("temperature_C",) if room.climate.startswith("ISO") else ()
    )
    for key in ("temperature_C", "relative_humidity_percent", "file"):
        given = getattr(room, key) is not None
        if given and key not in allowed:
            raise source.error(
                ("room", key), f"the key {key!r} means nothing for the room climate {room.climate!r}"
            )
        if key in allowed and not given and room.climate in ("constant", "series"):
            raise source.error(("room",), f"[room] with climate {room.climate!r} lacks the key {key!r}")
    if room.climate != "constant" and spec.site is None:
        hint = 'or use kind = "series" in [internal]' if room.climate == "series" else None
        raise source.error(
            ("room", "climate"), f"the room climate {room.climate!r} needs the weather of a [site]", hint=hint
        )
    _check_file(("room", "file"), room.file, source)


def check_site(spec: CaseFile, source: CaseSource) -> None:
    """Check that a site is there where it is needed, that its files exist and its keys go together."""
    site = spec.site
    if site is None:
        if spec.external.kind == "climate":
            raise source.error(
                (), "the case lacks the table [site]", hint="or prescribe the boundary in [external]"
            )
        return
    _check_file(("site", "weather"), site.weather, source)
    _check_file(("site", "rain"), None if site.rain == "none" else site.rain, source)
    if site.obstruction is not None and site.obstruction_distance_m is not None:
        raise source.error(
            ("site", "obstruction_distance_m"),
            "the obstruction is given twice",
            expected="either obstruction or obstruction_distance_m",
        )
    placed = [site.latitude_deg, site.longitude_deg, site.altitude_m]
    if any(value is None for value in placed) and any(value is not None for value in placed):
        raise source.error(
            ("site",),
            "the place is given in part",
            expected="latitude_deg, longitude_deg and altitude_m together",
        )


def check_run(spec: CaseFile, source: CaseSource) -> None:
    """Check that years and hours are not both given."""
    if spec.run.hours is not None and spec.run.years is not None:
        raise source.error(
            ("run", "hours"), "the length of the run is given twice", expected="either years or hours"
        )


def _check_file(path: Path, name: str | None, source: CaseSource) -> None:
    if name is None:
        return
    file = source.path.parent / FilePath(name)
    if not file.is_file():
        what = "is a directory" if file.is_dir() else "there is no such file"
        raise source.error(path, f"{what}: {name!r}", hint="paths start from the directory of the case file")
