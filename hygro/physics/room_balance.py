"""Moisture balance of the air in a room and of what its surfaces take up, exact within each hour."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from hygro.constants import GAS_CONSTANT_VAPOUR, REFERENCE_TEMPERATURE, SECONDS_PER_HOUR
from hygro.errors import ClimateError
from hygro.physics.moist_air import saturation_pressure
from hygro.physics.typing import FloatArray, FloatOrArray

BUFFER_CONDUCTANCE: Final = 2.0e-8
"""Vapour transfer coefficient of a surface in the test of moisture buffering [kg/(m2 s Pa)]; a resistance of
5.0e7 m2 s Pa/kg. Rode et al. 2005 (Nordtest method), from memory, unconfirmed."""

TEST_TEMPERATURE: Final = 296.15
"""Temperature of that test [K]; same source."""

TEST_HOURS: Final = (8.0, 16.0)
"""Hours in humid and in dry air of its daily cycle; same source."""

_SETTLED = 1e-9
"""Change over a record, relative to the pressure or humidity, below which it repeats itself."""

_MOST_PASSES = 60
"""Passes through the record after which a room is given up; a time constant of a year would need 21."""


@dataclass(frozen=True)
class Buffer:
    """A store of moisture behind one resistance.

    Attributes
    ----------
    conductance : float
        From the air to the store [kg/(s Pa)].
    capacity : float
        Water taken up per unit of relative humidity [kg].
    """

    conductance: float
    capacity: float


@dataclass(frozen=True)
class RoomAir:
    """The air of a room, hour by hour; flows are means of the hour.

    Attributes
    ----------
    vapour_pressure : array, shape (hours,)
        Mean of the hour [Pa].
    pressure_at_end : array, shape (hours,)
        At its end [Pa].
    carried_out : array, shape (hours,)
        Vapour that air exchange takes out, less what it brings in [kg/s].
    buffered : array, shape (hours, buffers)
        Taken up by each store [kg/s].
    into_surface : array, shape (hours,)
        Taken up by the surface [kg/s].
    condensed : array, shape (hours,)
        What the air could not hold and is taken to run off cold panes [kg/s].
    """

    vapour_pressure: FloatArray
    pressure_at_end: FloatArray
    carried_out: FloatArray
    buffered: FloatArray
    into_surface: FloatArray
    condensed: FloatArray


def steady_excess(source: FloatOrArray, exchange: FloatOrArray, temperature: FloatOrArray) -> FloatOrArray:
    """Vapour pressure of a room above that outdoors in the steady state.

    Parameters
    ----------
    source : float or array
        Moisture production [kg/s].
    exchange : float or array
        Air exchange at the temperature of the room [m3/s].
    temperature : float or array
        Of the room [K].

    Returns
    -------
    float or array
        [Pa].

    References
    ----------
    EN ISO 13788:2012: excess G / (n V) by density, times R_v T.
    """
    return source / exchange * GAS_CONSTANT_VAPOUR * temperature


def buffer_value(capacity: float) -> float:
    """Moisture buffer value of a surface with one store behind the resistance of its boundary layer.

    Parameters
    ----------
    capacity : float
        Of the store [kg/m2 per unit of relative humidity].

    Returns
    -------
    float
        Swing of its water between humid and dry air, once days repeat, per step of humidity [kg/m2].

    Notes
    -----
    With a = exp(-8 h/tau) and b = exp(-16 h/tau) the swing is (1 - a)(1 - b)/(1 - a b) of that in
    equilibrium.
    """
    hours = capacity / (BUFFER_CONDUCTANCE * float(saturation_pressure(TEST_TEMPERATURE))) / SECONDS_PER_HOUR
    humid, dry = (-float(np.expm1(-span / hours)) for span in TEST_HOURS)
    return capacity * humid * dry / -float(np.expm1(-sum(TEST_HOURS) / hours))


def buffer_capacity(value: float) -> float:
    """Capacity of a store that shows a given moisture buffer value in the test.

    Parameters
    ----------
    value : float
        Moisture buffer value [kg/m2 per unit of relative humidity]: 0.1 times that in g/(m2 %).

    Returns
    -------
    float
        [kg/m2 per unit of relative humidity].

    Raises
    ------
    ClimateError
        No store reaches the value: the boundary layer lets less pass in eight hours.
    """
    low, high = 0.0, 1.0
    most = BUFFER_CONDUCTANCE * float(saturation_pressure(TEST_TEMPERATURE)) * SECONDS_PER_HOUR
    most *= TEST_HOURS[0] * TEST_HOURS[1] / sum(TEST_HOURS)
    if not 0.0 < value < 0.95 * most:
        raise ClimateError(
            "no surface has such a moisture buffer value",
            found=round(10.0 * value, 4),
            expected=f"above 0 and below {9.5 * most:.1f} g/(m2 %)",
        )
    while buffer_value(high) < value:
        high *= 2.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if buffer_value(middle) < value else (low, middle)
    return 0.5 * (low + high)


def room_air(
    *,
    volume: float,
    exchange: FloatArray,
    temperature: FloatArray,
    outdoor_pressure: FloatArray,
    source: FloatArray,
    buffers: Sequence[Buffer] = (),
    surface: tuple[FloatArray, FloatArray] | None = None,
    start: tuple[float, float] | None = None,
) -> RoomAir:
    """Work out the vapour pressure of a room.

    Parameters
    ----------
    volume : float
        [m3].
    exchange : array, shape (hours,)
        Air exchange at room temperature [m3/s].
    temperature : array, shape (hours,)
        Of the room [K].
    outdoor_pressure : array, shape (hours,)
        Vapour pressure of the air that comes in [Pa].
    source : array, shape (hours,)
        Moisture production, less what is taken up by anything that is no buffer [kg/s].
    buffers : sequence of Buffer
        Stores that exchange moisture with the air.
    surface : (array, array), each of shape (hours,), optional
        Conductance to a surface [kg/(s Pa)] and the vapour pressure there [Pa].
    start : (float, float), optional
        Vapour pressure of the air [Pa] and relative humidity of the stores [1] at the start. Without, the
        record starts as it ends: the state that repeats.

    Returns
    -------
    RoomAir
        Exact for values that are constant within each hour, but for hours in which the air is saturated: what
        it cannot hold then is counted as condensed.

    Raises
    ------
    ClimateError
        The record does not settle into one that repeats.

    Notes
    -----
    C dp/dt = n V/(R_v T) (p_e - p) + G - sum of g_i (p - phi_i p_sat(T)), and for each store
    c_i dphi_i/dt = g_i (p - phi_i p_sat(T)), solved by the eigenvectors of each hour. C = V/(R_v 293.15 K)
    is kept constant, so that water is neither made nor lost where the room warms up or cools down.
    """
    nothing = np.zeros_like(temperature)
    towards, at_surface = (nothing, nothing) if surface is None else surface
    out = exchange / (GAS_CONSTANT_VAPOUR * temperature)
    given = out * outdoor_pressure + source + towards * at_surface
    steps = _steps(volume, out + towards, temperature, given, buffers)
    limit = np.asarray(saturation_pressure(temperature), dtype=float)
    humidity = float(np.mean(outdoor_pressure) / np.mean(limit))
    first = (float(outdoor_pressure[0]), humidity) if start is None else start
    state = np.array([first[0], *(first[1] for _ in buffers)])
    for _ in range(_MOST_PASSES):
        ends, means = _march(steps, limit, state)
        settled = np.abs(ends[-1] - state).max() <= _SETTLED * np.abs(state).max()
        if start is not None or settled:
            break
        state = ends[-1]
    else:
        raise ClimateError(
            "the moisture of the room does not come to repeat itself",
            hint="its air exchange is very small for what it stores",
        )
    carried, into = out * (means - outdoor_pressure), towards * (means - at_surface)
    gained = np.diff(np.concatenate([state[None], ends]), axis=0) / SECONDS_PER_HOUR
    buffered = gained[:, 1:] * np.array([buffer.capacity for buffer in buffers])
    rest = source - carried - into - buffered.sum(axis=1) - _air_capacity(volume) * gained[:, 0]
    saturated = (means >= limit) | (ends[:, 0] >= limit)
    return RoomAir(means, ends[:, 0], carried, buffered, into, np.where(saturated, rest, 0.0))


@dataclass(frozen=True)
class _Steps:
    """Maps of each hour: state at its end and mean of the pressure from the state at its begin."""

    end: FloatArray
    end_add: FloatArray
    mean: FloatArray
    mean_add: FloatArray


def _steps(
    volume: float, out: FloatArray, temperature: FloatArray, given: FloatArray, buffers: Sequence[Buffer]
) -> _Steps:
    """Solve each hour, with all that leaves the air by `out` [kg/(s Pa)] and enters it by `given` [kg/s]."""
    hours, nodes = len(temperature), 1 + len(buffers)
    saturation = np.asarray(saturation_pressure(temperature), dtype=float)
    capacity = np.empty((hours, nodes))
    scale = np.ones((hours, nodes))
    conductance = np.zeros((hours, nodes, nodes))
    capacity[:, 0] = _air_capacity(volume)
    conductance[:, 0, 0] = out
    for node, buffer in enumerate(buffers, start=1):
        capacity[:, node] = buffer.capacity / saturation
        scale[:, node] = saturation
        conductance[:, 0, 0] += buffer.conductance
        conductance[:, node, node] = buffer.conductance
        conductance[:, 0, node] = conductance[:, node, 0] = -buffer.conductance
    root = np.sqrt(capacity)
    rate, modes = np.linalg.eigh(conductance / (root[:, :, None] * root[:, None, :]))
    left, right = modes / root[:, :, None] / scale[:, :, None], (modes * root[:, :, None]).swapaxes(1, 2)
    drive = modes[:, 0, :] / root[:, :1] * given[:, None]
    decay, once, twice = _integrals(np.maximum(rate, 0.0))
    from_start = right * scale[:, None, :]
    return _Steps(
        end=np.einsum("hij,hj,hjk->hik", left, decay, from_start),
        end_add=np.einsum("hij,hj,hj->hi", left, once, drive),
        mean=np.einsum("hj,hj,hjk->hk", left[:, 0], once / SECONDS_PER_HOUR, from_start),
        mean_add=np.einsum("hj,hj,hj->h", left[:, 0], twice / SECONDS_PER_HOUR, drive),
    )


def _integrals(rate: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return exp(-rate t) at the end of an hour, its integral, and the integral of that."""
    x = rate * SECONDS_PER_HOUR
    small = x < 1e-4  # there the series is as exact as the formula, which divides by what vanishes
    safe = np.where(small, 1.0, x)
    once = np.where(small, 1.0 - x / 2.0 + x**2 / 6.0, -np.expm1(-safe) / safe)
    twice = np.where(small, 0.5 - x / 6.0 + x**2 / 24.0, (safe + np.expm1(-safe)) / safe**2)
    return np.exp(-x), once * SECONDS_PER_HOUR, twice * SECONDS_PER_HOUR**2


def _march(steps: _Steps, limit: FloatArray, state: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the state at the end of each hour and the mean pressure of each, none above saturation."""
    hours = len(limit)
    ends, means = np.empty((hours, len(state))), np.empty(hours)
    now = state
    for hour in range(hours):
        means[hour] = min(steps.mean[hour] @ now + steps.mean_add[hour], limit[hour])
        now = steps.end[hour] @ now + steps.end_add[hour]
        if now[0] > limit[hour]:
            now = np.minimum(now, [limit[hour], *np.ones(len(now) - 1)])
        ends[hour] = now
    return ends, means


def _air_capacity(volume: float) -> float:
    """Vapour in the air of a room per pascal [kg/Pa]."""
    return volume / (GAS_CONSTANT_VAPOUR * REFERENCE_TEMPERATURE)
