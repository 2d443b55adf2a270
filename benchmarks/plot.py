"""The work-precision picture of docs/benchmarks.md."""

from pathlib import Path

import matplotlib as mpl
from matplotlib.figure import Figure

PICTURE = Path(__file__).parents[1] / "docs" / "benchmarks" / "work-precision.svg"
LOOK = {
    "hygro": ("#1f5673", "o", 2.2),
    "CVODE": ("#6b7280", "s", 1.2),
    "LSODA": ("#9aa3ad", "^", 1.2),
    "BDF": ("#c3c9cf", "d", 1.2),
}


def draw(results, path=PICTURE):
    """Draw time over rms error, one panel a wall."""
    mpl.rcParams["svg.fonttype"] = "none"  # text stays text: small, and searchable
    mpl.rcParams["svg.hashsalt"] = "hygro"
    figure = Figure(figsize=(3.1 * len(results), 3.2), layout="constrained")
    panels = figure.subplots(1, len(results), sharey=True, squeeze=False)[0]
    for panel, (name, points) in zip(panels, results.items(), strict=True):
        for solver, (colour, marker, width) in LOOK.items():
            own = [p for p in points if p.solver == solver and p.rms == p.rms]  # not where it gave up
            own.sort(key=lambda p: p.rms)
            panel.loglog(
                [p.rms for p in own], [p.seconds for p in own], marker, color=colour, markersize=4,
                linewidth=width, linestyle="-", label=solver,
            )  # fmt: skip
        panel.set_title(name, fontsize=8)
        panel.set_xlabel("rms error of relative humidity φ, 1", fontsize=8)
        panel.tick_params(labelsize=7)
        panel.minorticks_off()
        panel.grid(color="#e5e7eb", linewidth=0.6)
        panel.invert_xaxis()
    panels[0].set_ylabel("processor time for 60 days, s", fontsize=8)
    panels[0].legend(fontsize=7, frameon=False)
    path.parent.mkdir(parents=True, exist_ok=True)
    figure.savefig(path, metadata={"Date": None})
