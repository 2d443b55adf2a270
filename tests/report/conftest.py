"""A study and its report, made once."""

from __future__ import annotations

import pytest
from report_page import Page
from report_study import write_study

from hygro.report import write_report


@pytest.fixture(scope="session")
def study(tmp_path_factory):
    """Directory of an assessment with two elevations, three thicknesses and bare walls."""
    return write_study(tmp_path_factory.mktemp("study"))


@pytest.fixture(scope="session")
def page(study):
    """The report of that study."""
    return Page(write_report(study).read_text(encoding="utf-8"))
