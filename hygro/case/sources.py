"""[[source]], [[leak]], [[rain_penetration]]: heat, moisture and air that come to a layer from elsewhere."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from hygro.case.base import Section, Words
from hygro.case.walls import Name


class SourceSection(Section):
    """Heat or moisture given evenly to a layer."""

    layer: Name = Field(description="Layer that gets it, by its name in results.")
    heat_W_m3: Annotated[float, Field(ge=-1e6, le=1e6)] | None = Field(
        default=None, description="Heat given; below 0 it is taken."
    )
    moisture_kg_m3h: Annotated[float, Field(ge=0.0, le=1000.0)] | None = Field(
        default=None, description="Liquid water given, as far as the pores have room."
    )
    file: Words | None = Field(
        default=None, description="Hourly .csv with these two quantities, instead of numbers."
    )


class LeakSection(Section):
    """Room air that leaks outwards behind a layer, driven by the warm air's buoyancy."""

    behind: Name = Field(description="Layer whose outer face the air passes, by its name in results.")
    air_permeability_m3_hm2_50Pa: Annotated[float, Field(gt=0.0, le=1000.0)] = Field(
        description="Air that leaks through each m2 of wall at 50 Pa."
    )
    exponent: Annotated[float, Field(ge=0.5, le=1.0)] = Field(
        default=0.65, description="Of the pressure difference: 0.5 for a hole, 1 for fine cracks."
    )
    height_m: Annotated[float, Field(gt=0.0, le=200.0)] = Field(
        description="Of the connected warm air, with the wall at its top."
    )


class RainPenetrationSection(Section):
    """Driving rain that gets into the wall through defects."""

    layer: Name = Field(description="Layer that the water reaches, by its name in results.")
    share_percent: Annotated[float, Field(gt=0.0, le=30.0)] = Field(
        default=1.0, description="Of the driving rain that hits the wall."
    )
    depth_mm: Annotated[float, Field(ge=0.0, le=2000.0)] = Field(
        default=0.0, description="From the outer face of the layer."
    )
