"""States of the wall in a result dataset: values at an instant."""

from __future__ import annotations

from hygro.variables.variable import Variable

STATES = (
    Variable(
        "temperature", "T", "degC", None, "temperature at a place", ("time", "place"), "time: point", "place"
    ),
    Variable(
        "relative_humidity",
        "phi",
        "1",
        None,
        "relative humidity of the pore air at a place",
        ("time", "place"),
        "time: point",
        "place",
    ),
    Variable(
        "temperature_field",
        "T",
        "degC",
        None,
        "temperature profile",
        ("field_time", "depth"),
        "field_time: point",
        "cell",
        dtype="f4",
    ),
    Variable(
        "relative_humidity_field",
        "phi",
        "1",
        None,
        "relative humidity profile",
        ("field_time", "depth"),
        "field_time: point",
        "cell",
        dtype="f4",
    ),
    Variable(
        "water_content_field",
        "w",
        "kg m-3",
        None,
        "moisture content mass by volume",
        ("field_time", "depth"),
        "field_time: point",
        "cell",
        dtype="f4",
    ),
    Variable(
        "layer_water_content",
        "m",
        "kg m-2",
        None,
        "water in the layer per wall area",
        ("field_time", "layer"),
        "field_time: point",
        "layer",
    ),
)
