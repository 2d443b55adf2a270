"""All variables and coordinates of a result dataset by name, and the table of the docs."""

from __future__ import annotations

from typing import Final

from hygro.variables.coordinates import COORDINATES
from hygro.variables.means import HOURLY_MEANS
from hygro.variables.states import STATES
from hygro.variables.variable import Variable
from hygro.variables.years import YEARS

VARIABLES: Final[dict[str, Variable]] = {
    entry.name: entry for entry in (*COORDINATES, *STATES, *HOURLY_MEANS, *YEARS)
}
"""Every variable and coordinate of a result dataset by name."""


def markdown_table(coordinates: bool) -> str:
    """Return the registry as a table of docs/results.md.

    Parameters
    ----------
    coordinates : bool
        Coordinates, or else the variables that are computed.

    Returns
    -------
    str
        Markdown.
    """
    columns = ("name", "dimensions", "units", "what it is", "where", "over its interval")
    rows = [columns, ("---",) * len(columns)] + [
        (
            f"`{entry.name}`",
            ", ".join(entry.dims),
            entry.units or "-",
            entry.long_name,
            entry.location,
            entry.cell_methods or "-",
        )
        for entry in VARIABLES.values()
        if entry.coordinate is coordinates
    ]
    return "\n".join(f"| {' | '.join(row)} |" for row in rows)
