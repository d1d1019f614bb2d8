"""How beams are held and loaded, and how far they then sag: a table of closed forms."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Case:
    """How a beam is held and loaded, and polynomials of a = (place of the force) / L.

        sag = f(a) F L³ / (E I)    slope = g(a) F L² / (E I)    sag by shear = s(a) F L / (κ G A)

    F is the whole load where it is spread. Each is its coefficients, lowest power first. `far` is
    how far the place may be, in L; None where the force has its place.
    """

    id: str
    title: str
    equation: str
    sag: tuple[float, ...]
    slope: tuple[float, ...]
    shear: tuple[float, ...]
    far: float | None = None


CASES = {
    case.id: case
    for case in (
        Case(
            "cantilever",
            "held at one end, force at the other",
            "F L³ / (3 E I)",
            sag=(1 / 3,),
            slope=(1 / 2,),
            shear=(1,),
        ),
        Case(
            "cantilever-spread",
            "held at one end, load spread evenly",
            "F L³ / (8 E I)",
            sag=(1 / 8,),
            slope=(1 / 6,),
            shear=(1 / 2,),
        ),
        Case(
            "cantilever-at",
            "held at one end, force at a, sag at the free end",
            "a² (3 - a) / 6 · F L³ / (E I)",
            sag=(0, 0, 1 / 2, -1 / 6),
            slope=(0, 0, 1 / 2),
            shear=(0, 1),
            far=1,
        ),
        Case(
            "guided",
            "held at one end, the other end slides but does not turn, force there",
            "F L³ / (12 E I)",
            sag=(1 / 12,),
            slope=(0,),
            shear=(1,),
        ),
        Case(
            "guided-spread",
            "held at one end, the other end slides but does not turn, load spread evenly",
            "F L³ / (24 E I)",
            sag=(1 / 24,),
            slope=(0,),
            shear=(1 / 2,),
        ),
        Case(
            "supported",
            "resting on both ends, force in the middle",
            "F L³ / (48 E I)",
            sag=(1 / 48,),
            slope=(1 / 16,),
            shear=(1 / 4,),
        ),
        Case(
            "supported-at",
            "resting on both ends, force at a, sag under it",
            "a² (1 - a)² / 3 · F L³ / (E I)",
            sag=(0, 0, 1 / 3, -2 / 3, 1 / 3),
            slope=(0, 1 / 3, -1 / 2, 1 / 6),
            shear=(0, 1, -1),
            far=1,
        ),
        Case(
            "supported-spread",
            "resting on both ends, load spread evenly",
            "5 F L³ / (384 E I)",
            sag=(5 / 384,),
            slope=(1 / 24,),
            shear=(1 / 8,),
        ),
        Case(
            "clamped",
            "held at both ends, force in the middle",
            "F L³ / (192 E I)",
            sag=(1 / 192,),
            slope=(0,),
            shear=(1 / 4,),
        ),
        Case(
            "clamped-spread",
            "held at both ends, load spread evenly",
            "F L³ / (384 E I)",
            sag=(1 / 384,),
            slope=(0,),
            shear=(1 / 8,),
        ),
        Case(
            "propped",
            "held at one end, resting on the other, force in the middle, sag there",
            "7 F L³ / (768 E I)",
            sag=(7 / 768,),
            slope=(1 / 32,),
            shear=(1 / 4,),
        ),
        Case(
            "overhang",
            "resting on two supports L apart, force at a beyond one, sag under it",
            "a² (1 + a) / 3 · F L³ / (E I)",
            sag=(0, 0, 1 / 3, 1 / 3),
            slope=(0, 1 / 3, 1 / 2),
            shear=(0, 1, 1),
            far=10,
        ),
    )
}
"""Roark's Formulas for Stress and Strain, table 8.1, bending; shear by the work of the forces."""
