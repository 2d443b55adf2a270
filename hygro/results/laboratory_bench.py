"""The bench of the simulated laboratory: one specimen between two climates, marched by the solver."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from hygro.constants import REFERENCE_TEMPERATURE
from hygro.errors import SolverError
from hygro.grid.cells import Grid, build_grid
from hygro.materials import Material
from hygro.materials.liquid import NoLiquid
from hygro.materials.storage import suction_at_reference
from hygro.materials.vapour import ResistanceTable
from hygro.model.wall import Boundary, Layer, WallModel
from hygro.physics import moist_air
from hygro.physics.typing import FloatArray
from hygro.solve import layout
from hygro.solve.balance import water_at
from hygro.solve.march import march
from hygro.solve.settings import ACCURACIES, Solution, Span

VAPOUR_SHUT = 1.0e9
"""Resistance factor of a specimen sealed to vapour [1]."""


@dataclass(frozen=True)
class LabResult:
    """What one simulated test shows.

    Parameters
    ----------
    test : str
        Name of the test.
    quantity : str
        What is read from it.
    unit : str
        Of `stated` and `simulated`.
    stated : float or None
        What the material file states, or what follows from it without the solver; None where nothing does.
    simulated : float or None
        What the test gives; None where it cannot be done.
    difference : float or None
        Simulated over stated less 1 [1].
    note : str
        Conditions, or why there is no number.
    allowed : float or None
        Greatest difference that counts as agreement [1]; None where the number is for information.
    """

    test: str
    quantity: str
    unit: str
    stated: float | None
    simulated: float | None
    difference: float | None
    note: str
    allowed: float | None = None

    @classmethod
    def of(
        cls,
        test: str,
        quantity: str,
        unit: str,
        simulated: float | None,
        *,
        stated: float | None = None,
        note: str = "",
        allowed: float | None = None,
    ) -> LabResult:
        """Make a result; the difference follows.

        Parameters
        ----------
        test, quantity, unit, simulated, stated, note, allowed
            As in the class.
        """
        difference = None
        if stated is not None and simulated is not None and stated != 0.0:
            difference = simulated / stated - 1.0
        return cls(test, quantity, unit, stated, simulated, difference, note, allowed)

    @property
    def agrees(self) -> bool:
        """Whether the difference is allowed; true where the number is for information."""
        if self.allowed is None or self.stated is None:
            return True
        return self.simulated is not None and abs(self.simulated - self.stated) <= self.allowed * abs(
            self.stated
        )


@dataclass(frozen=True)
class Course:
    """Course of a test.

    Parameters
    ----------
    solution : Solution
        What the solver left.
    grid : Grid
        Its grid.
    entered : array, shape (hours, 2)
        Water that entered through either face in each hour [kg/m2].
    heat : array, shape (hours, 2)
        Heat that entered without that carried by vapour [J/m2].
    water : array, shape (snapshots,)
        Mean water content of the specimen [kg/m3]; the first is the start.
    """

    solution: Solution
    grid: Grid
    entered: FloatArray
    heat: FloatArray
    water: FloatArray


def specimen(
    material: Material,
    thickness: float,
    *,
    humidity: float | None = None,
    suction: float = 1.0,
    temperature: float = REFERENCE_TEMPERATURE,
) -> Layer:
    """Cut a specimen in a uniform state.

    Parameters
    ----------
    material : Material
        Of what.
    thickness : float
        [m].
    humidity : float, optional
        Relative humidity at the start [1].
    suction : float
        Suction at the start where no humidity is given [Pa]; 1 Pa is free saturation.
    temperature : float
        [K].
    """
    if humidity is not None:
        suction = float(moist_air.suction(humidity, temperature))
    return Layer(material.name, material.table(), thickness, temperature, suction)


def run(
    layer: Layer, outside: Boundary, inside: Boundary, hours: int, *, scale: float = 0.5, every: int = 24
) -> Course:
    """March a specimen; boundaries shorter than the test repeat.

    Parameters
    ----------
    layer : Layer
        The specimen.
    outside, inside : Boundary
        Climate of its two faces, of equal length.
    hours : int
        Length of the test.
    scale : float
        Factor on the default cell sizes.
    every : int
        Hours between two snapshots.

    Raises
    ------
    SolverError
        If the march does not reach the end.
    """
    model = WallModel((layer,), (), outside, inside, np.datetime64("2001-01-01T00"))
    grid = build_grid(model, scale)
    settings = replace(ACCURACIES["standard"], field_every=every)
    # Only the two surface nodes are watched hour by hour: tests may last for years.
    watched = np.array([0, grid.nodes - 1])
    solution = march(model, grid, Span((0, hours), len(outside.temperature)), settings, watched)
    if solution.failure:
        raise SolverError("a laboratory test could not go on", where=layer.name, found=solution.failure)
    water = water_at(grid, solution.field_log_suction) @ grid.size / layer.thickness
    return Course(
        solution=solution,
        grid=grid,
        entered=solution.flows[:, [layout.F_WATER_EXT, layout.F_WATER_INT]],
        heat=solution.flows[:, [layout.F_SENSIBLE_EXT, layout.F_SENSIBLE_INT]],
        water=water,
    )


def sealed(material: Material) -> Material:
    """Shut vapour out; liquid and storage stay."""
    return replace(material, vapour=ResistanceTable((0.0,), (VAPOUR_SHUT,)), content="")


def without_liquid(material: Material) -> Material:
    """Keep liquid from moving; vapour and storage stay."""
    return replace(material, liquid=NoLiquid(), content="")


def moves_liquid(material: Material) -> bool:
    """Tell whether any liquid moves at free saturation."""
    return material.table().moves_liquid


def hours_to_settle(material: Material, thickness: float, humidity: tuple[float, float]) -> int:
    """Estimate how long vapour alone takes to come to rest in a specimen with two open faces.

    Parameters
    ----------
    material : Material
        Of what.
    thickness : float
        [m].
    humidity : (float, float)
        Span of relative humidity passed through [1].

    Returns
    -------
    int
        Ten times thickness squared over pi squared times the least diffusivity, at least 48: what is left of
        a disturbance then is exp(-10).
    """
    phi = np.linspace(max(humidity[0], 0.01), humidity[1], 60)
    water = material.storage.water_content(suction_at_reference(phi))
    resistance = material.vapour.resistance_factor(phi, water)
    air = 2.0e-10 * float(moist_air.saturation_pressure(REFERENCE_TEMPERATURE))
    slope = np.maximum(np.gradient(water, phi), 1e-3)
    diffusivity = float((air / resistance / slope).min())
    return max(int(10.0 * thickness**2 / (np.pi**2 * diffusivity) / 3600.0) + 1, 48)
