"""From a case and one of its variants to a result dataset."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import xarray as xr

from hygro.case import Case
from hygro.case.run import REPEATING, UNTIL_STEADY
from hygro.case.variants import Variant
from hygro.climate.room_model import BalancedRoom
from hygro.constants import HOURS_PER_YEAR, SECONDS_PER_HOUR
from hygro.errors import CaseError, SolverError
from hygro.grid.cells import Grid, IntArray, build_grid
from hygro.model.build import build_wall, describe
from hygro.model.climates import balanced_room_of
from hygro.model.wall import Boundary, WallModel
from hygro.physics.moist_air import relative_humidity, saturation_pressure
from hygro.physics.typing import FloatArray
from hygro.results.checkpoint import checkpoint_of
from hygro.results.coupled import Coupling, is_coupled, march_coupled, room_settings
from hygro.results.dataset import build_dataset
from hygro.results.files import save
from hygro.results.places import Place, at_places, places_of, watched_nodes
from hygro.results.raw import LayerInfo, RawResult, RunInfo, year_edges
from hygro.solve import layout
from hygro.solve.balance import water_at
from hygro.solve.checkpoint import Checkpoint
from hygro.solve.march import Progress, march
from hygro.solve.repeating import march_repeating
from hygro.solve.settings import ACCURACIES, Settings, Solution, Span

REFERENCES = (
    "EN 15026:2007 (balance equations, storage over suction)",
    "EN ISO 13788:2012, Annex E (saturation pressure)",
    "Celia, Bouloutas and Zarba 1990, Water Resources Research 26, 1483-1496 (mass-conservative form)",
    "Ross 2003, Agronomy Journal 95, 1352-1361 (matric flux potential)",
    "Janssen, Blocken and Carmeliet 2007, Int. J. Heat Mass Transfer 50, 1128-1140 (coupled form, rain)",
    "Alexander 1977, SIAM J. Numer. Anal. 14, 1006-1021 (L-stable SDIRK)",
    "ISO 15927-3:2009 (driving rain)",
    "ISO 6946 (surface resistances)",
)


REPEATING_REFERENCES = (
    "Walker and Ni 2011, SIAM J. Numer. Anal. 49, 1715-1735 (Anderson acceleration)",
    "Fritsch and Carlson 1980, SIAM J. Numer. Anal. 17, 238-246 (monotone interpolation between grids)",
)


def simulate(
    case: Case,
    variant: Variant | None = None,
    *,
    out: Path | None = None,
    progress: Progress | None = None,
    resume: bool = True,
) -> xr.Dataset:
    """Simulate one wall of a case.

    With `out`, a long run keeps its state beside that file now and then. If it is stopped, the same call goes
    on from there and comes to the same numbers, bit for bit; a wall that is coupled to its room starts again.

    Parameters
    ----------
    case : Case
        From `hygro.load_case`.
    variant : Variant, optional
        One of `case.variants()`; may be omitted where there is only one.
    out : Path, optional
        Result file to write.
    progress : callable, optional
        Called with the hours done and the most hours to do.
    resume : bool
        Whether to go on from what a run that was stopped has left; without, that is removed.

    Returns
    -------
    xarray.Dataset
        The result dataset (docs/results.md).

    Raises
    ------
    CaseError
        The case has several variants and none is named.
    SolverError
        The march could not go on; with `out`, what was computed is saved there and marked partial.
    """
    variant = variant or _only_variant(case)
    model = build_wall(case, variant)
    described = describe(case, variant)
    grid = build_grid(model, case.spec.grid.scale)
    places = places_of(model, grid, described["layers"])
    settings = replace(ACCURACIES[case.spec.run.accuracy], field_every=case.spec.output.field_every_h)
    checkpoint = None if out is None else checkpoint_of(out, case, variant, settings, grid)
    if checkpoint is not None and not resume:
        checkpoint.remove()
    room = balanced_room_of(case)
    if is_coupled(case):

        def pass_through(wall: WallModel) -> Solution:
            return _march(case, wall, grid, settings, watched_nodes(places), progress, None)

        model, solution, room, coupling = march_coupled(case, model, pass_through)
    else:
        solution = _march(case, model, grid, settings, watched_nodes(places), progress, checkpoint)
        coupling = None
    if solution.failure and solution.hours == 0:
        raise _failed(variant, solution, None)
    raw = _raw(case, variant, model, described, places, settings, solution)
    dataset = build_dataset(raw if room is None else replace(raw, run=_with_room(raw.run, room, coupling)))
    if out is not None:
        save(dataset, out)
    if checkpoint is not None:
        checkpoint.remove()
    if solution.failure:
        raise _failed(variant, solution, out)
    return dataset


def _march(
    case: Case,
    model: WallModel,
    grid: Grid,
    settings: Settings,
    watched: IntArray,
    progress: Progress | None,
    checkpoint: Checkpoint | None,
) -> Solution:
    span = _span(case, model)
    if case.spec.run.years == REPEATING:
        scale = case.spec.grid.scale
        return march_repeating(model, grid, span, settings, watched, progress, checkpoint, scale)
    return march(model, grid, span, settings, watched, progress, checkpoint)


def _with_room(run: RunInfo, room: BalancedRoom, coupling: Coupling | None) -> RunInfo:
    """Add what was worked out about the room."""
    settings = {**(run.settings or {}), "room": room_settings(room, coupling)}
    approach = run.approach if coupling is None else f"{run.approach}; {coupling.sentence()}"
    return replace(run, settings=settings, approach=approach)


def _only_variant(case: Case) -> Variant:
    variants = case.variants()
    if len(variants) != 1:
        names = ", ".join(item.slug for item in variants[:8]) + (", ..." if len(variants) > 8 else "")
        raise CaseError(
            "the case holds several walls and none was named",
            where=str(case.path),
            expected=f"one of {names}",
        )
    return variants[0]


def _failed(variant: Variant, solution: Solution, out: Path | None) -> SolverError:
    kept = ""
    if out is not None and solution.hours:
        kept = f"the {solution.hours} hours before it are kept in {out} and marked partial; "
    return SolverError(
        "the march could not go on",
        where=variant.slug,
        found=solution.failure,
        hint=f"{kept}try [grid] scale = 0.5 or [run] accuracy = 'reference', and check its curves",
    )


def _span(case: Case, model: WallModel) -> Span:
    """Translate [run]: hours, years, until steady, or the repeating year."""
    run, record = case.spec.run, len(model.external.temperature)
    if run.hours is not None:
        edges = year_edges(model.start, run.hours, record)
        return Span(tuple(int(edge) for edge in edges), record)
    steady = run.years in (UNTIL_STEADY, REPEATING)
    years = int(run.most_years if steady else run.years or 1)
    if run.years == REPEATING:  # two passes through the record at least
        years = max(years, -(-2 * record // HOURS_PER_YEAR))
    # A record that keeps 29 February has longer years; one spare year holds them all.
    edges = year_edges(model.start, (years + 1) * HOURS_PER_YEAR, record)[: years + 1]
    return Span(
        tuple(int(edge) for edge in edges), record, run.tolerance_percent_RH / 100.0 if steady else None
    )


def _raw(
    case: Case,
    variant: Variant,
    model: WallModel,
    described: Mapping[str, Any],
    places: list[Place],
    settings: Settings,
    solution: Solution,
) -> RawResult:
    """Gather what the dataset is made of."""
    grid, hours, record = solution.grid, solution.hours, len(model.external.temperature)
    cells = slice(1, -1)
    history = at_places(solution.log_suction, solution.watched, places)
    flows = solution.flows / SECONDS_PER_HOUR
    water_error, heat_error = solution.balance_errors()
    outside = _repeated(model.external, hours)
    inside = _repeated(model.internal, hours)
    uptake_share = float(described["uptake_share"])
    return RawResult(
        run=_run_info(case, variant, described, settings, solution, record),
        start=model.start,
        record_hours=record,
        places=[place.info for place in places],
        layers=_layers(described),
        temperature=at_places(solution.temperature, solution.watched, places),
        suction=10.0**history,
        cell_size=grid.size[cells],
        cell_layer=grid.layer[cells],
        field_hours=solution.field_hours,
        field_temperature=solution.field_temperature[:, cells],
        field_suction=10.0 ** solution.field_log_suction[:, cells],
        field_water=water_at(grid, solution.field_log_suction)[:, cells],
        heat_flux_internal=flows[:, layout.F_SENSIBLE_INT],
        heat_flux_external=-flows[:, layout.F_SENSIBLE_EXT],
        vapour_flux_internal=flows[:, layout.F_WATER_INT] - flows[:, layout.F_RAIN_INT],
        vapour_flux_external=-(flows[:, layout.F_WATER_EXT] - flows[:, layout.F_RAIN_EXT]),
        rain_on_wall=outside["rain"] / uptake_share,
        rain_uptake=flows[:, layout.F_RAIN_EXT],
        external_air_temperature=outside["air_temperature"],
        external_vapour_pressure=outside["vapour_pressure"],
        internal_air_temperature=inside["air_temperature"],
        internal_vapour_pressure=inside["vapour_pressure"],
        year_moisture_change=np.diff(solution.water),
        balance_heat=heat_error,
        balance_moisture=water_error,
        heat_from_sources=flows[:, layout.F_HEAT_SOURCE],
        water_from_sources=flows[:, layout.F_WATER_SOURCE],
    )


def _repeated(boundary: Boundary, hours: int) -> dict[str, FloatArray]:
    """Series of one side over all simulated hours; a fixed surface has the vapour pressure of its state."""
    index = np.arange(hours) % len(boundary.temperature)
    pressure = boundary.vapour_pressure
    if boundary.kind == "fixed":
        pressure = saturation_pressure(boundary.temperature) * relative_humidity(
            boundary.suction, boundary.temperature
        )
    return {
        "rain": boundary.rain[index],
        "air_temperature": boundary.air_temperature[index],
        "vapour_pressure": pressure[index],
    }


def _hours_marched(solution: Solution, record: int) -> int:
    """Hours of a search and of what is kept, each counted once."""
    tried = solution.approach
    if tried is None:
        return solution.hours
    return (tried.coarse_years + tried.years) * record + (0 if tried.found else solution.hours)


def _layers(described: Mapping[str, Any]) -> list[LayerInfo]:
    return [
        LayerInfo(
            name=layer["name"],
            material=layer["material"],
            thickness=layer["thickness"],
            conductivity=layer["conductivity_dry"],
            density=layer["density"],
            timber=layer["timber"],
            added=layer["added"],
        )
        for layer in described["layers"]
    ]


def _run_info(
    case: Case,
    variant: Variant,
    described: Mapping[str, Any],
    settings: Settings,
    solution: Solution,
    record: int,
) -> RunInfo:
    items = [*described["layers"], *described["films"]]
    used = {item.get("material") or item["film"]: item for item in items}
    return RunInfo(
        title=case.title,
        case_file=described["case_file"],
        case_sha256=described["case_sha256"],
        case_resolved=case.resolved(),
        materials=[
            {"name": name, "title": item["title"], "digest": item["digest"], "sources": item["sources"]}
            for name, item in used.items()
        ],
        climate_source=described["climate_source"],
        climate_sha256=described["climate_sha256"],
        build_up=variant.build_up,
        thickness_mm=variant.thickness_mm,
        elevation=variant.elevation,
        elevation_name=variant.elevation_name,
        settings={
            "accuracy": case.spec.run.accuracy,
            "tolerance": settings.tolerance,
            "shortest_step_s": settings.shortest_step,
            "grid_scale": case.spec.grid.scale,
            "cells": solution.grid.nodes - 2,
        },
        steps=solution.steps,
        rejected=solution.rejected,
        wall_seconds=solution.wall_seconds,
        compile_seconds=solution.compile_seconds,
        status=f"partial: {solution.failure}" if solution.failure else "complete",
        steady_year=solution.steady_year,
        references=REFERENCES if solution.approach is None else (*REFERENCES, *REPEATING_REFERENCES),
        approach=RunInfo.approach if solution.approach is None else solution.approach.sentence(),
        years_simulated=_hours_marched(solution, record) / HOURS_PER_YEAR,
    )
