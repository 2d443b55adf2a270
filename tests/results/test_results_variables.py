"""The registry of variables, and the table of the docs that follows it."""

from pathlib import Path

import pytest

from hygro.variables.registry import VARIABLES, markdown_table

DOCS = Path(__file__).parents[2] / "docs" / "results.md"

# Names of the CF standard name table that fit; the registry may use no other.
CF_STANDARD_NAMES = {"time", "air_temperature", "relative_humidity"}

UNITS = {"degC", "1", "m", "h", "kg m-3", "kg m-2", "kg m-2 s-1", "W m-2", "W m-1 K-1", "kWh m-2"}


@pytest.mark.parametrize("entry", VARIABLES.values(), ids=list(VARIABLES))
def test_every_entry_is_whole(entry):
    assert entry.long_name and entry.location and entry.dims
    assert entry.standard_name is None or entry.standard_name in CF_STANDARD_NAMES
    if entry.dtype in ("str", "time"):
        assert entry.units is None
    else:
        assert entry.units in UNITS
    if entry.cell_methods is None:
        assert entry.coordinate or entry.name.startswith("balance_")  # a ratio of sums
    else:
        assert entry.cell_methods.split(":")[0] in (*entry.dims, "time")
    assert bool(entry.flags) == (entry.dtype == "i1")


def test_fluxes_say_which_way_is_positive():
    for name in ("heat_flux_internal", "heat_flux_external", "vapour_flux_internal", "vapour_flux_external"):
        assert "positive from" in VARIABLES[name].long_name


def test_attributes_leave_out_what_there_is_not():
    assert "units" not in VARIABLES["place"].attributes()
    assert "standard_name" not in VARIABLES["temperature"].attributes()
    assert VARIABLES["external_air_temperature"].attributes()["standard_name"] == "air_temperature"


@pytest.mark.parametrize("coordinates", [True, False])
def test_docs_hold_the_table(coordinates):
    assert markdown_table(coordinates) in DOCS.read_text(encoding="utf-8"), (
        "docs/results.md lags behind: paste hygro.variables.registry.markdown_table into it"
    )
