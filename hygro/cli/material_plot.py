"""`hygro materials plot` and `hygro materials compare`: curves as one picture, numbers as a table."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from hygro.cli.output import print_table

if TYPE_CHECKING:
    from hygro.materials import Material

_HUMIDITIES: Final = (0.5, 0.8, 0.95)
_OUT_HELP: Final = "Picture to write, .png or .svg."


@click.command("plot")
@click.argument("name", metavar="NAME|FILE")
@click.option("--out", type=click.Path(path_type=Path), help=f"{_OUT_HELP}  [default: NAME.png]")
def plot_command(name: str, out: Path | None) -> None:
    """Draw what a material does with water, vapour and heat.

    One picture: water held, liquid diffusivity, vapour resistance factor, thermal conductivity. The line
    shows how sure a curve is (published, derived, common practice, memory), the band its stated spread.

    \b
    Example:
      hygro materials plot solid-brick --out brick.svg
    """  # noqa: D301
    from hygro.materials import load_material
    from hygro.report.plots.material import material_picture, save_picture

    material = load_material(name)
    path = save_picture(material_picture([material]), out or Path(f"{material.name}.png"))
    click.echo(str(path))


@click.command("compare")
@click.argument("names", metavar="NAME|FILE...", nargs=-1, required=True)
@click.option("--out", type=click.Path(path_type=Path), help=_OUT_HELP)
def compare_command(names: tuple[str, ...], out: Path | None) -> None:
    """Set materials side by side: a table, and with --out one picture.

    \b
    Example:
      hygro materials compare solid-brick limestone sandstone --out stones.png
    """  # noqa: D301
    from hygro.materials import load_material

    materials = [load_material(name) for name in names]
    _print(materials)
    if out is not None:
        from hygro.report.plots.material import material_picture, save_picture

        click.echo(str(save_picture(material_picture(materials), out)))


def _print(materials: list[Material]) -> None:
    import numpy as np

    from hygro.materials.document import resistance_at
    from hygro.materials.plausibility import uptake_estimate

    rows = [
        ["density", "kg/m3", *(f"{each.density:g}" for each in materials)],
        ["open pores", "%", *(f"{100.0 * each.porosity:.3g}" for each in materials)],
        ["free saturation", "kg/m3", *(f"{each.free_saturation:.4g}" for each in materials)],
    ]
    for phi in _HUMIDITIES:
        held = (f"{each.water_content(phi):.3g}" for each in materials)
        rows.append([f"water held at {100.0 * phi:g} % RH", "kg/m3", *held])
    rows.append(["A_w", "kg/(m2 s^0.5)", *(_absorption(each) for each in materials)])
    implied = (uptake_estimate(each) for each in materials)
    rows.append(
        ["A_w of the liquid curve", "kg/(m2 s^0.5)", *(f"{value:.3g}" if value else "-" for value in implied)]
    )
    for phi in (0.3, 0.8):
        mu = (f"{resistance_at(each, phi):.3g}" for each in materials)
        rows.append([f"resistance factor at {100.0 * phi:g} % RH", "1", *mu])
    for name, share in (("dry", 0.0), ("at free saturation", 1.0)):
        values = (float(m.heat.conductivity(np.array([share * m.free_saturation]))[0]) for m in materials)
        rows.append([f"thermal conductivity {name}", "W/(m K)", *(f"{value:.3g}" for value in values)])
    rows.append(["specific heat", "J/(kg K)", *(f"{each.specific_heat:g}" for each in materials)])
    rows.append(["grade", "", *(each.grade for each in materials)])
    print_table("At 20 degC", ["quantity", "unit", *(f"{each.name}>" for each in materials)], rows)


def _absorption(material: Material) -> str:
    return "-" if material.absorption_coefficient is None else f"{material.absorption_coefficient:g}"
