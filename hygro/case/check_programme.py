"""Checks of wet coats, of mixed layers and of [programme]."""

from __future__ import annotations

from collections.abc import Callable

from hygro.case.lines import Path
from hygro.case.schema import CaseFile
from hygro.case.source import CaseSource
from hygro.case.walls import LayerSection
from hygro.errors import CaseError, MaterialError
from hygro.materials.mixed_heat import check_shares

RoomCheck = Callable[[CaseFile, CaseSource], None]
"""Checks [room] of a case."""

COAT_KEYS = (
    "coats",
    "fresh_water_kg_m3",
    "dry_when_humidity_percent",
    "dry_when_water_kg_m3",
    "hardens_days",
)
"""Keys of a layer that is applied wet."""


def check_mixed(layer: LayerSection, path: Path, source: CaseSource) -> None:
    """Check the parts of a mixed layer."""
    if layer.mixed is None:
        if layer.mixed_heat is not None:
            raise source.error((*path, "mixed_heat"), "the key 'mixed_heat' means nothing without 'mixed'")
        return
    if layer.material is not None:
        raise source.error(path, "the layer has both mixed parts and a material", expected="one of them")
    try:
        check_shares([part.share for part in layer.mixed])
    except MaterialError as failure:
        raise source.error(
            (*path, "mixed"), failure.what, found=failure.found, expected=failure.expected
        ) from None


def check_coat(layer: LayerSection, path: Path, source: CaseSource) -> None:
    """Check the keys of a layer that is applied wet."""
    given = [key for key in COAT_KEYS if getattr(layer, key) is not None]
    if not given:
        return
    if path[0] == "wall":
        raise source.error(
            (*path, given[0]),
            f"the key {given[0]!r} stands in the old wall",
            expected="wet coats in a [[build_up]]",
        )
    if layer.coats is None:
        raise source.error((*path, given[0]), f"the key {given[0]!r} means nothing without 'coats'")
    if layer.dry_when_humidity_percent is not None and layer.dry_when_water_kg_m3 is not None:
        raise source.error(
            (*path, "dry_when_water_kg_m3"),
            "the coat is dry by both a humidity and a water content",
            expected="one of the two",
        )


def check_programme(spec: CaseFile, source: CaseSource, check_room: RoomCheck) -> None:
    """Check that a programme has coats, starts and rooms that go with the rest; a room as [room] is."""
    programme = spec.programme
    if programme is None:
        return
    if spec.external.kind != "climate" or spec.internal.kind != "climate":
        raise source.error(("programme",), "[programme] needs the weather of a [site] and a [room]")
    if not any(layer.coats for build_up in spec.build_up for layer in build_up.layer):
        raise source.error(
            ("programme",), "there is a [programme] but no wet coat", hint="give a layer the key coats"
        )
    if not programme.starts or len(set(programme.starts)) != len(programme.starts):
        raise source.error(("programme", "starts"), "the starts are none, or one is there twice")
    if any(room is not None and room.balance is not None and room.balance.coupled
           for room in (spec.room, *programme.room)):  # fmt: skip
        raise source.error(
            ("programme",),
            "the programme of coats takes the air of the room as given, but a room is coupled to its wall",
            expected="coupled = false",
        )
    names: set[str] = set()
    for index, room in enumerate(programme.room):
        path: Path = ("programme", "room", index)
        if room.name in names:
            raise source.error((*path, "name"), f"two rooms of the programme are called {room.name!r}")
        names.add(room.name)
        _check_in_place(spec, index, source, check_room)


def _check_in_place(spec: CaseFile, index: int, source: CaseSource, check_room: RoomCheck) -> None:
    """Put a room of the programme in the place of [room], and check that."""
    assert spec.programme is not None
    try:
        check_room(spec.model_copy(update={"room": spec.programme.room[index]}), source)
    except CaseError as failure:
        raise source.error(
            ("programme", "room", index),
            failure.what.replace("[room]", "[[programme.room]]"),
            found=failure.found,
            expected=failure.expected,
            hint=failure.hint,
        ) from None
