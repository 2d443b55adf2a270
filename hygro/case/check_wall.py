"""Checks of layers, build-ups and probes."""

from __future__ import annotations

from hygro.case.check_programme import COAT_KEYS, check_coat, check_mixed
from hygro.case.lines import Path
from hygro.case.schema import CaseFile
from hygro.case.source import CaseSource
from hygro.case.variants import expand, layer_name, slugify
from hygro.case.walls import BuildUpSection, LayerSection

THICKEST_MM = 2000.0
"""Largest thickness of a layer of a building."""

THICKEST_PRESCRIBED_MM = 100_000.0
"""Largest thickness where the external boundary is prescribed: published cases stand for half-spaces."""


def check_layers(spec: CaseFile, source: CaseSource) -> None:
    """Check each layer of the wall and of the build-ups."""
    thickest = THICKEST_MM if spec.external.kind == "climate" else THICKEST_PRESCRIBED_MM
    _check_stack(spec.wall.layer, ("wall", "layer"), thickest, source)
    if spec.wall.layer[0].contact_resistance_m_s is not None:
        raise source.error(
            ("wall", "layer", 0, "contact_resistance_m_s"),
            "the outermost layer touches no other outside of it",
            hint="the key belongs to the inner one of the two layers that touch",
        )
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
    kinds = [layer.material is not None, layer.film is not None, layer.mixed is not None, layer.air_layer]
    if sum(kinds[:3]) != 1 - kinds[3] and (layer.mixed is None or layer.air_layer):
        what = "neither a material nor a film"
        if sum(kinds) > 1:
            what = "both a material and a film" if not layer.air_layer else "an air layer and something else"
        raise source.error(
            path, f"the layer has {what}", expected="either material or film, or air_layer = true"
        )
    if layer.ventilated_per_hour is not None and not layer.air_layer:
        raise source.error(
            (*path, "ventilated_per_hour"), "only an air layer is ventilated", expected="air_layer = true"
        )
    if layer.film is not None:
        _check_film(layer, path, source)
        return
    called = layer_name(layer)
    check_mixed(layer, path, source)
    if layer.thickness_mm is None:
        raise source.error(path, f"the layer of {called!r} has no thickness", expected="thickness_mm")
    listed = layer.thickness_mm if isinstance(layer.thickness_mm, tuple) else (layer.thickness_mm,)
    for thickness in listed:
        if not 0.0 < thickness <= thickest:
            raise source.error(
                (*path, "thickness_mm"),
                f"the layer of {called!r} has an impossible thickness",
                found=thickness,
                expected=f"more than 0 and at most {thickest:g} mm",
            )
    check_coat(layer, path, source)
    if None not in (layer.initial_relative_humidity_percent, layer.initial_water_content_kg_m3):
        raise source.error(
            (*path, "initial_water_content_kg_m3"),
            "the layer starts from both a humidity and a water content",
            expected="one of the two",
        )


def _check_film(layer: LayerSection, path: Path, source: CaseSource) -> None:
    for key in ("mixed", "mixed_heat", "thickness_mm", "initial_water_content_kg_m3",
                "initial_relative_humidity_percent", "initial_temperature_C", "contact_resistance_m_s",
                *COAT_KEYS):  # fmt: skip
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
    names = [layer_name(layer) for layer in spec.wall.layer]
    for name in build_up.removes:
        if name not in names:
            raise source.error(
                (*path, "removes"),
                f"the wall has no layer {name!r} to remove",
                expected=f"one of {', '.join(names)}",
            )
    kept = [layer for layer, name in zip(spec.wall.layer, names, strict=True) if name not in build_up.removes]
    if all(layer.film for layer in kept):
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
            raise source.error(
                ("probe", index, "name"),
                f"two probes are called {probe.name!r}",
                expected="names that differ",
            )
        names.add(probe.name)
        _check_probe_stays(spec, index, total, source)


def _check_probe_stays(spec: CaseFile, index: int, total: float, source: CaseSource) -> None:
    """Refuse a probe inside a layer that some build-up takes off."""
    probe = spec.probe[index]
    depth = probe.depth_mm if probe.measured_from == "outside" else total - probe.depth_mm
    removed = {name for build_up in spec.build_up for name in build_up.removes}
    face = 0.0
    for layer in spec.wall.layer:
        thickness = layer.thickness_mm if isinstance(layer.thickness_mm, float) else 0.0
        if layer_name(layer) in removed and face < depth < face + thickness:
            raise source.error(
                ("probe", index, "depth_mm"),
                f"the probe {probe.name!r} lies inside {layer_name(layer)!r}, which a build-up removes",
                found=probe.depth_mm,
            )
        face += thickness
