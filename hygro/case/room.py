"""[room] and [room.balance]: the climate on the inner side, stated or worked out."""

from __future__ import annotations

from math import isfinite
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, Field

from hygro.case.base import Celsius, HumidityPercent, Positive, Section, Words, refuse

RoomKind = Literal[
    "EN 15026 normal",
    "EN 15026 high",
    "ISO 13788 class 1",
    "ISO 13788 class 2",
    "ISO 13788 class 3",
    "ISO 13788 class 4",
    "ISO 13788 class 5",
    "ASHRAE 160 simplified",
    "ASHRAE 160 intermediate",
    "balance",
    "constant",
    "series",
]
"""Ways to state the climate of a room."""

HOURS = 24


def _by_hour(value: Any) -> Any:
    """Accept a number or one number for each hour of a day."""
    entries = list(value) if isinstance(value, list | tuple) else [value]
    numbers = all(
        isinstance(entry, int | float) and not isinstance(entry, bool) and isfinite(entry)
        for entry in entries
    )
    if not numbers or (isinstance(value, list | tuple) and len(entries) != HOURS):
        raise refuse(
            "is neither a number nor a day of them",
            expected="a number, or a list of 24 for the hours from midnight on",
        )
    return tuple(float(entry) for entry in entries) if isinstance(value, list | tuple) else float(value)


def _within(low: float, high: float) -> AfterValidator:
    def check(value: float | tuple[float, ...]) -> float | tuple[float, ...]:
        for entry in value if isinstance(value, tuple) else (value,):
            if not low <= entry <= high:
                raise refuse(f"is out of range with {entry:g}", expected=f"{low:g} to {high:g}", shown=False)
        return value

    return AfterValidator(check)


def _shares(value: Any) -> Any:
    if not isinstance(value, list | tuple):
        raise refuse("is no list", expected="24 weights for the hours from midnight on")
    return _by_hour(value)


Schedule = float | tuple[float, ...]
_Number = BeforeValidator(_by_hour)


