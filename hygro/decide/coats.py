"""The programmes of wet coats of a case: when each may follow, when the finish, when the year repeats."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from hygro.case.case import Case
from hygro.case.variants import Variant
from hygro.decide.coats_programme import AS_USED, Programme
from hygro.decide.coats_site import WorkSite, programme_of
from hygro.decide.coats_steps import is_wet
from hygro.decide.coats_works import Works
from hygro.decide.words import date_words
from hygro.errors import CaseError

Told = Callable[[str], None]


def coat_programmes(
    case: Case, variants: Sequence[Variant] | None = None, told: Told | None = None
) -> list[Programme]:
    """Work out all programmes of a case.

    Parameters
    ----------
    case : Case
        With a [programme].
    variants : sequence of Variant, optional
        Finished walls; all with wet coats if not given.
    told : callable, optional
        Called with a line for each programme begun.

    Returns
    -------
    list of Programme
        Wall by wall, start by start, room by room.

    Raises
    ------
    CaseError
        There is no programme, no wall with wet coats, or a coat cannot be made as asked for.
    SolverError
        A march could not go on.
    """
    programme = programme_of(case)
    chosen = [variant for variant in variants or case.variants() if is_wet(case, variant)]
    if not chosen:
        raise CaseError("no wall that was asked for has wet coats", where=str(case.path))
    found = []
    for variant in chosen:
        site = WorkSite(case, variant)
        for start in programme.starts:
            for room in programme.room or (None,):
                if told is not None:
                    named = AS_USED if room is None else room.name
                    told(f"{variant.slug}, from {date_words(start)}, room {named}")
                found.append(Works(site, start, room).done())
    return found
