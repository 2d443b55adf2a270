"""How long thirty years of hours take from a file to eight elevations."""

import tempfile
import time
from pathlib import Path

import numpy as np

from benchmarks.tables import table
from hygro.climate import SiteFactors, load_weather, wall_climate
from hygro.climate import sun as sun_module
from hygro.climate.exposure import EIGHT, exposure_table
from hygro.climate.formats import read_weather
from hygro.climate.options import ReadOptions

ROOT = Path(__file__).parents[1]
YEARS = 30
FIRST = np.datetime64("1991-01-01T00:00")
HEAD = 7
REPEATS = 3


def write_years(path):
    """Write the invented coast over and over as thirty calendar years."""
    lines = (ROOT / "climate" / "exposed-coast.csv").read_text(encoding="utf-8").splitlines()
    rows = [line.split(",", 1)[1] for line in lines[HEAD:]]
    last = (FIRST.astype("datetime64[Y]") + YEARS).astype("datetime64[m]")
    end = np.arange(FIRST, last, np.timedelta64(1, "h")) + np.timedelta64(1, "h")
    stamped = [
        f"{stamp}Z,{rows[i % len(rows)]}" for i, stamp in enumerate(np.datetime_as_string(end, unit="m"))
    ]
    path.write_text("\n".join(lines[:HEAD] + stamped) + "\n", encoding="utf-8")
    return len(end)


def best(action):
    """Return the least processor time [s] and the last result; nothing is remembered between repeats."""
    seconds = np.inf
    for _ in range(REPEATS):
        sun_module._position.cache_clear()
        began = time.process_time()
        result = action()
        seconds = min(seconds, time.process_time() - began)
    return seconds, result


def weather():
    """Tabulate processor time from file to eight elevations."""
    with tempfile.TemporaryDirectory() as directory:
        path = Path(directory) / "thirty.csv"
        hours = write_years(path)
        load_weather(ROOT / "climate" / "exposed-coast.csv")  # imports are no part of it
        reading, _ = best(lambda: read_weather([path], ReadOptions()))
        loading, loaded = best(lambda: load_weather(path))

        def walls():
            for elevation in EIGHT:
                wall_climate(
                    loaded,
                    elevation=elevation,
                    site=SiteFactors(),
                    solar_absorptance=0.6,
                    emissivity=0.9,
                )

        walling, _ = best(walls)
        exposing, _ = best(lambda: exposure_table(loaded))
        size = path.stat().st_size / 1e6
    rows = [
        (f"read the table ({size:.0f} MB, {hours} hours)", f"{reading:.2f}"),
        ("check it, list findings, split sun, model the sky", f"{loading - reading:.2f}"),
        ("eight elevations, as the solver takes them", f"{walling:.2f}"),
        ("file to eight elevations", f"{loading + walling:.2f}"),
        ("indices and spells of eight elevations", f"{exposing:.2f}"),
    ]
    return table((f"{YEARS} years of hours", "processor time, s"), rows)
