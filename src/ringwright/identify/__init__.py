"""From readings of a worn ring to ranked rings, and the reading to take next."""

from ringwright.identify.counting import Segments
from ringwright.identify.hypotheses import SYSTEMS, Prior, system_weights
from ringwright.identify.mate import Mate
from ringwright.identify.next_reading import Next, default_uncertainty, next_reading
from ringwright.identify.origin import Origin, factors
from ringwright.identify.parting import Parting, parting
from ringwright.identify.ranking import Candidate, Named, Ranked, Residual, identify
from ringwright.identify.readings import FLANK, TIP, WHATS, Reading, What, check
from ringwright.identify.tried import Tried, chance_smooth

__all__ = [
    "FLANK",
    "SYSTEMS",
    "TIP",
    "WHATS",
    "Candidate",
    "Mate",
    "Named",
    "Next",
    "Origin",
    "Parting",
    "Prior",
    "Ranked",
    "Reading",
    "Residual",
    "Segments",
    "Tried",
    "What",
    "chance_smooth",
    "check",
    "default_uncertainty",
    "factors",
    "identify",
    "next_reading",
    "parting",
    "system_weights",
]
