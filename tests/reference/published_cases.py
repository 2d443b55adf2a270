"""Published cases through the public door, with a section added to the case file where a test needs one."""

from pathlib import Path

from hygro import load_case
from hygro.results.simulate import simulate

CASES = Path(__file__).parents[2] / "cases" / "published"


def published(name, folder, extra=""):
    """Simulate a published case; `extra` is TOML that is added to it."""
    path = folder / f"{name}.toml"
    path.write_text((CASES / f"{name}.toml").read_text(encoding="utf-8") + "\n" + extra, encoding="utf-8")
    return simulate(load_case(path))
