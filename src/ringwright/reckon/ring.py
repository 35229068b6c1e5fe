"""RING of the contract: the part of a request that says which ring it is."""

from __future__ import annotations

from math import pi
from typing import Literal, Self

from pydantic import Field, model_validator

from ringwright.reckon.base import Degrees, Millimetres, Record


class Ring(Record):
    """A toothed ring; exactly one of the three pitches, in the normal section where the ring is helical."""

    kind: Literal["external", "internal"]
    teeth: int = Field(ge=5, le=1000)
    module_mm: Millimetres | None = Field(None, gt=0, ge=0.1, le=100)
    diametral_pitch: float | None = Field(None, gt=0, ge=0.254, le=254)
    circular_pitch_mm: Millimetres | None = Field(None, gt=0, ge=0.314, le=314)
    pressure_angle_deg: Degrees = Field(20.0, ge=10, le=35)
    helix_angle_deg: Degrees = Field(0.0, ge=0, le=45)
    hand: Literal["right", "left"] | None = None
    profile_shift: float = Field(0.0, ge=-2, le=2)
    addendum_coef: float = Field(1.0, gt=0, le=2)
    dedendum_coef: float = Field(1.25, gt=0, le=2.5)
    root_radius_coef: float = Field(0.38, ge=0, le=0.6)
    face_width_mm: Millimetres | None = Field(None, gt=0, le=5000)
    thickness_allowance_mm: Millimetres = Field(0.0, ge=0, le=50)
    tip_diameter_mm: Millimetres | None = Field(None, gt=0, le=100_000)
    root_diameter_mm: Millimetres | None = Field(None, gt=0, le=100_000)

    @model_validator(mode="after")
    def _one_pitch(self) -> Self:
        if sum(p is not None for p in (self.module_mm, self.diametral_pitch, self.circular_pitch_mm)) != 1:
            raise ValueError("one_pitch")
        if self.helix_angle_deg != 0 and self.hand is None:
            raise ValueError("hand_needed")
        return self

    @property
    def m_n(self) -> float:
        """Normal module [mm], from whichever pitch was given."""
        if self.module_mm is not None:
            return self.module_mm
        if self.diametral_pitch is not None:
            return 25.4 / self.diametral_pitch
        assert self.circular_pitch_mm is not None  # _one_pitch holds
        return self.circular_pitch_mm / pi
