"""Result datasets with plain yearly waves, and the verdicts on them, for reports that are not about physics.

Nothing is simulated: temperature and humidity are smooth functions of depth, season and thickness, chosen so
that thicker insulation leaves the old wall colder and damper, and south-west wetter than north.
"""

from __future__ import annotations

import numpy as np

from hygro.constants import HOURS_PER_YEAR, ZERO_CELSIUS
from hygro.physics.moist_air import saturation_pressure, suction
from hygro.results import LayerInfo, PlaceInfo, RawResult, RunInfo, build_dataset
from hygro.results.raw import year_edges

START = np.datetime64("2025-10-01T00:00")
RAIN = {"SW": 380.0, "N": 90.0}  # kg/(m2 a) on the wall
DAMP = {"SW": 0.06, "N": 0.0}
REFERENCES = (
    "EN 15026:2023, Hygrothermal performance of building components and building elements",
    "Hukka and Viitanen 1999, Wood Science and Technology 33, 475-485",
)
MATERIALS = [
    {
        "name": "solid-brick",
        "title": "Solid brick, old",
        "digest": "a" * 64,
        "sources": [
            {
                "key": "density",
                "value": "1700 kg/m3",
                "source": "An invented paper 2001",
                "kind": "published",
            },
            {"key": "liquid", "value": "from A", "source": "carried over", "kind": "derived"},
        ],
    },
    {
        "name": "wood-fibre-rigid",
        "title": "Wood fibre, rigid board",
        "digest": "b" * 64,
        "sources": [
            {"key": "density", "value": "160 kg/m3", "source": "An invented paper 2001", "kind": "published"},
            {
                "key": "vapour",
                "value": "mu 5",
                "source": "from memory, unconfirmed: boards of this kind",
                "kind": "memory",
            },
        ],
    },
]


def layers_of(thickness: float | None) -> tuple[LayerInfo, ...]:
    """Old wall, and a build-up where a thickness [mm] is given."""
    old = (
        LayerInfo("old brick", "solid-brick", 0.225, 0.6, 1700.0, timber=False, added=False),
        LayerInfo("old plaster", "lime-plaster", 0.015, 0.7, 1600.0, timber=False, added=False),
    )
    if thickness is None:
        return old
    return (
        *old,
        LayerInfo("levelling coat", "lime-plaster", 0.010, 0.7, 1600.0, timber=False, added=True),
        LayerInfo("insulation", "wood-fibre-rigid", thickness / 1000, 0.042, 160.0, timber=False, added=True),
        LayerInfo("finish", "lime-plaster", 0.008, 0.7, 1600.0, timber=False, added=True),
    )


def places_of(layers: tuple[LayerInfo, ...]) -> tuple[PlaceInfo, ...]:
    """Surfaces, every interface and a joist end."""
    edges = np.concatenate([[0.0], np.cumsum([layer.thickness for layer in layers])])
    names = ["", *(layer.material for layer in layers), ""]
    places = [_place("external surface", "external surface", 0.0, names[0], names[1])]
    places.append(_place("joist end", "probe", 0.125, names[1], names[1], timber=True))
    for index in range(1, len(layers)):
        label = f"{layers[index - 1].name} | {layers[index].name}"
        places.append(_place(label, "interface", edges[index], names[index], names[index + 1]))
    places.append(_place("internal surface", "internal surface", edges[-1], names[-2], names[-1]))
    return tuple(places)


def _place(label, kind, depth, outer, inner, timber=False):
    return PlaceInfo(label, kind, float(depth), outer, inner, "medium resistant", "relatively low", timber)


