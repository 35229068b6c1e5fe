"""Published rows reckoned again by the functions that the product uses; texts in, a text or a number out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from fractions import Fraction
from itertools import pairwise
from math import degrees, floor, radians

from ringwright.dividing import accuracy, detent, detent_errors, devices, places, plate, settings
from ringwright.gears.ring import RingGeometry

Given = Mapping[str, str]


def _whole(given: Given, name: str, missing: int = 0) -> int:
    return int(given[name] or missing)


def _setting(move: settings.Move) -> str:
    return f"{move.turns}+{move.holes}/{move.circle}" if move.circle else str(move.turns)


def _move(x: Fraction, circle: str) -> str:
    if not circle:
        return str(x)
    C = int(circle)
    return _setting(settings.on_circle(x, C)) if settings.fits(x, C) else "not possible"


def plain(given: Given) -> str:
    """Turns and spaces of plain indexing, or "not possible" on this circle."""
    return _move(settings.crank_turns(Fraction(given["K"]), int(given["N"])), given["circle"])


def angular(given: Given) -> str:
    """Turns and spaces for an angle."""
    return _move(settings.for_angle(Fraction(given["K"]), Fraction(given["angle_arcmin"])), given["circle"])


def crank_turns(given: Given) -> float:
    """Crank turns for one division, as a decimal."""
    return float(settings.crank_turns(Fraction(given["K"]), int(given["N"])))


def _worm(given: Given) -> Fraction:
    second = None
    if given.get("second_circle"):
        second = (int(given["second_circle"]), _whole(given, "second_holes"))
    return settings.Move(_whole(given, "turns"), int(given["holes"]), int(given["circle"]), second).worm


def divides(given: Given) -> str:
    """What a setting divides, with both moves where there are two."""
    return str(settings.divides(Fraction(given["K"]), _worm(given)))


def compound_turns(given: Given) -> float:
    """Two fractions of a turn together, as a decimal."""
    return float(_worm({**given, "turns": "0"}))


def differential(given: Given) -> str:
    """What a setting divides with its train hung, the sense of the plate from the idlers."""
    studs = [int(given[n]) if given[n] else None for n in ("stud_to_spindle", "stud_to_worm")]
    sense = devices.sense_of(int(given["idlers"]), studs[0] is not None)
    train = devices.Train(int(given["spindle"]), int(given["worm"]), sense, studs[0], studs[1])
    if train.idlers != int(given["idlers"]):
        raise ValueError("not the idlers of the usual head")
    return str(settings.divides(Fraction(given["K"]), _worm({**given, "turns": "0"}), train.R))


def plate_turns(given: Given) -> str:
    """Turns the plate must make per turn of the spindle."""
    return str(settings.plate_turns(Fraction(given["K"]), int(given["N"]), _worm({**given, "turns": "0"})))


def coverage(given: Given) -> str:
    """Counts up to ``last`` in steps of ``step`` that none of the circles divides; "none" when all can be had."""
    K, step = Fraction(given["K"]), int(given["step"])
    circles = [int(c) for c in given["circles"].split()]
    counts = range(max(2, step), int(given["last"]) + 1, step)
    missing = [N for N in counts if not any(settings.fits(settings.crank_turns(K, N), c) for c in circles)]
    return " ".join(map(str, missing)) or "none"


def arc_um(given: Given) -> float:
    """Arc of an angle at a radius."""
    return accuracy.arc_um(Fraction(given["theta_arcsec"]) / devices.ARCSEC, float(given["r_mm"]))


def half_hole(given: Given) -> float:
    """Half a space at the spindle, in seconds of arc."""
    return accuracy.arcsec(accuracy.half_hole(Fraction(given["K"]), int(given["circle"])))


def closing(given: Given) -> float:
    """Closing error of equal moves, in seconds of arc."""
    step = _worm(given) / Fraction(given["K"])
    return accuracy.arcsec(accuracy.of_equal_moves(int(given["N"]), step, int(given["spaces"])).closing)


def dial(given: Given) -> str:
    """Turns, minutes and seconds on a handwheel for an angle."""
    K, step = Fraction(given["K"]), Fraction(given["vernier_arcsec"]) / devices.ARCSEC
    angle = Fraction(int(given["deg"])) + Fraction(int(given["min"]), 60) + Fraction(int(given["sec"]), 3600)
    total = accuracy.on_dial(angle / 360, K, step) * K
    turns = floor(total)
    minutes, rest = divmod((total - turns) / K * 21600, 1)
    return f"{turns} turns {minutes} min {rest * 60} s"


def count_mix(given: Given) -> str:
    """How many steps of how many counts go once round, the fewest counts first."""
    counts, N = Fraction(given["counts"]), int(given["N"])
    at = [place.spindle * counts for place in places.by_counts(N, Fraction(1), counts)]
    steps = Counter(int(b - a) for a, b in pairwise((*at, counts)))
    return " ".join(f"{steps[step]}x{step}" for step in sorted(steps))


def arms(given: Given) -> str:
    """Holes between the sector arms, the pin's own counted."""
    between = devices.arms(int(given["spaces"]))
    return str(between[1]) if between else "none"


