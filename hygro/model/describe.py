"""What results and reports want to know of a variant beside the numbers the solver needs."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from hygro.case.case import Case
from hygro.case.variants import LayerChoice, Variant
from hygro.model.climates import wall_climate_of, weather_of


def describe(case: Case, variant: Variant) -> dict[str, Any]:
    """Describe a variant.

    Parameters
    ----------
    case : Case
        A checked case.
    variant : Variant
        One of `case.variants()`.

    Returns
    -------
    dict
        JSON-able. "layers": a dict for each layer with thickness, from outside to inside (name, material,
        title, thickness [m], density [kg/m3], conductivity_dry [W/(m K)], timber, mould_sensitivity,
        mould_decline, part, added, varied, digest, sources). "films": name, film, title, position as in
        `hygro.model.wall.Film`, s_d at 50 % and the range [m], liquid_open, added, digest, sources.
        "limits", "limit_sources". "climate_source", "climate_sha256", "uptake_share", "driving_rain"
        (airfield_index and wall_index [l/(m2 a)], or None). "title", "description", "case_file",
        "case_sha256", "build_up", "thickness_mm", "elevation", "elevation_name".
    """
    layers = [_layer(case, choice) for choice in variant.layers if choice.material]
    source, sha256 = _climate(case)
    return {
        "title": case.spec.title,
        "description": case.spec.description,
        "case_file": case.path.name,
        "case_sha256": case.digest(),
        "build_up": variant.build_up,
        "thickness_mm": variant.thickness_mm,
        "elevation": variant.elevation,
        "elevation_name": variant.elevation_name,
        "layers": layers,
        "films": _films(case, variant.layers),
        "limits": case.limits(),
        "limit_sources": case.limit_sources(),
        "climate_source": source,
        "climate_sha256": sha256,
        "uptake_share": case.spec.site.uptake_share if case.spec.site else 1.0,
        "driving_rain": _driving_rain(case, variant),
    }


def _layer(case: Case, choice: LayerChoice) -> dict[str, Any]:
    material = case.material(choice)
    return {
        "name": choice.name,
        "material": material.name,
        "title": material.title,
        "thickness": (choice.thickness_mm or 0.0) / 1000.0,
        "density": material.density,
        "conductivity_dry": material.conductivity_dry,
        "timber": material.timber,
        "mould_sensitivity": material.mould_sensitivity,
        "mould_decline": material.mould_decline,
        "part": choice.part,
        "added": choice.part == "build-up",
        "varied": choice.varied,
        "digest": material.digest(),
        "sources": [asdict(source) for source in material.sources],
    }


def _films(case: Case, choices: tuple[LayerChoice, ...]) -> list[dict[str, Any]]:
    described: list[dict[str, Any]] = []
    position = 0
    for choice in choices:
        if choice.material:
            position += 1
            continue
        film = case.film(choice)
        described.append(
            {
                "name": choice.name,
                "film": film.name,
                "title": film.title,
                "position": position,
                "s_d": float(film.s_d[50]),
                "s_d_least": float(film.s_d.min()),
                "s_d_most": float(film.s_d.max()),
                "liquid_open": film.liquid_open,
                "added": choice.part == "build-up",
                "digest": film.digest(),
                "sources": [asdict(source) for source in film.sources],
            }
        )
    return described


def _driving_rain(case: Case, variant: Variant) -> dict[str, float] | None:
    """Return the airfield and wall annual index of the elevation [l/(m2 a)]."""
    if variant.elevation is None:
        return None
    climate = wall_climate_of(case, variant.elevation)
    return {"airfield_index": climate.annual_index, "wall_index": climate.wall_index}


def _climate(case: Case) -> tuple[str, str]:
    """Say where the external climate comes from, and the hash of its file."""
    if case.spec.external.kind == "climate":
        attrs = weather_of(case).attrs
        return str(attrs["source"]), str(attrs["sha256"])
    if case.spec.external.file:
        return f"prescribed series {case.spec.external.file}", case.file_digests()["external.file"]
    return "prescribed in the case file", ""
