"""Pure functions of numbers or arrays, SI units. No I/O.

Functions written without branches take scalars and arrays alike, and the solver compiles the same source.
"""
