"""CVODE without Python in the loop: the SUNDIALS libraries of scikit-sundae, called from compiled code.

scikit-sundae calls back into Python for every right-hand side. To give CVODE its full speed, the shared
libraries in its wheel are called here directly: right-hand side and the loop over the hours are compiled.
"""

import ctypes
from functools import cache
from pathlib import Path

import numba
import numpy as np
import sksundae
from numba import carray, cfunc, types
from numba.extending import intrinsic
from witness_scheme import COLUMNS, INSIDE, LENGTH, OUTSIDE, rates

BDF, NORMAL = 2, 1
BAND = 3  # two unknowns a cell, neighbours only


def _library(name):
    folder = Path(sksundae.__file__).parents[1] / "scikit_sundae.libs"
    found = sorted(folder.glob(f"libsundials_{name}-*.so*"))
    if not found:
        raise SystemExit(f"no SUNDIALS library {name} in {folder}: install scikit-sundae from its wheel")
    return ctypes.CDLL(str(found[0]))


def _function(library, name, result, *arguments):
    function = getattr(library, name)
    function.restype, function.argtypes = result, list(arguments)
    return function


VOID, INT, LONG, DOUBLE = ctypes.c_void_p, ctypes.c_int, ctypes.c_long, ctypes.c_double
_core, _vector, _cvode = _library("core"), _library("nvecserial"), _library("cvode")
_matrix, _solver = _library("sunmatrixband"), _library("sunlinsolband")

context_create = _function(_core, "SUNContext_Create", INT, INT, ctypes.POINTER(VOID))
vector_make = _function(_vector, "N_VMake_Serial", VOID, INT, VOID, VOID)
vector_data = _function(_core, "N_VGetArrayPointer", VOID, VOID)
band_matrix = _function(_matrix, "SUNBandMatrix", VOID, INT, INT, INT, VOID)
band_solver = _function(_solver, "SUNLinSol_Band", VOID, VOID, VOID, VOID)
cvode_create = _function(_cvode, "CVodeCreate", VOID, INT, VOID)
cvode_init = _function(_cvode, "CVodeInit", INT, VOID, VOID, DOUBLE, VOID)
cvode_again = _function(_cvode, "CVodeReInit", INT, VOID, DOUBLE, VOID)
cvode_tolerances = _function(_cvode, "CVodeSVtolerances", INT, VOID, DOUBLE, VOID)
cvode_data = _function(_cvode, "CVodeSetUserData", INT, VOID, VOID)
cvode_most_steps = _function(_cvode, "CVodeSetMaxNumSteps", INT, VOID, LONG)
cvode_solver = _function(_cvode, "CVodeSetLinearSolver", INT, VOID, VOID, VOID)
cvode_stop = _function(_cvode, "CVodeSetStopTime", INT, VOID, DOUBLE)
cvode_go = _function(_cvode, "CVode", INT, VOID, DOUBLE, VOID, VOID, INT)
cvode_steps = _function(_cvode, "CVodeGetNumSteps", INT, VOID, ctypes.POINTER(LONG))


@intrinsic
def pointer(typing_context, address):
    """Read an address as a pointer."""

    def generate(context, builder, signature, arguments):
        return builder.inttoptr(arguments[0], context.get_value_type(types.voidptr))

    return types.voidptr(address), generate


@cfunc(types.int32(types.double, types.voidptr, types.voidptr, types.voidptr), error_model="numpy")
def right_hand_side(time, state, slope, data):
    """Give CVODE the rates of a wall."""
    length = int(carray(data, (LENGTH + 1,), np.float64)[LENGTH])
    wall = carray(data, (length,), np.float64)
    n = 2 * int(wall[0])
    y = carray(pointer(vector_data(state)), (n,), np.float64)
    dy = carray(pointer(vector_data(slope)), (n,), np.float64)
    rates(wall, y, dy)
    for i in range(n):
        if not np.isfinite(dy[i]):
            return 1  # try a shorter step
    return 0


@numba.njit(error_model="numpy")
def hours_of_cvode(solver, vector, reached, wall, y, outside, inside, states):
    """March hour by hour, starting CVODE anew at each jump of the climate; return the hours done."""
    for hour in range(outside.shape[0]):
        for k in range(COLUMNS):
            wall[OUTSIDE + k] = outside[hour, k]
            wall[INSIDE + k] = inside[hour, k]
        if cvode_again(solver, 0.0, vector) != 0:
            return hour
        cvode_stop(solver, 3600.0)
        if cvode_go(solver, 3600.0, vector, reached.ctypes, NORMAL) < 0:
            return hour
        states[hour] = y
    return outside.shape[0]


@cache
def _context():
    context = VOID()
    context_create(0, ctypes.byref(context))
    return context


class Cvode:
    """CVODE, BDF of orders 1 to 5, banded Jacobian by differences, for one wall.

    Parameters
    ----------
    wall : array
        From `witness_scheme.pack`.
    y : array, shape (2 * cells,)
        Initial state.
    rtol : float
        Relative tolerance; the absolute one is 20 K times it for T and once it for log10 s.
    """

    def __init__(self, wall, y, rtol):
        self.wall, self.y = wall.copy(), y.copy()
        self.atol = np.tile([20.0 * rtol, rtol], len(y) // 2)
        context, n = _context(), len(y)
        self.vector = vector_make(n, self.y.ctypes.data, context)
        self.tolerance_vector = vector_make(n, self.atol.ctypes.data, context)
        self.solver = cvode_create(BDF, context)
        cvode_init(self.solver, right_hand_side.address, 0.0, self.vector)
        cvode_data(self.solver, self.wall.ctypes.data)
        # State enters the relative tolerance with T of 280 K and x of 5: the absolute part alone is used.
        cvode_tolerances(self.solver, 0.0, self.tolerance_vector)
        matrix = band_matrix(n, BAND, BAND, context)
        cvode_solver(self.solver, band_solver(self.vector, matrix, context), matrix)
        cvode_most_steps(self.solver, 100_000)

    def march(self, outside, inside):
        """Return the states at the end of each hour, shape (hours, 2 * cells)."""
        states = np.empty((len(outside), len(self.y)))
        done = hours_of_cvode(
            self.solver, self.vector, np.zeros(1), self.wall, self.y, outside, inside, states
        )
        if done < len(outside):
            raise RuntimeError(f"CVODE stopped in hour {done}")
        return states
