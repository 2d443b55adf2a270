"""Checks of [[source]], [[leak]] and [[rain_penetration]]."""

from __future__ import annotations

from difflib import get_close_matches

from hygro.case.files import check_file
from hygro.case.lines import Path
from hygro.case.schema import CaseFile
from hygro.case.source import CaseSource
from hygro.case.variants import expand


def check_sources(spec: CaseFile, source: CaseSource) -> None:
    """Check that the layers are there, and that the boundaries have what drives a source."""
    layers = {
        layer.name: layer
        for variant in expand(spec)
        for layer in variant.layers
        if layer.material is not None
    }
    for table, key, items in (
        ("source", "layer", [item.layer for item in spec.source]),
        ("leak", "behind", [item.behind for item in spec.leak]),
        ("rain_penetration", "layer", [item.layer for item in spec.rain_penetration]),
    ):
        for index, name in enumerate(items):
            if name not in layers:
                close = get_close_matches(name, list(layers), n=1)
                raise source.error(
                    (table, index, key),
                    f"no wall of the case has a layer {name!r} with a thickness",
                    expected=None if close else f"one of {', '.join(layers)}",
                    hint=f"did you mean {close[0]!r}?" if close else None,
                )
    for index, item in enumerate(spec.source):
        path: Path = ("source", index)
        given = [key for key in ("heat_W_m3", "moisture_kg_m3h") if getattr(item, key) is not None]
        if bool(given) == (item.file is not None):
            what = "gives both numbers and a file" if given else "gives nothing"
            raise source.error(
                path, f"the source in {item.layer!r} {what}",
                expected="heat_W_m3, moisture_kg_m3h or both; or file",
            )  # fmt: skip
        check_file((*path, "file"), item.file, source)
    _check_drivers(spec, source)


def _check_drivers(spec: CaseFile, source: CaseSource) -> None:
    """Refuse air exchange and rain where a boundary prescribes the state of the surface."""
    vented = any(layer.ventilated_per_hour for variant in expand(spec) for layer in variant.layers)
    for there, path, sides, what in (
        (bool(spec.leak), ("leak", 0), ("external", "internal"), "a leak"),
        (bool(spec.rain_penetration), ("rain_penetration", 0), ("external",), "rain penetration"),
        (vented, (), ("external",), "a ventilated air layer"),
    ):
        for side in sides:
            if there and getattr(spec, side).kind == "fixed":
                raise source.error(
                    path, f"{what} needs the climate of the {side} boundary, which fixes the surface instead"
                )
