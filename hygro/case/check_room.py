"""Checks of [room] and [room.balance]: which keys go together."""

from __future__ import annotations

import numpy as np

from hygro.case.files import check_file
from hygro.case.room import BalanceSection, RoomSection
from hygro.case.schema import CaseFile
from hygro.case.source import CaseSource

BALANCE, INTERMEDIATE = "balance", "ASHRAE 160 intermediate"

_SERIES = ("file", "fill_hours", "utc_offset_h", "time_zone")
_ALLOWED = {
    "constant": ("temperature_C", "relative_humidity_percent"),
    "series": _SERIES,
    BALANCE: ("balance",),
    INTERMEDIATE: ("balance",),
}
"""Keys that a room climate takes; an ISO 13788 class takes the temperature, the others nothing."""

_NEEDED = {
    "constant": ("temperature_C", "relative_humidity_percent"),
    "series": ("file",),
    BALANCE: ("balance",),
    INTERMEDIATE: ("balance",),
}

_DESIGN = (
    "volume_m3", "floor_area_m2", "height_m", "air_changes_per_hour", "moisture_kg_per_day", "bedrooms",
    "persons", "habits", "drying_loads_per_week",
)  # fmt: skip
"""Keys of [room.balance] that the intermediate method knows."""

_WITH = {
    "height_m": "floor_area_m2",
    "storeys": "leakage_n50_per_hour",
    "shelter_class": "leakage_n50_per_hour",
    "habits": "persons",
    "drying_loads_per_week": "persons",
}
"""Keys that mean nothing without another."""

_CHOICES = (
    (("volume_m3", "floor_area_m2"), "the size of the room", True),
    (("moisture_kg_per_day", "persons", "bedrooms"), "the moisture production", True),
    (("infiltration_per_hour", "leakage_n50_per_hour"), "the leakage of the room", False),
)
"""Keys of which one stands, what they say, and whether one must."""


def check_room(spec: CaseFile, source: CaseSource) -> None:
    """Check the keys of [room] against its climate."""
    room = spec.room
    if spec.internal.kind != "climate":
        if room is not None:
            raise source.error(("room",), "[room] means nothing where [internal] prescribes the boundary")
        return
    if room is None:
        raise source.error((), "the case lacks the table [room]", hint='such as climate = "EN 15026 normal"')
    _check_keys(room, source)
    if room.climate != "constant" and spec.site is None:
        hint = 'or use kind = "series" in [internal]' if room.climate == "series" else None
        raise source.error(
            ("room", "climate"), f"the room climate {room.climate!r} needs the weather of a [site]", hint=hint
        )
    check_file(("room", "file"), room.file, source)
    if room.balance is not None:
        _check_balance(room, room.balance, source)
        _check_coupled(room.balance, spec, source)


def _check_keys(room: RoomSection, source: CaseSource) -> None:
    allowed = _ALLOWED.get(room.climate, ("temperature_C",) if room.climate.startswith("ISO") else ())
    for key in RoomSection.model_fields:
        given = key != "climate" and getattr(room, key) is not None
        if given and key not in allowed:
            raise source.error(
                ("room", key),
                f"the key {key!r} means nothing for the room climate {room.climate!r}",
            )
        if key in _NEEDED.get(room.climate, ()) and not given:
            what = "the table [room.balance]" if key == "balance" else f"the key {key!r}"
            raise source.error(("room",), f"[room] with climate {room.climate!r} lacks {what}")
    if room.utc_offset_h is not None and room.time_zone is not None:
        raise source.error(
            ("room", "time_zone"),
            "the time of the series is given twice",
            expected="either utc_offset_h or time_zone",
        )


def _check_balance(room: RoomSection, balance: BalanceSection, source: CaseSource) -> None:
    place = ("room", "balance")
    for keys, what, needed in _CHOICES:
        given = [key for key in keys if getattr(balance, key) is not None]
        if len(given) > 1 or (needed and not given):
            raise source.error(
                (*place, given[1]) if given else place,
                f"{what} is given twice" if given else f"[room.balance] does not give {what}",
                expected=f"one of {', '.join(keys)}",
            )
    changed = balance.changed()
    for key in changed:
        if key in _WITH and getattr(balance, _WITH[key]) is None:
            raise source.error((*place, key), f"the key {key!r} means nothing without {_WITH[key]!r}")
        if room.climate == INTERMEDIATE and key not in _DESIGN:
            raise source.error(
                (*place, key),
                f"the key {key!r} means nothing for the room climate {room.climate!r}",
                expected=f"only {', '.join(_DESIGN)}",
            )
    if balance.habits == "wet" and balance.drying_loads_per_week > 0.0:
        raise source.error(
            (*place, "drying_loads_per_week"),
            "washing dried indoors is counted already where habits are wet",
            hint='give loads with habits = "dry" or "moist"',
        )
    if balance.moisture_shares is not None and sum(balance.moisture_shares) <= 0.0:
        raise source.error((*place, "moisture_shares"), "no hour of the day has a share of the moisture")
    paths = (
        balance.air_changes_per_hour, balance.extract_m3_per_hour, balance.infiltration_per_hour or 0.0,
        balance.leakage_n50_per_hour or 0.0,
    )  # fmt: skip
    if max(float(np.max(path)) for path in paths) <= 0.0:
        raise source.error(
            (*place, "air_changes_per_hour"),
            "the room has no exchange of air at all",
            hint="give what comes through leaks as infiltration_per_hour",
        )


def _check_coupled(balance: BalanceSection, spec: CaseFile, source: CaseSource) -> None:
    place = ("room", "balance")
    if balance.coupled and balance.wall_area_m2 is None:
        raise source.error((*place, "coupled"), "a wall coupled to its room lacks the key 'wall_area_m2'")
    if not balance.coupled and balance.wall_area_m2 is not None:
        raise source.error(
            (*place, "wall_area_m2"), "the key 'wall_area_m2' means nothing without coupled = true"
        )
    if balance.coupled and spec.run.hours is not None:
        raise source.error(
            ("run", "hours"), "room and wall are coupled over whole years", expected="years instead of hours"
        )
    if balance.coupled and spec.external.kind != "climate":
        raise source.error(
            (*place, "coupled"),
            "room and wall can be coupled only where the outer boundary is the climate of [site]",
        )
