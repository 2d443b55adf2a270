"""Columns of the flat arrays that the kernels share."""

# Workspace, one row a node: solution of the elimination (y), of the error (z), upper factors, stage and
# step contents.
Y_T, Y_X, Z_T, Z_X, U_TT, U_TX, U_XT, U_XX = range(8)
BASE_W, BASE_H, STAGE_W, STAGE_H, TRIAL_W, TRIAL_H, OLD_W, OLD_H, OLD_T, OLD_X, SLOPE_PHI, SLOPE_W, H_T = (
    range(8, 21)
)
WORK_COLUMNS = 21

# Edge record, one row a side: flow across the outermost face with its slopes over (T_0, x_0, T_1, x_1); at
# the surface, rain taken up with its slope over x and sensible heat with its slope over T.
E_WATER, E_HEAT, E_RAIN, E_RAIN_X, E_SENSIBLE, E_SENSIBLE_T = 0, 5, 10, 11, 12, 13
EDGE_COLUMNS = 14

# Boundary record, one row an hour.
B_TEMPERATURE, B_HEAT, B_PRESSURE, B_VAPOUR, B_RAIN, B_AIR, B_FIXED_X = range(7)
BOUNDARY_COLUMNS = 7

# Flux record, one row an hour: sums over the hour per m2, positive into the wall.
F_HEAT_EXT, F_WATER_EXT, F_RAIN_EXT, F_SENSIBLE_EXT, F_HEAT_INT, F_WATER_INT, F_RAIN_INT, F_SENSIBLE_INT = (
    range(8)
)
FLUX_COLUMNS = 8

# Table of what depends on temperature alone, linear between nodes 1/50 K apart: saturation pressure,
# inverse of the vapour permeability of air, ratio of the viscosity of water at 20 degC to the local one;
# value and slope of each.
AIR_LOW = 200.0
AIR_HIGH = 400.0
AIR_STEPS = 50

# Settings.
S_TOLERANCE_PHI, S_TOLERANCE_T, S_TOLERANCE_W, S_NEWTON, S_SHORTEST, S_LONGEST = range(6)
S_STAGES, S_MOST_STEPS, S_END = 6, 7, 8
SETTINGS = 9

# Counters.
C_STEPS, C_REJECTED, C_FAILED, C_SWEEPS, C_WORST_NODE, C_HOUR = range(6)
COUNTERS = 6

# Controller state, kept between calls.
K_STEP, K_WORST, K_CURVATURE, K_STRIDE, K_TURN = range(5)
CONTROL = 5

# Status.
DONE, STEP_TOO_SHORT, TOO_MANY_STEPS = range(3)