def hole_x(given: Given) -> float:
    """Place of a hole on its circle, hole 0 on +x, counter-clockwise."""
    return plate.hole_centre(int(given["C"]), float(given["R_mm"]), int(given["i"]))[0]


def hole_y(given: Given) -> float:
    """The same, across."""
    return plate.hole_centre(int(given["C"]), float(given["R_mm"]), int(given["i"]))[1]


def hole_chord(given: Given) -> float:
    """From one hole to the next."""
    return plate.chord(int(given["C"]), float(given["R_mm"]))


def hole_error(given: Given) -> float:
    """What a hole out of place, or a plate off its centre, turns the spindle, in seconds of arc."""
    turned = plate.transfer(float(given["delta_mm"]), float(given["R_mm"]), Fraction(given["K"]))
    return degrees(turned) * 3600


def hole_error_um(given: Given) -> float:
    """The same at the work's radius."""
    turned = plate.transfer(float(given["delta_mm"]), float(given["R_mm"]), Fraction(given["K"]))
    return turned * float(given["r_mm"]) * 1000


def plate_angle(given: Given) -> float:
    """An angle by which the plate itself is out, at the spindle, in seconds of arc."""
    return degrees(plate.transfer(radians(float(given["error_arcmin"]) / 60), 1.0, Fraction(given["K"]))) * 3600


def _in_a_space(given: Given) -> tuple[detent.Seat, float]:
    ring = RingGeometry("external", int(given["z"]), float(given["m_mm"]), radians(float(given["pressure_angle_deg"])))
    D = float(given["D_mm"])
    return detent.seat(detent.Space(ring), detent.Round(D)), D


def ball_centre(given: Given) -> float:
    """Radius of the centre of a ball in a space of a standard external ring."""
    at, D = _in_a_space(given)
    return at.Y + D / 2


def ball_slope(given: Given) -> float:
    """Angle of its contact normal to the tangent at its centre, in degrees."""
    return degrees(_in_a_space(given)[0].slope)


def worn_shift(given: Given) -> float:
    """Sideways shift of a centring detent by one worn flank."""
    return detent.worn_shift(float(given["w_mm"]), radians(float(given["slope_deg"])))


def worn_drop(given: Given) -> float:
    """How much deeper it goes."""
    return detent.worn_drop(float(given["w_mm"]), radians(float(given["slope_deg"])))


def pawl_shift(given: Given) -> float:
    """Shift of a one-sided pawl on the worn flank."""
    return detent.pawl_shift(float(given["w_mm"]), radians(float(given["slope_deg"])))


def walked(given: Given) -> float:
    """Scatter after so many steps, each located from the last."""
    return detent_errors.walked(float(given["sigma_um"]), 0.0, int(given["steps"]))[0]
