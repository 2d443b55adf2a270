"""Where the probes of a case lie in one of its variants."""

from __future__ import annotations

from hygro.case.case import Case
from hygro.case.variants import Variant
from hygro.model.wall import Probe


def probes_of(case: Case, variant: Variant) -> tuple[Probe, ...]:
    """Place the probes.

    Parameters
    ----------
    case : Case
        Its probes are measured on the old wall as it stands.
    variant : Variant
        May lack some layers of the old wall.

    Returns
    -------
    tuple of Probe
        Depths from the external surface of the variant [m].
    """
    kept = {layer.path[2] for layer in variant.layers if layer.part == "wall"}
    thicknesses = [float(layer.thickness_mm or 0.0) for layer in case.spec.wall.layer]  # type: ignore[arg-type]
    total = sum(thicknesses)
    probes = []
    for probe in case.spec.probe:
        depth = probe.depth_mm if probe.measured_from == "outside" else total - probe.depth_mm
        gone, face = 0.0, 0.0
        for index, thickness in enumerate(thicknesses):
            if index not in kept and face + thickness <= depth:
                gone += thickness
            face += thickness
        probes.append(Probe(probe.name, (depth - gone) / 1000.0, probe.timber))
    return tuple(probes)
