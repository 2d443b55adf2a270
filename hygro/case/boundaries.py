"""[external], [internal]: boundaries that a published or logged case prescribes instead of a climate."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from hygro.case.base import Celsius, HumidityPercent, Section, Words

BoundaryKind = Literal["climate", "constant", "series", "fixed"]
"""Where the climate of one side comes from."""


class BoundarySection(Section):
    """The climate of one side.

    "climate": from [site] or [room]. "constant": air that never changes, behind surface coefficients.
    "series": air from an hourly file, behind surface coefficients. "fixed": the state of the surface itself,
    from numbers or a file.
    """

    kind: BoundaryKind = Field(default="climate", description="Where the climate of this side comes from.")
    file: Words | None = Field(default=None, description="Hourly .csv file, relative to the case file.")
    temperature_C: Celsius | None = Field(
        default=None, description="Of the air, or of the surface where fixed."
    )
    relative_humidity_percent: HumidityPercent | None = Field(
        default=None, description="Of the air, or of the pores at the surface where fixed."
    )
    vapour_pressure_Pa: Annotated[float, Field(ge=0.0, le=20_000.0)] | None = Field(
        default=None, description="Of the air, instead of the relative humidity."
    )
    heat_coefficient_W_m2K: Annotated[float, Field(gt=0.0, le=1e6)] | None = Field(
        default=None, description="Heat transfer coefficient of the surface."
    )
    vapour_coefficient_kg_m2sPa: Annotated[float, Field(ge=0.0, le=1.0)] | None = Field(
        default=None, description="Vapour transfer coefficient of the surface; 0 closes it."
    )
    rain_kg_m2s: Annotated[float, Field(ge=0.0, le=1.0)] | None = Field(
        default=None, description="Rain that reaches the surface and may be taken up; default 0."
    )
