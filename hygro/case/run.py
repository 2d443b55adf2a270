"""[run], [grid], [output], [physics]: how the wall is computed, and what is kept."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from hygro.case.base import Section, refuse

UNTIL_STEADY = "until steady"
"""Run year after year until one year repeats the last."""

REPEATING = "repeating"
"""Find the year that repeats for ever, whatever the initial moisture."""

AS_RECORDED = "as recorded"
"""Start where the weather record starts."""


def _years(value: Any) -> int | str:
    """Accept a whole number of years or the words."""
    if value in (UNTIL_STEADY, REPEATING):
        return str(value)
    if isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= 100:
        return value
    raise refuse(
        "is no length of run",
        expected=f'a whole number of years from 1 to 100, "{UNTIL_STEADY}" or "{REPEATING}"',
    )


def _start(value: Any) -> int | str:
    """Accept a month's number or the words."""
    if value == AS_RECORDED:
        return AS_RECORDED
    if isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= 12:
        return value
    raise refuse("is no month", expected=f'a number from 1 to 12, or "{AS_RECORDED}"')


class RunSection(Section):
    """How long to run, and how finely in time."""

    years: Annotated[int | str | None, BeforeValidator(lambda v: v if v is None else _years(v))] = Field(
        default=UNTIL_STEADY,
        description="Years to run, or until one year repeats the last, or the repeating year alone.",
    )
    hours: Annotated[int, Field(ge=1, le=876_000)] | None = Field(
        default=None, description="Hours to run, instead of years; for published cases and logged data."
    )
    most_years: Annotated[int, Field(ge=2, le=100)] = Field(
        default=10, description='Most years of a run "until steady" or "repeating".'
    )
    tolerance_percent_RH: Annotated[float, Field(gt=0.0, le=10.0)] = Field(
        default=0.1, description="Largest change of humidity from year to year that counts as steady."
    )
    accuracy: Literal["draft", "standard", "reference"] = Field(
        default="standard", description="How finely time is resolved; docs/solver.md has the error of each."
    )
    start_month: Annotated[int | str, BeforeValidator(_start)] = Field(
        default=10, description="Month with which each computed year starts."
    )


class GridSection(Section):
    """How finely the wall is divided."""

    scale: Annotated[float, Field(ge=0.1, le=10.0)] = Field(
        default=1.0, description="Factor on all cell sizes; 0.5 halves them."
    )


class OutputSection(Section):
    """What is kept."""

    field_every_h: Annotated[int, Field(ge=1, le=8760)] = Field(
        default=24, description="Hours between two kept profiles through the wall."
    )


class PhysicsSection(Section):
    """Conventions that published cases set differently."""

    viscosity: bool = Field(
        default=True,
        description="Whether liquid conductivity follows the viscosity of water with temperature.",
    )
    ice: bool = Field(
        default=False, description="Whether water in the pores freezes, the sooner the wetter they are."
    )
    air_permeability: Literal["standard", "constant diffusivity"] = Field(
        default="standard",
        description="Vapour permeability of air: 2.0e-7 T^0.81 / p, or 26.1e-6 m2/s throughout.",
    )
