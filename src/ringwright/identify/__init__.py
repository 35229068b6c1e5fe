"""From readings of a worn ring to ranked rings, and the reading to take next."""

from ringwright.identify.hypotheses import SYSTEMS, Prior
from ringwright.identify.next_reading import Next, default_uncertainty, next_reading
from ringwright.identify.ranking import Candidate, Named, Ranked, Residual, identify
from ringwright.identify.readings import FLANK, TIP, WHATS, Reading, What

__all__ = [
    "FLANK",
    "SYSTEMS",
    "TIP",
    "WHATS",
    "Candidate",
    "Named",
    "Next",
    "Prior",
    "Ranked",
    "Reading",
    "Residual",
    "What",
    "default_uncertainty",
    "identify",
    "next_reading",
]
