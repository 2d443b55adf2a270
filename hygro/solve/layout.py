"""Columns of the flat arrays that the kernels share."""

# Workspace, one row a node. Q: solution of the last solve, its sum over the solves of an iteration. D, L, U:
# inverse of the eliminated block, that times the block of the neighbour inside, times that of the neighbour
# outside. F: net flow into the node. R: content of the state less the content carried, over gamma dt. M:
# storage over gamma dt (water over x, heat over x, heat over T). G: what turns the last solution into the net
# flow at the end of the step. OLD, NEW: contents and state at the start of the step, contents at its end.
# MOVED: last change of x. DRIFT: how far the state has gone from that of the linear model. WEIGHT: change of
# relative humidity, or of water content as a share of free saturation if larger, over x. J: slopes of the
# flow across the inner face over the node and the one inside. SUM is kept up for surfaces, the cells next to
# them and nodes with a source.
Q_T, Q_X, SUM_T, SUM_X, L_TT, L_TX, L_XT, L_XX, D_TW, D_TH, D_XW, D_XH, U_TT, U_TX, U_XT, U_XX = range(16)
F_W, F_H, R_W, R_H, M_WX, M_HX, M_HT, G_W, G_H, WEIGHT = range(16, 26)
OLD_W, OLD_H, OLD_T, OLD_X, NEW_W, NEW_H, Z_T, Z_X, MOVED, DRIFT = range(26, 36)
J_WT, J_WX, J_WTI, J_WXI, J_HT, J_HX, J_HTI, J_HXI = range(36, 44)
WORK_COLUMNS = 48  # rows of whole cache lines

# Edge record, one row a side: flow across the outermost face with its slopes over (T_0, x_0, T_1, x_1); at
# the surface, rain taken up with its slope over x and sensible heat with its slope over T, and what remains
# of the surface's block after elimination, without the slopes of the climate; its block of the cell behind.
E_WATER, E_HEAT, E_RAIN, E_RAIN_X, E_SENSIBLE, E_SENSIBLE_T = 0, 5, 10, 11, 12, 13
E_BLOCK_WT, E_BLOCK_WX, E_BLOCK_HT, E_BLOCK_HX = 14, 15, 16, 17
E_BEHIND_WT, E_BEHIND_WX, E_BEHIND_HT, E_BEHIND_HX = 22, 23, 24, 25
# What is conducted across the outermost face and the conductance; the surface coefficients of the last sweep.
E_CONDUCTED, E_CONDUCTANCE, E_HEAT_COEFFICIENT, E_VAPOUR_COEFFICIENT = 18, 19, 20, 21
# Vapour pressure of the surface with its slopes over T and x; vapour that it has given off beyond what that
# was good for; by what share that pressure counts for more until this is made up for.
E_PRESSURE, E_PRESSURE_T, E_PRESSURE_X, E_OWED, E_BEYOND = 26, 27, 28, 29, 30
EDGE_COLUMNS = 31

# Boundary record, one row an hour.
B_TEMPERATURE, B_HEAT, B_PRESSURE, B_VAPOUR, B_RAIN, B_AIR, B_FIXED_X = range(7)
BOUNDARY_COLUMNS = 7

# Flux record, one row an hour: sums over the hour per m2, positive into the wall.
F_HEAT_EXT, F_WATER_EXT, F_RAIN_EXT, F_SENSIBLE_EXT, F_HEAT_INT, F_WATER_INT, F_RAIN_INT, F_SENSIBLE_INT = (
    range(8)
)
# What sources within the wall give.
F_HEAT_SOURCE, F_WATER_SOURCE = 8, 9
FLUX_COLUMNS = 10

# Source record, one row an hour and source, per m2 of wall: heat given (with that of the vapour given, but
# for its evaporation), conductance to air over temperature, vapour given, conductance over vapour pressure,
# liquid given. See `hygro.solve.sources`.
N_HEAT, N_HEAT_AIR, N_VAPOUR, N_VAPOUR_AIR, N_LIQUID = range(5)
SOURCE_COLUMNS = 5

# What a node gets from its source, one row such a node: water and heat with slopes over T and x; what the
# climate of a new hour adds to them; the source record of the last hour.
V_WATER, V_WT, V_WX, V_HEAT, V_HT, V_HX, V_MORE_W, V_MORE_H, V_RECORD = range(9)
GIVEN_COLUMNS = V_RECORD + SOURCE_COLUMNS

# Table of what depends on temperature alone, row after row, linear between nodes 1/50 K apart: saturation
# pressure, inverse of the vapour permeability of air, ratio of the viscosity of water at 20 degC to the local
# one, inverse of temperature; value and slope of each.
AIR_LOW = 200.0
AIR_HIGH = 400.0
AIR_STEPS = 50
AIR_COLUMNS = 8

# Table of exponentials, row after row: column 0, suction at the nodes of the moisture tables over rho_w R_v
# [K]; column 1, exp(-j / DECAY_STEPS).
DECAY_STEPS = 32
DECAY_END = 46

# Weights of a method, one row a solve, the first solve of an iteration in the last row: of the net flow over
# gamma, of the mismatch of contents; row 0 also holds gamma.
METHOD_FLOW, METHOD_MISMATCH, METHOD_GAMMA = range(3)

# Settings: tolerances of relative humidity (and of water content as a share of free saturation) and of
# temperature; what the next iteration may change, in tolerances, and the same where balances are taken; the
# change that an iteration and the drift that a guess may make; bounds of a step [s]; most steps an hour;
# factor on the error estimate; hour with which the run ends; hours between two balances; longest first step
# of an hour of rain and of the one after; share of the rain that a step may take up beyond what falls; hours
# between two linear models that are new in the whole wall.
S_TOLERANCE, S_TOLERANCE_T, S_NEWTON, S_STRICT, S_LEAP, S_GUESS, S_SHORTEST, S_LONGEST = range(8)
S_MOST_STEPS, S_ERROR, S_END, S_STRICT_EVERY, S_RAIN, S_EXCESS, S_FRESH_EVERY = range(8, 15)
SETTINGS = 15

# Counters.
C_STEPS, C_REJECTED, C_FAILED, C_SWEEPS, C_GUESSED, C_WORST_NODE, C_HOUR = range(7)
COUNTERS = 7

# Controller state, kept between calls: among it the length of the last step (0 where its factors are of no
# use), iterations that it took, whether the last update had to hold back a node.
K_STEP, K_WORST, K_CHANGE, K_CURVATURE, K_LAST, K_DRIFT, K_RAINED, K_GONE, K_TOOK, K_HALTED = range(10)
CONTROL = 10

# Status.
DONE, STEP_TOO_SHORT, TOO_MANY_STEPS = range(3)
