"""What beams, screws and frames are made of: how stiff, how heavy."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Material:
    """A material's figures at room temperature: E in N/mm², ν, and kg for each cubic metre."""

    id: str
    title: str
    modulus_n_per_mm2: float
    poisson: float
    density_kg_per_m3: float

    @property
    def shear_modulus_n_per_mm2(self) -> float:
        """G = E / (2 (1 + ν)), for a material alike in all directions."""
        return self.modulus_n_per_mm2 / (2 * (1 + self.poisson))


MATERIALS = {
    material.id: material
    for material in (
        Material("steel", "Steel", 206_000.0, 0.30, 7850.0),
        Material("stainless", "Stainless steel", 193_000.0, 0.30, 7900.0),
        Material("aluminium", "Aluminium", 70_000.0, 0.33, 2700.0),
        Material("brass", "Brass", 100_000.0, 0.34, 8500.0),
        Material("printed", "Printed plastic", 2_000.0, 0.38, 1250.0),
    )
}
"""General handbooks. A printed part is a guess: fill, direction and warmth change it by half."""
