"""What a material is: scalars, four curves, and where each of them comes from."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from hygro.constants import REFERENCE_TEMPERATURE, WATER_DENSITY
from hygro.errors import MaterialError
from hygro.materials.checks import check_plausible
from hygro.materials.grade import Grade, grade_of
from hygro.materials.heat import ConductivityPoints, HeatCurve, HeatFunction, LinearConductivity
from hygro.materials.liquid import ConductivityFunction, ConductivityTable, LiquidCurve, NoLiquid
from hygro.materials.measured import MeasuredPoints
from hygro.materials.sources import End, MouldDecline, MouldSensitivity, Source
from hygro.materials.storage import StorageCurve, StorageFunction
from hygro.materials.tables import CurveTable
from hygro.materials.tabulate import build_table
from hygro.materials.vapour import ResistanceFunction, ResistanceTable, VapourCurve
from hygro.physics import moist_air
from hygro.physics.typing import FloatArray, FloatOrArray

Points = tuple[Sequence[float], Sequence[float]]
"""A curve as two lists."""

UNSOURCED = "handed over in Python without a source"


@dataclass(frozen=True, eq=False)
class Material:
    """A homogeneous material.

    Parameters
    ----------
    name, title, category, description : str
        Name in case files, name for people, shelf in the library, remarks.
    density : float
        Dry bulk density [kg/m3].
    specific_heat : float
        Of the dry material [J/(kg K)].
    conductivity_dry : float
        Thermal conductivity when dry [W/(m K)].
    porosity : float
        Open porosity [1].
    saturation : float
        w_sat, all open pores full [kg/m3].
    free_saturation : float
        w_f, reached by suction from a free water surface [kg/m3].
    absorption_coefficient : float or None
        A_w [kg/(m2 s^0.5)]; None where unknown or meaningless.
    storage, liquid, vapour, heat : curves
        See the modules of the same names.
    mould_sensitivity, mould_decline : str
        Classes of Ojanen et al. 2010.
    timber : bool
        Whether it is wood or a wood-based board, so that timber limits apply.
    sources : tuple of Source
        One per value and curve.
    group : str
        Shelf of the library; empty outside it.
    content : str
        The file's content in canonical form; empty for materials made in Python.
    """

    name: str
    title: str
    category: str
    density: float
    specific_heat: float
    conductivity_dry: float
    porosity: float
    saturation: float
    free_saturation: float
    absorption_coefficient: float | None
    storage: StorageCurve
    liquid: LiquidCurve
    vapour: VapourCurve
    heat: HeatCurve
    mould_sensitivity: MouldSensitivity = "very sensitive"
    mould_decline: MouldDecline = "almost none"
    timber: bool = False
    description: str = ""
    sources: tuple[Source, ...] = ()
    group: str = ""
    content: str = field(default="", repr=False)

    def __post_init__(self) -> None:
        check_plausible(self)

    def water_content(
        self, relative_humidity: FloatOrArray, temperature: float = REFERENCE_TEMPERATURE
    ) -> FloatOrArray:
        """Water content in equilibrium with a relative humidity.

        Parameters
        ----------
        relative_humidity : float or array
            Above 0, at most 1 [1].
        temperature : float
            [K]; storage is a function of suction, so the curve over humidity shifts with temperature.

        Returns
        -------
        float or array
            [kg/m3].

        Raises
        ------
        MaterialError
            If the humidity is not above 0 and at most 1.
        """
        humidity = np.asarray(relative_humidity, dtype=float)
        if not np.all((humidity > 0.0) & (humidity <= 1.0)):
            raise MaterialError(
                "water content was asked for at an impossible relative humidity",
                where=self.name,
                found=relative_humidity,
                expected="above 0 and at most 1",
            )
        suction = moist_air.suction(humidity, np.array(temperature))
        water = np.minimum(self.storage.water_content(np.maximum(suction, 0.1)), self.free_saturation)
        return water if np.ndim(relative_humidity) else float(water)  # type: ignore[return-value]

    def table(self) -> CurveTable:
        """Curves on the solver's nodes; built once and kept.

        Raises
        ------
        MaterialError
            If a curve cannot be tabulated.
        """
        return self._table

    @cached_property
    def _table(self) -> CurveTable:
        return build_table(self)

    def digest(self) -> str:
        """Fingerprint of the content: sha256 of the file's values, or of scalars and tabulated curves."""
        if self.content:
            return hashlib.sha256(self.content.encode()).hexdigest()
        table = self.table()
        arrays = (table.water_content, table.flux_potential, table.resistance_factor, table.conductivity)
        # Twelve digits: the last bits of exp and log differ between machines.
        content = {
            "name": self.name,
            "scalars": [
                self.density,
                self.specific_heat,
                self.porosity,
                self.saturation,
                self.free_saturation,
            ],
            "mould": [self.mould_sensitivity, self.mould_decline, self.timber],
            "curves": [[f"{value:.12g}" for value in values] for values in arrays],
        }
        return hashlib.sha256(json.dumps(content, sort_keys=True).encode()).hexdigest()

    def source(self, key: str) -> Source:
        """Origin of one value or curve.

        Raises
        ------
        KeyError
            If the material states no such value.
        """
        for source in self.sources:
            if source.key == key:
                return source
        raise KeyError(key)

    @property
    def grade(self) -> Grade:
        """How well the material is known, by the rule of `hygro.materials.grade`."""
        return grade_of(self.sources)

    def with_value(self, key: str, end: End | float) -> Material:
        """Return the material with one value at an end of its spread, for studies of sensitivity.

        Parameters
        ----------
        key : str
            A scalar of the file ("absorption_coefficient"), "vapour" or "storage".
        end : {"low", "high"} or float
            End of the stated spread, or a number within it: in the unit of the scalar, mu at 50 % humidity
            for the vapour curve, kg/m3 at 80 % for the storage curve.

        Returns
        -------
        Material
            Under a name that says what was changed, with a digest of its own. What the file ties to the
            value follows, see `hygro.materials.varied`.

        Raises
        ------
        MaterialError
            If the value has no spread, the number lies outside it, the material was made in Python, or the
            changed value contradicts the others.
        """
        from hygro.materials.varied import varied_material  # needs the parser, which needs this module

        return varied_material(self, key, end)

    @classmethod
    def from_curves(
        cls,
        *,
        name: str,
        density: float,
        specific_heat: float,
        conductivity_dry: float,
        porosity: float,
        free_saturation: float,
        storage: StorageCurve | Points | Callable[[FloatArray], FloatArray],
        liquid: LiquidCurve | Points | Callable[[FloatArray], FloatArray] | None = None,
        vapour: VapourCurve | Points | Callable[[FloatArray], FloatArray] | float = 1.0,
        heat: HeatCurve | Points | Callable[[FloatArray], FloatArray] | float = 0.0,
        saturation: float | None = None,
        absorption_coefficient: float | None = None,
        title: str = "",
        category: str = "made in Python",
        sources: Sequence[Source] = (),
        mould_sensitivity: MouldSensitivity = "very sensitive",
        mould_decline: MouldDecline = "almost none",
        timber: bool = False,
        description: str = "",
    ) -> Material:
        """Make a material from arrays or functions.

        Parameters
        ----------
        name, density, specific_heat, conductivity_dry, porosity, free_saturation
            As in the class.
        storage : curve, (relative humidity, water content) or callable
            A callable takes suction [Pa] and returns water content [kg/m3].
        liquid : curve, (suction, K), callable or None
            A callable takes suction [Pa] and returns K [kg/(m s Pa)]; None where no liquid moves.
        vapour : curve, (relative humidity, mu), callable or float
            A callable takes relative humidity [1] and returns mu [1].
        heat : curve, (water content, conductivity), callable or float
            A callable takes water content [kg/m3] and returns W/(m K); a float is the growth per kg/m3.
        saturation : float, optional
            [kg/m3]; 1000 times porosity if not given.
        absorption_coefficient : float, optional
            For information [kg/(m2 s^0.5)]; use `AbsorptionDiffusivity` as `liquid` to let it act.
        title, category, description : str
            For people.
        sources : sequence of Source, optional
            Origins; values without one are marked as handed over in Python.
        mould_sensitivity, mould_decline : str
            Classes of Ojanen et al. 2010; the careful ends if not given.
        timber : bool
            Whether timber limits apply.

        Returns
        -------
        Material

        Raises
        ------
        MaterialError
            If a curve or a value contradicts itself.
        """
        return cls(
            name=name,
            title=title or name,
            category=category,
            density=density,
            specific_heat=specific_heat,
            conductivity_dry=conductivity_dry,
            porosity=porosity,
            saturation=WATER_DENSITY * porosity if saturation is None else saturation,
            free_saturation=free_saturation,
            absorption_coefficient=absorption_coefficient,
            storage=_storage(storage, free_saturation),
            liquid=_liquid(liquid),
            vapour=_vapour(vapour),
            heat=_heat(heat, conductivity_dry),
            sources=tuple(sources) or (Source("all values", "", UNSOURCED, "memory"),),
            mould_sensitivity=mould_sensitivity,
            mould_decline=mould_decline,
            timber=timber,
            description=description,
        )