def wall_dataset(
    thickness: float | None,
    elevation: str = "SW",
    *,
    years: int = 2,
    title: str = "A terrace (invented)",
    build_up: str = "wood fibre, rigid",
    case_resolved: dict | None = None,
    materials: list | None = None,
    steady_year: int = 2,
    status: str = "complete",
):
    """Result dataset of one wall; `thickness` None is the bare wall."""
    layers = layers_of(thickness)
    places = places_of(layers)
    hours = years * HOURS_PER_YEAR
    u_value = 1.0 / (0.17 + sum(layer.thickness / layer.conductivity for layer in layers))
    sizes, owner = _cells(layers)
    depths = np.cumsum(sizes) - sizes / 2
    field_hours = np.arange(0, hours + 1, 24)
    field_temperature, field_humidity = _waves(field_hours, depths, layers, elevation)
    temperature, humidity = _waves(
        np.arange(1, hours + 1), np.array([p.depth for p in places]), layers, elevation
    )
    outdoors = _outdoors(np.arange(hours)) + ZERO_CELSIUS
    room = np.full(hours, 21.0 + ZERO_CELSIUS)
    count = len(year_edges(START, hours, HOURS_PER_YEAR)) - 1
    rain = np.full(hours, RAIN[elevation] / (HOURS_PER_YEAR * 3600))
    run = RunInfo(
        title=title,
        case_file="terrace.toml",
        case_sha256="c" * 64,
        case_resolved=case_resolved,
        materials=MATERIALS if materials is None else materials,
        climate_source="an invented weather year",
        climate_sha256="d" * 64,
        build_up="bare wall" if thickness is None else build_up,
        thickness_mm=thickness,
        elevation={"SW": 225.0, "N": 0.0}[elevation],
        elevation_name=elevation,
        settings={"accuracy": "standard"},
        steps=hours,
        status=status,
        steady_year=steady_year,
        references=REFERENCES,
    )
    raw = RawResult(
        run=run,
        start=START,
        record_hours=HOURS_PER_YEAR,
        places=places,
        layers=layers,
        temperature=temperature + ZERO_CELSIUS,
        suction=suction(humidity, temperature + ZERO_CELSIUS),
        cell_size=sizes,
        cell_layer=owner,
        field_hours=field_hours,
        field_temperature=field_temperature + ZERO_CELSIUS,
        field_suction=suction(field_humidity, field_temperature + ZERO_CELSIUS),
        field_water=100.0 * field_humidity,
        heat_flux_internal=u_value * (room - outdoors),
        heat_flux_external=u_value * (room - outdoors),
        vapour_flux_internal=np.full(hours, 1e-8),
        vapour_flux_external=np.full(hours, 2e-8),
        rain_on_wall=rain,
        rain_uptake=0.7 * rain,
        external_air_temperature=outdoors,
        external_vapour_pressure=0.85 * saturation_pressure(outdoors),
        internal_air_temperature=room,
        internal_vapour_pressure=0.5 * saturation_pressure(room),
        year_moisture_change=np.zeros(count),
        balance_heat=np.full(count, 1e-9),
        balance_moisture=np.full(count, 1e-9),
    )
    return build_dataset(raw)


def _cells(layers):
    sizes, owner = [], []
    for index, layer in enumerate(layers):
        count = max(3, round(layer.thickness / 0.008))
        sizes += [layer.thickness / count] * count
        owner += [index] * count
    return np.array(sizes), np.array(owner)


def _outdoors(hours):
    return 10.0 + 7.0 * np.cos(2 * np.pi * (hours / HOURS_PER_YEAR - 0.81))


def _waves(hours, depths, layers, elevation):
    """Temperature [degC] and humidity [1] at so many hours and depths."""
    total = sum(layer.thickness for layer in layers)
    resistance = np.interp(
        depths,
        np.concatenate([[0.0], np.cumsum([layer.thickness for layer in layers])]),
        np.concatenate(
            [[0.04], 0.04 + np.cumsum([layer.thickness / layer.conductivity for layer in layers])]
        ),
    )
    whole = 0.17 + sum(layer.thickness / layer.conductivity for layer in layers)
    share = resistance / whole
    lag = depths / total * 0.06
    season = 2 * np.pi * (hours[:, None] / HOURS_PER_YEAR - 0.81 - lag)
    temperature = (10.0 + 7.0 * np.cos(season)) * (1 - share) + 21.0 * share
    wet = np.exp(-depths / 0.15) * 0.1 * (1 + DAMP[elevation])
    showers = 0.02 * np.sin(hours[:, None] / 90.0) * np.exp(-depths / 0.05)
    added = whole - 0.17 - 0.396
    base = 0.58 + 0.24 * (1 - share) + wet + showers + DAMP[elevation] + 0.02 * added
    humidity = base - 0.07 * np.cos(season) * np.where(depths > 0.01, 1.0, 0.5)
    return temperature, np.clip(humidity, 0.3, 0.999)
