"""Checks of boundaries, site and run: which keys go together, whether files are there."""

from __future__ import annotations

from hygro.case.boundaries import BoundarySection
from hygro.case.check_room import check_room
from hygro.case.files import check_file
from hygro.case.run import REPEATING, UNTIL_STEADY
from hygro.case.schema import CaseFile
from hygro.case.source import CaseSource
from hygro.constants import HOURS_PER_YEAR

__all__ = ["check_room", "check_run", "check_sides", "check_site"]

_ALLOWED = {
    "climate": (),
    "constant": ("temperature_C", "relative_humidity_percent", "vapour_pressure_Pa", "heat_coefficient_W_m2K",
                 "vapour_coefficient_kg_m2sPa", "rain_kg_m2s"),
    "series": ("file", "heat_coefficient_W_m2K", "vapour_coefficient_kg_m2sPa"),
    "fixed": ("file", "temperature_C", "relative_humidity_percent"),
}  # fmt: skip
"""Keys that each kind of boundary takes."""

_NEEDED = {
    "climate": (),
    "constant": ("temperature_C", "heat_coefficient_W_m2K", "vapour_coefficient_kg_m2sPa"),
    "series": ("file",),
    "fixed": (),
}
"""Keys that each kind of boundary cannot do without."""


def check_sides(spec: CaseFile, source: CaseSource) -> None:
    """Check the keys of [external] and [internal] against their kind."""
    for name, side in (("external", spec.external), ("internal", spec.internal)):
        given = [
            key for key in BoundarySection.model_fields if key != "kind" and getattr(side, key) is not None
        ]
        for key in given:
            if key not in _ALLOWED[side.kind]:
                raise source.error(
                    (name, key),
                    f"the key {key!r} means nothing where the {name} boundary is of kind {side.kind!r}",
                    expected=f"only {', '.join(_ALLOWED[side.kind])}"
                    if _ALLOWED[side.kind]
                    else "no other key",
                )
        for key in _NEEDED[side.kind]:
            if key not in given:
                raise source.error((name,), f"[{name}] of kind {side.kind!r} lacks the key {key!r}")
        _check_state(name, side, given, source)
        check_file((name, "file"), side.file, source)


def _check_state(name: str, side: BoundarySection, given: list[str], source: CaseSource) -> None:
    """Check that temperature and humidity are given once."""
    humidities = [key for key in ("relative_humidity_percent", "vapour_pressure_Pa") if key in given]
    if side.kind == "constant" and len(humidities) != 1:
        raise source.error(
            (name,),
            f"[{name}] gives {'two humidities' if humidities else 'no humidity'}",
            expected="either relative_humidity_percent or vapour_pressure_Pa",
        )
    state = ("temperature_C", "relative_humidity_percent")
    if side.kind == "fixed":
        constants = [key for key in state if key in given]
        if (side.file is None and len(constants) != 2) or (side.file is not None and constants):
            raise source.error(
                (name,),
                f"[{name}] of kind 'fixed' does not say what the surface's state is",
                expected="either file, or both temperature_C and relative_humidity_percent",
            )


def check_site(spec: CaseFile, source: CaseSource) -> None:
    """Check that a site is there where it is needed, that its files exist and its keys go together."""
    site = spec.site
    if site is None:
        if spec.external.kind == "climate":
            raise source.error(
                (), "the case lacks the table [site]", hint="or prescribe the boundary in [external]"
            )
        return
    check_file(("site", "weather"), site.weather, source)
    check_file(("site", "rain"), None if site.rain == "none" else site.rain, source)
    if site.obstruction is not None and site.obstruction_distance_m is not None:
        raise source.error(
            ("site", "obstruction_distance_m"),
            "the obstruction is given twice",
            expected="either obstruction or obstruction_distance_m",
        )
    placed = [site.latitude_deg, site.longitude_deg, site.altitude_m]
    if any(value is None for value in placed) and any(value is not None for value in placed):
        raise source.error(
            ("site",),
            "the place is given in part",
            expected="latitude_deg, longitude_deg and altitude_m together",
        )


def check_run(spec: CaseFile, source: CaseSource) -> None:
    """Check that years and hours are not both given, and that snapshots of two years can be compared."""
    if spec.run.hours is not None and spec.run.years is not None:
        raise source.error(
            ("run", "hours"), "the length of the run is given twice", expected="either years or hours"
        )
    every = spec.output.field_every_h
    if spec.run.years in (UNTIL_STEADY, REPEATING) and HOURS_PER_YEAR % every != 0:
        raise source.error(
            ("output", "field_every_h"),
            f"{every} h do not divide a year of {HOURS_PER_YEAR} h, and years cannot be compared",
            expected="such as 1, 2, 3, 4, 6, 8, 12, 24, 73, 120 or 365, or [run] years as a number",
        )
