"""Coordinates of a result dataset: what labels its times, depths, places, layers and years."""

from __future__ import annotations

from hygro.variables.variable import Variable

_NO_YES = ("no", "yes")


def _coordinate(
    name: str,
    symbol: str,
    units: str | None,
    long_name: str,
    dim: str,
    location: str,
    dtype: str = "f8",
    standard_name: str | None = None,
    flags: tuple[str, ...] = (),
) -> Variable:
    return Variable(name, symbol, units, standard_name, long_name, (dim,), None, location, True, dtype, flags)


COORDINATES = (
    _coordinate("time", "t", None, "end of the hour", "time", "whole wall", "time", "time"),
    Variable(
        "time_bounds",
        "",
        None,
        None,
        "begin and end of the hour",
        ("time", "bound"),
        None,
        "whole wall",
        True,
        "time",
    ),
    _coordinate(
        "field_time",
        "t",
        None,
        "time at which the whole profile was kept",
        "field_time",
        "whole wall",
        "time",
        "time",
    ),
    _coordinate(
        "depth", "x", "m", "distance of the cell centre from the external surface", "depth", "cell centre"
    ),
    _coordinate("depth_layer", "", "1", "index of the layer that the cell belongs to", "depth", "cell", "i4"),
    _coordinate("cell_size", "dx", "m", "size of the cell", "depth", "cell"),
    _coordinate("place", "", None, "label of the place", "place", "place", "str"),
    _coordinate(
        "place_kind",
        "",
        None,
        "external surface, interface, sealed core, internal surface or probe",
        "place",
        "place",
        "str",
    ),
    _coordinate("place_depth", "x", "m", "distance of the place from the external surface", "place", "place"),
    _coordinate("place_material_outer", "", None, "material on the outer side", "place", "place", "str"),
    _coordinate("place_material_inner", "", None, "material on the inner side", "place", "place", "str"),
    _coordinate(
        "place_sensitivity",
        "",
        None,
        "mould sensitivity class, the more sensitive of both sides",
        "place",
        "place",
        "str",
    ),
    _coordinate("place_decline", "", None, "mould decline class of that side", "place", "place", "str"),
    _coordinate(
        "place_timber",
        "",
        "1",
        "whether timber is embedded at the place",
        "place",
        "place",
        "i1",
        flags=_NO_YES,
    ),
    _coordinate("layer", "", None, "label of the layer, from outside to inside", "layer", "layer", "str"),
    _coordinate("layer_material", "", None, "material of the layer", "layer", "layer", "str"),
    _coordinate("layer_thickness", "d", "m", "thickness of the layer", "layer", "layer"),
    _coordinate(
        "layer_start",
        "x",
        "m",
        "distance of the layer's outer face from the external surface",
        "layer",
        "layer",
    ),
    _coordinate(
        "layer_conductivity", "lambda", "W m-1 K-1", "thermal conductivity when dry", "layer", "layer"
    ),
    _coordinate("layer_density", "rho", "kg m-3", "dry bulk density", "layer", "layer"),
    _coordinate(
        "layer_timber", "", "1", "whether the layer is timber", "layer", "layer", "i1", flags=_NO_YES
    ),
    _coordinate(
        "layer_added",
        "",
        "1",
        "whether the layer belongs to the build-up added to the old wall",
        "layer",
        "layer",
        "i1",
        flags=_NO_YES,
    ),
    _coordinate("year", "", "1", "simulated year, counted from 1", "year", "whole wall", "i4"),
)
