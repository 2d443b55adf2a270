"""`hygro condensation`: the monthly steady-state method, to compare."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from hygro.cli.options import case_argument, chosen_variant, json_option
from hygro.cli.output import print_json, print_table

if TYPE_CHECKING:
    from hygro.model.steady import SteadyCondensation

LIMITS_OF_METHOD: Final = (
    "This is the steady monthly method of ISO 13788. It knows no rain, no capillary flow and no storage of "
    "moisture, so it is not valid to clear capillary-active internal insulation on solid masonry, nor to "
    "condemn it; the transient assessment (hygro assess) decides."
)
"""What stands below every result."""

_MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@click.command("condensation")
@case_argument
@click.option("--variant", "slug", metavar="NAME", help="Which wall, where the case holds several.")
@json_option
def command(case_file: Path, slug: str | None, as_json: bool) -> None:
    """Condensation inside a wall by the monthly method of ISO 13788, to compare.

    Prints monthly means of the air on both sides, the water that condenses or evaporates at each plane in a
    month (g_c) and what has gathered there at its end (M_a). Sun and rain are not in the method, so all
    elevations give the same. It does not replace the transient assessment.

    \b
    Example:
      hygro condensation cases/first-look.toml --variant wood-fibre-rigid-080mm-SW
    """  # noqa: D301
    from hygro.case import load_case
    from hygro.model.steady import steady_condensation

    case = load_case(case_file)
    variant = chosen_variant(case, slug)
    found = _as_data(steady_condensation(case, variant))
    data = {"title": case.title, "variant": variant.slug} | found | {"note": LIMITS_OF_METHOD}
    if as_json:
        print_json(data)
        return
    _print(data)


def _as_data(found: SteadyCondensation) -> dict[str, Any]:
    """Return what is printed, months in the order of the balance."""
    from hygro.physics.interstitial_year import MONTH_SECONDS

    balance, planes = found.balance, found.wet_planes
    months = [
        _air(found, month)
        | {
            "condensed_g_m2": [1000.0 * float(balance.rate[month, k] * MONTH_SECONDS[month]) for k in planes],
            "amount_g_m2": [1000.0 * float(balance.amount[month, k]) for k in planes],
            "dew_on_internal_surface": bool(balance.surface_dew[month]),
        }
        for month in balance.order
    ]
    return {
        "thermal_transmittance_W_m2K": found.thermal_transmittance,
        "layers": [
            {
                "name": layer.name,
                "thickness_mm": 1000.0 * layer.thickness,
                "resistance_m2K_W": layer.resistance,
                "s_d_m": layer.s_d,
            }
            for layer in found.layers
        ],
        "planes": [found.planes[k] for k in planes],
        "months": months,
        "greatest_g_m2": 1000.0 * float(balance.amount.sum(axis=1).max()),
        "left_g_m2": 1000.0 * float(balance.left.sum()),
        "verdict": balance.verdict,
    }


def _air(found: SteadyCondensation, month: int) -> dict[str, Any]:
    """Return the month's temperatures and humidities; the humidity is that of the mean vapour pressure."""
    from hygro.constants import ZERO_CELSIUS
    from hygro.physics.moist_air import saturation_pressure

    air: dict[str, Any] = {"month": _MONTHS[month]}
    climate = found.climate
    for side, temperatures, pressures in (
        ("external", climate.external_temperature, climate.external_pressure),
        ("internal", climate.internal_temperature, climate.internal_pressure),
    ):
        temperature = float(temperatures[month])
        humidity = float(pressures[month]) / saturation_pressure(temperature)
        air[f"{side}_temperature_C"] = temperature - ZERO_CELSIUS
        air[f"{side}_relative_humidity_percent"] = 100.0 * float(humidity)
    return air


def _print(data: dict[str, Any]) -> None:
    click.echo(f"{data['title']}\n{data['variant']}: U {data['thermal_transmittance_W_m2K']:.2f} W/(m2 K)\n")
    layers = [
        [
            layer["name"],
            f"{layer['thickness_mm']:g}" if layer["thickness_mm"] else "film",
            f"{layer['resistance_m2K_W']:.3f}",
            f"{layer['s_d_m']:.3g}",
        ]
        for layer in data["layers"]
    ]
    columns = ["layer", "thickness mm>", "R m2 K/W>", "s_d m>"]
    print_table("Layers from outside to inside, conductivity dry, s_d at 50 % RH", columns, layers)
    columns = ["month", "outdoors degC>", "RH %>", "indoors degC>", "RH %>"]
    for number in range(1, len(data["planes"]) + 1):
        columns += [f"g_c {number} g/m2>", f"M_a {number} g/m2>"]
    print_table("Month by month", columns, [_row(month) for month in data["months"]])
    for number, plane in enumerate(data["planes"], start=1):
        click.echo(f"plane {number}: {plane}")
    click.echo(_verdict_words(data))
    dew = [month["month"] for month in data["months"] if month["dew_on_internal_surface"]]
    if dew:
        click.echo(f"dew on the internal surface, not counted: {', '.join(dew)}")
    click.echo(f"\n{LIMITS_OF_METHOD}")


def _row(month: dict[str, Any]) -> list[str]:
    cells = [month["month"]]
    for side in ("external", "internal"):
        cells += [
            f"{month[f'{side}_temperature_C']:.1f}",
            f"{month[f'{side}_relative_humidity_percent']:.0f}",
        ]
    for condensed, amount in zip(month["condensed_g_m2"], month["amount_g_m2"], strict=True):
        cells += [f"{condensed:.1f}", f"{amount:.1f}"]
    return cells


def _verdict_words(data: dict[str, Any]) -> str:
    if data["verdict"] == "no condensation":
        return "Nothing condenses inside the wall in any month."
    words = f"Up to {data['greatest_g_m2']:.1f} g/m2 gather"
    if data["verdict"] == "evaporates":
        return f"{words}; all of it evaporates within the year."
    return f"{words}; {data['left_g_m2']:.1f} g/m2 are left after twelve months: water accumulates."
