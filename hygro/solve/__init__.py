"""The solver: kernels, their compilation, the march. Knows no xarray, no case file, no command line."""
