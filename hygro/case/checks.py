"""Checks of more than one key, in the order in which a reader would make them."""

from __future__ import annotations

from hygro.case.check_climate import check_room, check_run, check_sides, check_site
from hygro.case.check_programme import check_programme
from hygro.case.check_sources import check_sources
from hygro.case.check_wall import check_build_ups, check_layers, check_probes
from hygro.case.schema import CaseFile
from hygro.case.source import CaseSource


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
    check_sources(spec, source)
    check_programme(spec, source, check_room)
