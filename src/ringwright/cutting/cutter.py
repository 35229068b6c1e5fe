"""Cutters as solids of revolution about their own axis."""

from __future__ import annotations

from dataclasses import dataclass

from ringwright.errors import Refusal, require


@dataclass(frozen=True, slots=True)
class EndMill:
    """End mill: a cylinder of radius ``R`` [mm] closed below by a disc, its corner rounded by ``c`` [mm].

    ``c`` = 0 is a flat cutter, ``c`` = ``R`` a ball. Upward it has no end: neither flute length nor holder is judged.
    """

    R: float
    c: float = 0.0

    def __post_init__(self) -> None:
        require("D", 2 * self.R, 0.1, 500)
        if not 0 <= self.c <= self.R:
            raise Refusal("corner_radius_too_great", "r_c", self.c, 0, self.R)

    @property
    def is_ball(self) -> bool:
        """Whether nothing of the flat end is left."""
        return self.R - self.c < 1e-9
