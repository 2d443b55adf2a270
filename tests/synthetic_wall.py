"""A synthetic wall: 300 mm brick, 10 mm mortar, 60 mm insulation, 20 mm softwood, with plain yearly waves.

Nothing is simulated. Values are simple functions of time, so that what scores and totals must give is known.
"""

from dataclasses import replace

import numpy as np

from hygro.constants import HOURS_PER_YEAR, ZERO_CELSIUS
from hygro.physics.moist_air import saturation_pressure, suction
from hygro.results.raw import LayerInfo, PlaceInfo, RawResult, RunInfo, year_edges

START = np.datetime64("2023-01-01T00:00")

LAYERS = (
    LayerInfo("brick", "brick", 0.300, 0.6, 1700.0, timber=False, added=False),
    LayerInfo("mortar", "lime mortar", 0.010, 0.7, 1600.0, timber=False, added=True),
    LayerInfo("insulation", "calcium silicate", 0.060, 0.06, 250.0, timber=False, added=True),
    LayerInfo("boarding", "softwood", 0.020, 0.12, 450.0, timber=True, added=True),
)


def _place(label, kind, depth, outer, inner, timber=False):
    return PlaceInfo(label, kind, depth, outer, inner, "medium resistant", "relatively low", timber)


PLACES = (
    _place("external surface", "external surface", 0.0, "", "brick"),
    _place("joist end", "probe", 0.2, "brick", "brick", timber=True),
    _place("brick | mortar", "interface", 0.300, "brick", "lime mortar"),
    _place("mortar | insulation", "interface", 0.310, "lime mortar", "calcium silicate"),
    _place("insulation | boarding", "interface", 0.370, "calcium silicate", "softwood"),
    _place("internal surface", "internal surface", 0.390, "softwood", ""),
)


def raw_result(
    hours=HOURS_PER_YEAR,
    *,
    temperature=10.0,
    humidity=0.8,
    water_growth=0.0,
    start=START,
    record_hours=HOURS_PER_YEAR,
    field_every=24,
    **changes,
):
    """Return a RawResult; temperature [degC] and humidity [1] are constants or arrays (hours, places).

    `water_growth` is the relative rise of all water per 8760 h.
    """
    shape = (hours, len(PLACES))
    kelvin = np.broadcast_to(np.asarray(temperature, dtype=float), shape) + ZERO_CELSIUS
    states = suction(np.broadcast_to(np.asarray(humidity, dtype=float), shape), kelvin)
    sizes = np.repeat([layer.thickness / 2 for layer in LAYERS], 2)
    field_hours = np.arange(0, hours + 1, field_every)
    fields = (len(field_hours), len(sizes))
    water = np.repeat([100.0, 50.0, 10.0, 45.0], 2) * (
        1 + water_growth * field_hours[:, None] / HOURS_PER_YEAR
    )
    years = len(year_edges(start, hours, record_hours)) - 1
    season = np.cos(2 * np.pi * np.arange(hours) / HOURS_PER_YEAR)
    outdoors = 10.0 - 12.0 * season + ZERO_CELSIUS
    room = np.full(hours, 20.0 + ZERO_CELSIUS)
    values = {
        "run": RunInfo(title="synthetic wall", case_file="synthetic.toml", build_up="softwood lining"),
        "start": start,
        "record_hours": record_hours,
        "places": PLACES,
        "layers": LAYERS,
        "temperature": np.array(kelvin),
        "suction": np.array(states),
        "cell_size": sizes,
        "cell_layer": np.repeat(np.arange(len(LAYERS)), 2),
        "field_hours": field_hours,
        "field_temperature": np.full(fields, 283.15),
        "field_suction": np.full(fields, float(suction(0.8, 283.15))),
        "field_water": water,
        "heat_flux_internal": 0.5 * (room - outdoors),
        "heat_flux_external": 0.5 * (room - outdoors),
        "vapour_flux_internal": np.full(hours, 1e-8),
        "vapour_flux_external": np.full(hours, 2e-8),
        "rain_on_wall": np.full(hours, 3e-6),
        "rain_uptake": np.full(hours, 2e-6),
        "external_air_temperature": outdoors,
        "external_vapour_pressure": 0.85 * saturation_pressure(outdoors),
        "internal_air_temperature": room,
        "internal_vapour_pressure": 0.5 * saturation_pressure(room),
        "year_moisture_change": np.zeros(years),
        "balance_heat": np.full(years, 1e-9),
        "balance_moisture": np.full(years, 1e-9),
    }
    return replace(RawResult(**values), **changes)
