"""The table of docs/rooms.md: one wall, one household, more and less air.

`python tests/rooms_table.py` prints it.
"""

from __future__ import annotations

import json
from pathlib import Path

from hygro.case import Case, load_case, parse_case
from hygro.results.simulate import simulate
from hygro.scores import score

PATH = Path(__file__).parents[1] / "cases" / "closed-up-house.toml"
AIR_CHANGES = (0.2, 0.5, 1.0)
WALLS = {"bare": "bare-wall-SW", "60 mm": "wood-fibre-rigid-060mm-SW"}
INTERFACE = "levelling coat | insulation"

HEAD = (
    "| room | wall | winter mean, %RH | winter most | year most | mould index, surface | behind insulation | "
    "most %RH there | passes |\n|---|---|---|---|---|---|---|---|---|\n"
)


def house(air_changes: float | None) -> Case:
    """Return the case with other air changes, or with a room by EN 15026 instead."""
    text = PATH.read_text(encoding="utf-8")
    if air_changes is None:
        head, rest = text.split("[room]\n")
        wall = rest.split("[wall]\n", 1)[1]
        return parse_case(f'{head}[room]\nclimate = "EN 15026 normal"\n\n[wall]\n{wall}', PATH)
    given = "air_changes_per_hour = 0.2"
    assert given in text
    return parse_case(text.replace(given, f"air_changes_per_hour = {air_changes}"), PATH)


def figures(air_changes: float | None, wall: str) -> dict[str, float]:
    """Simulate one wall and return what the table shows."""
    import numpy as np

    case = house(air_changes)
    dataset = simulate(case, case.variant(WALLS[wall]))
    room = json.loads(dataset.attrs["settings"]).get("room", {})
    humidity = 100.0 * dataset["internal_relative_humidity"].values[-8760:]
    outdoors = np.tile(dataset["external_air_temperature"].values[-8760:], 2)
    begin = int(np.argmin(np.convolve(outdoors, np.ones(2160), mode="valid")[:8760]))
    winter = np.tile(humidity, 2)[begin : begin + 2160]
    scores = {(entry.name, entry.place): entry.value for entry in score(dataset)}
    (surface,) = [value for (name, _), value in scores.items() if name == "mould_index_surface"]
    found = {"mean": winter.mean(), "winter": winter.max(), "year": humidity.max()}
    found |= {"surface": surface, "passes": room.get("passes", 0)}
    if wall != "bare":
        behind = dataset["relative_humidity"].sel(place=INTERFACE).values[-8760:]
        found["index"] = scores["mould_index_interface", INTERFACE]
        found["behind"] = 100.0 * behind.max()
    return found


def row(air_changes: float | None, wall: str, found: dict[str, float]) -> str:
    """Return a row of the table."""
    room = "EN 15026 normal" if air_changes is None else f"{air_changes:.1f} air changes"
    behind = f"{found['index']:.2f} | {found['behind']:.1f}" if "index" in found else "– | –"
    passes = f"{found['passes']}" if found["passes"] else "–"
    return (
        f"| {room} | {wall} | {found['mean']:.1f} | {found['winter']:.0f} | {found['year']:.0f} | "
        f"{found['surface']:.2f} | {behind} | {passes} |"
    )


def table() -> list[str]:
    """Return all rows."""
    return [row(n, wall, figures(n, wall)) for n in (*AIR_CHANGES, None) for wall in WALLS]


if __name__ == "__main__":
    load_case(PATH)
    print(HEAD + "\n".join(table()))
