"""Lengths of steps, when their iterations end, and what is kept from step to step and hour to hour.

Plain functions over flat arrays, as described in `hygro.solve.kernels`.
"""

# ruff: noqa: ANN001, ANN201, PLR0913 - scalars and flat arrays throughout

from __future__ import annotations

import numpy as np

from hygro.constants import SECONDS_PER_HOUR
from hygro.solve.layout import (
    B_RAIN,
    C_FAILED,
    C_REJECTED,
    C_WORST_NODE,
    K_CURVATURE,
    K_LAST,
    K_RAINED,
    K_WORST,
    MOVED,
    NEW_H,
    NEW_W,
    OLD_H,
    OLD_T,
    OLD_W,
    OLD_X,
    S_LEAP,
    S_NEWTON,
    S_RAIN,
    S_SHORTEST,
    S_STRICT,
)
from hygro.solve.solves import NEVER

MOST_ITERATIONS = 60
MOST_OVERDRAWN = 5  # iterations after which a node may not be left with less than no water
MEMORY = 0.25  # of the measured curvature, from step to step
GROWTH_BELOW = 0.5  # error of the first step of an hour below which the next hour starts with a longer one
GROWTH_MOST = 2.0
SAFETY = 0.9
LARGE_ERROR = 4.0  # error above which a step is cut to a quarter rather than half
ENDLESS = 1e300  # a change that is not below is no number


def has_settled(change, before, iterations, strict, settings, control):
    """Tell whether an iteration may end: what the next one would change is within the goal.

    An iteration squares the change; the factor is measured whenever two changes of a step are known (the
    first may be that of the guess) and kept from step to step, so that most hours take one sweep. Changes
    below the goal say nothing: an iteration that is not quite Newton's squares large ones only. Nor does one
    that cannot be.
    """
    if iterations > 1 and max(change, before) < NEVER:
        curvature = change / (before * before) if before > settings[S_NEWTON] else 0.0
        control[K_CURVATURE] = max(curvature, MEMORY * control[K_CURVATURE])
    if strict:
        return change <= settings[S_STRICT]
    expected = control[K_CURVATURE] * change * change
    return change <= settings[S_NEWTON] or (change <= settings[S_LEAP] and expected <= settings[S_NEWTON])


def is_hopeless(change, iterations, method):
    """Tell whether iterations are given up: there are too many, or a number is none.

    Methods of more than one solve may have an answer with less than no water where a front enters a dry cell:
    no use to go on to it.
    """
    overdrawn = change >= NEVER and method.shape[0] > 1 and iterations >= MOST_OVERDRAWN
    return overdrawn or not change < ENDLESS or iterations >= MOST_ITERATIONS


def longer_step(step, error, longest):
    """Length of the first step of the next hour: the estimate grows with the square of a step."""
    if error < GROWTH_BELOW:
        return min(step * min(SAFETY * max(error, 1e-9) ** -0.5, GROWTH_MOST), longest)
    return step


def fitted_step(step, left):
    """Step that divides what is left of the hour in equal parts."""
    return left / max(np.ceil(left / step * (1.0 - 1e-9)), 1.0)


def first_step(outside, inside, hour, last, opening_step, settings, control):
    """Length of the first step of an hour; whether it is one of rain or the first one after.

    Steps are shorter there: while it rains for what the wall takes up, afterwards for the face that dries
    within the hour. `last` is where the march ends: the climate of that hour is not looked up.
    """
    if hour >= last:
        return opening_step, False
    rains = outside[hour, B_RAIN] + inside[hour, B_RAIN] > 0.0
    wet = rains or control[K_RAINED] > 0.0
    control[K_RAINED] = 1.0 if rains else 0.0
    step = min(opening_step, settings[S_RAIN]) if wet else opening_step
    return fitted_step(step, SECONDS_PER_HOUR), wet


def shortened(step, settled, error, method, settings, control, counters):
    """Length of a step that is tried again, because its error is too large or it did not settle.

    One that did not settle is tried by backward Euler, half as long, then each time a quarter as long.
    """
    control[K_LAST] = 0.0
    if settled:
        counters[C_REJECTED] += 1
        return max(step * (0.5 if error < LARGE_ERROR else 0.25), settings[S_SHORTEST])
    counters[C_FAILED] += 1
    counters[C_WORST_NODE] = int(control[K_WORST])
    return (0.5 if method.shape[0] > 1 else 0.25) * step


def begin_step(temperature, x, work):
    """Remember the state at the start of a step."""
    for i in range(temperature.shape[0]):
        work[i, OLD_T] = temperature[i]
        work[i, OLD_X] = x[i]
        work[i, MOVED] = 0.0


def restore(temperature, x, work):
    """Go back to the start of the step."""
    for i in range(temperature.shape[0]):
        temperature[i] = work[i, OLD_T]
        x[i] = work[i, OLD_X]
        work[i, MOVED] = 0.0


def accept_step(work):
    """Carry the content that the flows lead to."""
    for i in range(work.shape[0]):
        work[i, OLD_W] = work[i, NEW_W]
        work[i, OLD_H] = work[i, NEW_H]


def record_hour(hour, temperature, x, watched, history, since, field_every, field_t, field_x):
    """Write the hour's end state at the watched nodes and, where due, of the whole wall."""
    for k in range(watched.shape[0]):
        history[hour, k, 0] = temperature[watched[k]]
        history[hour, k, 1] = x[watched[k]]
    if (since + hour + 1) % field_every == 0:
        row = (since + hour + 1) // field_every - since // field_every - 1
        for i in range(temperature.shape[0]):
            field_t[row, i] = temperature[i]
            field_x[row, i] = x[i]
