"""What each score is called, measured in and judged by: drives the scores, the report and docs/scores.md."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True)
class Definition:
    """A kind of score.

    Parameters
    ----------
    name : str
        Stable name, as in `Score.name`.
    title : str
        For people.
    unit : str
        As shown to people.
    limit_key : str
        Key of the limit in `hygro.case.limits`, or empty where none applies.
    margin_key : str
        Key of the width of the marginal band.
    group : str
        Part of `hygro.scores.scoring.GROUPS` that yields it.
    meaning : str
        What the value is.
    """

    name: str
    title: str
    unit: str
    limit_key: str
    margin_key: str
    group: str
    meaning: str


_ALL: Final = (
    Definition(
        "mould_index_surface",
        "mould index on the surface to the room",
        "1",
        "mould_index_surface",
        "margin_mould_index",
        "mould",
        "Largest mould index of the whole record at the internal surface.",
    ),
    Definition(
        "mould_index_interface",
        "mould index inside the wall",
        "1",
        "mould_index_interface",
        "margin_mould_index",
        "mould",
        "Largest mould index of the whole record at an interface or probe.",
    ),
    Definition(
        "mould_index_external",
        "mould index on the external surface",
        "1",
        "",
        "",
        "mould",
        "The same at the external surface; never judged, for rain wets it and light and frost act on it.",
    ),
    Definition(
        "interface_relative_humidity",
        "humidity at an interface",
        "%",
        "interface_relative_humidity_percent",
        "margin_relative_humidity_percent",
        "interface",
        "Largest hourly relative humidity of the last year.",
    ),
    Definition(
        "interface_hours_above_80",
        "hours above 80 % at an interface",
        "h",
        "",
        "",
        "interface",
        "Hours of the last year above 80 % relative humidity.",
    ),
    Definition(
        "interface_hours_above_95",
        "hours above 95 % at an interface",
        "h",
        "",
        "",
        "interface",
        "Hours of the last year above 95 % relative humidity.",
    ),
    Definition(
        "layer_water_change",
        "change of the water in a layer",
        "kg/m2 per year",
        "",
        "",
        "water",
        "Water in the layer at the end less that at the same date a year before.",
    ),
    Definition(
        "wall_water_change",
        "change of the water in the wall",
        "% per year",
        "",
        "",
        "water",
        "The same of the whole wall, relative to the water a year before.",
    ),
    Definition(
        "timber_moisture_content",
        "moisture content of timber",
        "% by mass",
        "timber_percent",
        "margin_timber_percent",
        "timber",
        "Largest daily mean of the last year: at timber probes in equilibrium with the pore air; "
        "in timber layers from their water by mass.",
    ),
    Definition(
        "timber_hours_above_limit",
        "hours above the limit for timber",
        "h",
        "",
        "",
        "timber",
        "Hours of the last year whose daily mean is above the limit.",
    ),
    Definition(
        "u_value",
        "thermal transmittance",
        "W/(m2 K)",
        "",
        "",
        "heat",
        "Steady-state U-value of ISO 6946: dry conductivities, surface resistances 0.13 and 0.04 m2 K/W.",
    ),
    Definition(
        "year_heat_loss",
        "yearly heat loss",
        "kWh/m2",
        "",
        "",
        "heat",
        "Net heat from the room into the wall on heating days of the last year.",
    ),
)

DEFINITIONS: Final[dict[str, Definition]] = {entry.name: entry for entry in _ALL}
"""Every kind of score by name."""


def markdown_table() -> str:
    """Return the registry as the table of docs/scores.md."""
    head = "| name | what the value is | unit | limit |\n|---|---|---|---|"
    rows = [
        f"| `{entry.name}` | {entry.meaning} | {entry.unit} | {entry.limit_key or '-'} |"
        for entry in DEFINITIONS.values()
    ]
    return "\n".join([head, *rows])
