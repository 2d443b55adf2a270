"""Physical constants, each typed once, with its unit and source."""

from typing import Final

ZERO_CELSIUS: Final = 273.15
"""0 degC on the kelvin scale [K]; definition of the Celsius scale."""

GAS_CONSTANT_VAPOUR: Final = 461.5
"""Specific gas constant of water vapour [J/(kg K)]; value used with EN 15026:2007 Annex A."""

WATER_DENSITY: Final = 1000.0
"""Density of liquid water [kg/m3]; value used with EN 15026:2007 Annex A, taken as constant."""

WATER_HEAT_CAPACITY: Final = 4187.0
"""Specific heat capacity of liquid water [J/(kg K)]; value used with EN 15026:2007 Annex A."""

EVAPORATION_ENTHALPY: Final = 2.5e6
"""Specific enthalpy of evaporation [J/kg]; value used with EN 15026:2007 Annex A, taken as constant."""

FUSION_ENTHALPY: Final = 333.6e3
"""Specific enthalpy of fusion of ice at 0 degC [J/kg]; CRC Handbook, from memory, unconfirmed; taken as
constant."""

STEFAN_BOLTZMANN: Final = 5.670374e-8
"""Stefan-Boltzmann constant [W/(m2 K4)]; CODATA 2018, from memory."""

STANDARD_PRESSURE: Final = 101325.0
"""Standard atmospheric pressure [Pa]; ISO 2533, from memory."""

GRAVITY: Final = 9.80665
"""Standard gravity [m/s2]; CGPM 1901, from memory."""

REFERENCE_TEMPERATURE: Final = 293.15
"""Temperature at which material curves are stated [K]; 20 degC, the usual test climate of ISO 12571."""

INTERNAL_RESISTANCE: Final = 0.13
"""Internal surface resistance of a wall, horizontal heat flow [m2 K/W]; ISO 6946."""

EXTERNAL_RESISTANCE: Final = 0.04
"""External surface resistance [m2 K/W]; ISO 6946."""

SECONDS_PER_HOUR: Final = 3600.0
"""[s]"""

HOURS_PER_YEAR: Final = 8760
"""Hours of a year without 29 February."""

JOULES_PER_KWH: Final = 3.6e6
"""[J/kWh]"""
