"""The pages that say which weather files hygro reads name all formats there are a reader for."""

from pathlib import Path

import pytest

from hygro.climate.formats import JOINED, SINGLE

DOCS = Path(__file__).parents[2] / "docs"

NAMES = {
    "CSV": "CSV",
    "Parquet": "Parquet",
    "EPW": "EPW",
    "TMY3": "TMY3",
    "test reference year": "test reference year",
    "BADC-CSV": "MIDAS",
    "netCDF": "ERA5",
}
"""Format and the name that a reader looks for."""


def test_every_format_has_a_name():
    assert set(NAMES) == {*SINGLE, *JOINED}


@pytest.mark.parametrize("name", NAMES.values())
def test_pages_name_every_format(name):
    page = (DOCS / "case-file.md").read_text(encoding="utf-8")
    assert name in next(line for line in page.splitlines() if line.startswith("| `weather` |"))
    assert name in (DOCS / "climate.md").read_text(encoding="utf-8").split("## Formats")[1].split("##")[0]