class BalanceSection(Section):
    """What the moisture balance of a room is made of."""

    volume_m3: Annotated[float, Field(ge=1.0, le=1e5)] | None = Field(
        default=None, description="Air that is mixed: of the dwelling, where doors stand open."
    )
    floor_area_m2: Annotated[float, Field(ge=1.0, le=1e5)] | None = Field(
        default=None, description="Instead of the volume, with height_m."
    )
    height_m: Annotated[float, Field(ge=1.0, le=20.0)] = Field(
        default=2.5, description="Height of rooms, for floor_area_m2."
    )
    air_changes_per_hour: Annotated[Schedule, _Number, _within(0.0, 50.0)] = Field(
        description="Air exchange by vents, windows or balanced fans; one number, or 24 for a day."
    )
    air_changes_rise_per_hour_K: Annotated[float, Field(ge=0.0, le=1.0)] = Field(
        default=0.04,
        description="More air changes for each kelvin of the daily mean outdoors: windows in summer.",
    )
    air_changes_rise_above_C: Celsius = Field(
        default=10.0, description="Daily mean outdoors above which they rise."
    )
    infiltration_per_hour: Annotated[float, Field(ge=0.0, le=50.0)] | None = Field(
        default=None, description="Constant air changes through leaks."
    )
    leakage_n50_per_hour: Annotated[float, Field(gt=0.0, le=100.0)] | None = Field(
        default=None, description="Air changes at 50 Pa, from which leaks follow with wind and temperature."
    )
    storeys: Literal[1, 2, 3] = Field(default=2, description="Storeys of the house, for leaks.")
    shelter_class: Literal[1, 2, 3, 4, 5] = Field(
        default=3, description="Shelter from wind, 1 open to 5 very heavy, for leaks."
    )
    extract_m3_per_hour: Annotated[Schedule, _Number, _within(0.0, 1e5)] = Field(
        default=0.0, description="Fans that extract only; one number, or 24."
    )
    heat_recovery_efficiency: Annotated[float, Field(ge=0.0, le=1.0)] = Field(
        default=0.0, description="Share of the heat in air_changes_per_hour that is given back."
    )
    moisture_recovery_efficiency: Annotated[float, Field(ge=0.0, le=0.95)] = Field(
        default=0.0, description="Share of the moisture that is given back."
    )
    moisture_kg_per_day: Annotated[float, Field(ge=0.0, le=1000.0)] | None = Field(
        default=None, description="Moisture production; or say how many persons there are."
    )
    persons: Annotated[float, Field(ge=1.0, le=6.0)] | None = Field(
        default=None, description="Size of the household, from which moisture production follows."
    )
    bedrooms: Annotated[int, Field(ge=1, le=20)] | None = Field(
        default=None, description="Instead: moisture production of ASHRAE 160 for so many bedrooms."
    )
    habits: Literal["dry", "moist", "wet"] = Field(
        default="moist", description="How the household lives, with persons."
    )
    drying_loads_per_week: Annotated[float, Field(ge=0.0, le=50.0)] = Field(
        default=0.0, description="Loads of washing dried indoors, with persons."
    )
    moisture_shares: Annotated[tuple[float, ...], BeforeValidator(_shares), _within(0.0, 1e6)] | None = Field(
        default=None, description="24 weights of the hours of a day; moisture is set free evenly without."
    )
    heating_setpoint_C: Annotated[Schedule, _Number, _within(-20.0, 40.0)] = Field(
        default=20.0, description="Temperature that the heating holds; one number, or 24."
    )
    free_rise_K: Annotated[float, Field(ge=0.0, le=20.0)] = Field(
        default=2.8, description="How much warmer than outdoors the room would be without heating."
    )
    time_constant_h: Annotated[float, Field(ge=1.0, le=1000.0)] = Field(
        default=50.0, description="How slowly the room drifts where the heating is off."
    )
    buffer_area_m2: Annotated[float, Field(ge=0.0, le=1e6)] | None = Field(
        default=None, description="Surfaces and furniture that take up moisture; 1 for each m3 without."
    )
    buffer_value_g_m2percent: Annotated[float, Field(ge=0.01, le=8.0)] = Field(
        default=0.5, description="Their moisture buffer value."
    )
    coupled: bool = Field(
        default=False, description="Whether the wall takes moisture from the room and gives it back."
    )
    wall_area_m2: Positive | None = Field(
        default=None, description="Area of that wall, needed where coupled; less of buffer_area_m2 without."
    )

    @property
    def volume(self) -> float:
        """Volume, given or from floor area and height [m3]."""
        if self.volume_m3 is not None:
            return self.volume_m3
        assert self.floor_area_m2 is not None
        return self.floor_area_m2 * self.height_m

    @property
    def buffer_area(self) -> float:
        """Area that takes up moisture besides a coupled wall [m2]."""
        if self.buffer_area_m2 is not None:
            return self.buffer_area_m2
        return max(self.volume - (self.wall_area_m2 or 0.0), 0.0)

    def changed(self) -> list[str]:
        """Return the keys that differ from their default."""
        return [key for key, field in type(self).model_fields.items() if getattr(self, key) != field.default]


class RoomSection(Section):
    """How warm and humid the room is."""

    climate: RoomKind = Field(description="Where the room climate comes from.")
    temperature_C: Celsius | None = Field(
        default=None, description="Room temperature; needed where constant, allowed with an ISO 13788 class."
    )
    relative_humidity_percent: HumidityPercent | None = Field(
        default=None, description="Needed where constant."
    )
    file: Words | None = Field(
        default=None, description="Hourly series, needed where the climate is a series."
    )
    fill_hours: Annotated[int, Field(ge=0, le=HOURS)] | None = Field(
        default=None, description="Longest gap of a series that is filled; none without."
    )
    utc_offset_h: Annotated[float, Field(ge=-12.0, le=14.0)] | None = Field(
        default=None, description="Offset of the stamps of a series from UTC."
    )
    time_zone: Words | None = Field(
        default=None,
        description="Where the stamps follow daylight saving, such as Europe/London.",
    )
    balance: BalanceSection | None = Field(
        default=None, description="Table [room.balance], needed where the climate is worked out."
    )