def _storage(
    given: StorageCurve | Points | Callable[[FloatArray], FloatArray], free_saturation: float
) -> StorageCurve:
    if isinstance(given, tuple | list):
        return MeasuredPoints.from_humidity(given[0], given[1], free_saturation)
    if hasattr(given, "water_content"):
        return given
    return StorageFunction(given)


def _liquid(given: LiquidCurve | Points | Callable[[FloatArray], FloatArray] | None) -> LiquidCurve:
    if given is None:
        return NoLiquid()
    if isinstance(given, LiquidCurve):
        return given
    if isinstance(given, tuple | list):
        return ConductivityTable(_floats(given[0]), _floats(given[1]))
    return ConductivityFunction(given)


def _vapour(given: VapourCurve | Points | Callable[[FloatArray], FloatArray] | float) -> VapourCurve:
    if isinstance(given, tuple | list):
        return ResistanceTable(_floats(given[0]), _floats(given[1]))
    if hasattr(given, "resistance_factor"):
        return given
    if callable(given):
        return ResistanceFunction(given)
    return ResistanceTable((0.0,), (float(given),))


def _heat(given: HeatCurve | Points | Callable[[FloatArray], FloatArray] | float, dry: float) -> HeatCurve:
    if isinstance(given, tuple | list):
        return ConductivityPoints(_floats(given[0]), _floats(given[1]))
    if hasattr(given, "conductivity"):
        return given
    if callable(given):
        return HeatFunction(given)
    return LinearConductivity(dry, float(given))


def _floats(values: Sequence[float]) -> tuple[float, ...]:
    return tuple(float(value) for value in values)
