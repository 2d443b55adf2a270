"""Random walls in random weather: invented, seeded, and rougher than any climate."""

import numpy as np

from hygro.materials import Material, load_film, load_material
from hygro.model.boundary import series_boundary
from hygro.model.wall import Film, Layer, WallModel
from hygro.physics.moist_air import suction

LIBRARY = (
    "solid-brick",
    "sandstone",
    "lime-mortar",
    "lime-plaster",
    "calcium-silicate",
    "wood-fibre-rigid",
    "hemp-lime",
    "insulating-lime-plaster",
    "softwood",
    "mineral-wool",
)
FILMS = ("limewash", "membrane-humidity-dependent", "vapour-open-paint", "masonry-paint")
HOUR = 3600.0


def random_material(rng, name):
    """Make a material with one pore class and a conductivity that falls with suction by a power."""
    free = rng.uniform(80.0, 300.0)
    alpha, n = 10.0 ** rng.uniform(-6.5, -4.0), rng.uniform(1.3, 2.2)
    wet, fall = 10.0 ** rng.uniform(-11.0, -8.0), rng.uniform(1.6, 3.0)
    dry_mu = rng.uniform(5.0, 40.0)
    return Material.from_curves(
        name=name,
        density=rng.uniform(300.0, 2000.0),
        specific_heat=rng.uniform(800.0, 1800.0),
        conductivity_dry=rng.uniform(0.05, 0.9),
        porosity=0.4,
        free_saturation=free,
        storage=lambda s: free * (1.0 + (alpha * s) ** n) ** (1.0 / n - 1.0),
        liquid=lambda s: wet / (1.0 + (alpha * s) ** fall),
        vapour=lambda phi: dry_mu / (1.0 + 2.0 * phi**4),
        heat=rng.uniform(0.0, 0.003),
    )


def random_layers(rng):
    """Make one to four layers, about a third of them of a random material."""
    layers = []
    for number in range(rng.integers(1, 5)):
        own = rng.random() < 0.35
        material = random_material(rng, f"random {number}") if own else load_material(rng.choice(LIBRARY))
        thickness = rng.uniform(0.01, 0.25)
        start = float(suction(rng.uniform(0.4, 0.97), 283.15))
        layers.append(Layer(f"layer {number}", material.table(), thickness, 283.15, start))
    return tuple(layers)


def random_films(rng, count):
    """Put a film on about a third of the surfaces and interfaces."""
    films = []
    for position in range(count + 1):
        if rng.random() < 0.35:
            film = load_film(rng.choice(FILMS))
            films.append(Film(film.name, position, film.s_d, film.liquid_open))
    return tuple(films)


def outdoors(rng, hours):
    """Make weather: frost to warm days, sun on the wall, showers and storms."""
    time = np.arange(hours)
    air = 273.15 + rng.uniform(-8.0, 15.0) + 5.0 * np.sin(time / 24 * 2 * np.pi) + rng.normal(0, 1.5, hours)
    sun = np.maximum(0.0, np.sin((time - 6) / 24 * 2 * np.pi)) * rng.uniform(0.0, 25.0, hours)
    rain = np.zeros(hours)
    for begin in rng.integers(0, hours, max(hours // 24, 1)):
        rain[begin : begin + rng.integers(1, 12)] = rng.uniform(0.05, 4.0) / HOUR
    return series_boundary(
        temperature=air + sun,
        air_temperature=air,
        relative_humidity=np.clip(rng.normal(0.85, 0.1, hours), 0.3, 1.0),
        heat_coefficient=rng.uniform(8.0, 35.0, hours),
        vapour_coefficient=rng.uniform(2e-8, 2e-7, hours),
        rain=rain,
    )


def indoors(rng, hours):
    """Make a room whose humidity jumps when somebody cooks."""
    return series_boundary(
        temperature=rng.uniform(289.0, 296.0) + rng.normal(0, 0.5, hours),
        relative_humidity=np.clip(rng.normal(0.55, 0.1, hours), 0.2, 0.95),
        heat_coefficient=7.7,
        vapour_coefficient=2.5e-8,
    )


def random_wall(seed, hours):
    """Make one wall in its weather."""
    rng = np.random.default_rng(seed)
    layers = random_layers(rng)
    return WallModel(
        layers=layers,
        films=random_films(rng, len(layers)),
        external=outdoors(rng, hours),
        internal=indoors(rng, hours),
        start=np.datetime64("2001-01-01T00"),
    )


def soaked_wall(hours):
    """Make three thin layers of capillary materials in rain that does not end."""
    layers = (("solid-brick-strongly-sucking", 0.03), ("lime-mortar", 0.01), ("calcium-silicate", 0.03))
    start = float(suction(0.9, 283.15))
    return WallModel(
        layers=tuple(
            Layer(name, load_material(name).table(), thickness, 283.15, start) for name, thickness in layers
        ),
        films=(),
        external=series_boundary(
            temperature=280.0,
            relative_humidity=0.8,
            heat_coefficient=20.0,
            vapour_coefficient=1.5e-7,
            rain=3.0 / HOUR,
            hours=hours,
        ),
        internal=series_boundary(
            temperature=293.15,
            relative_humidity=0.5,
            heat_coefficient=7.7,
            vapour_coefficient=2.5e-8,
            hours=hours,
        ),
        start=np.datetime64("2001-01-01T00"),
    )
