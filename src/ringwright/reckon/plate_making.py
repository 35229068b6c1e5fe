"""A plate to make: how many holes, where each goes, what its errors make of the ring, and the files to make it by."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from math import pi, radians

import numpy as np

from ringwright.dividing import plate as made
from ringwright.dividing.devices import arms
from ringwright.dividing.plate import HoleCircle, Rounded
from ringwright.dividing.settings import crank_turns, on_circle
from ringwright.dividing.ways import LARGEST_PLATE, SMALLEST_PLATE
from ringwright.errors import Refusal
from ringwright.reckon import phrases, plate_files
from ringwright.reckon.base import Came, Note, Operation, WorkingLine, exact
from ringwright.reckon.crank import spaces_words, turns_words
from ringwright.reckon.plate_models import (
    DRILLED_MM,
    READOUT_MM,
    WEB_MM,
    AtTheWork,
    Chord,
    HolePlace,
    PlateAnswer,
    PlateAsked,
    PlateFiles,
    PlateMove,
)
from ringwright.words import N_, _

phrases.learn(
    "nothing_to_divide",
    N_("Neither the divisions nor the number of holes is given."),
    N_("divisions, holes, or both."),
    N_("Say what is to be divided, or how many holes the plate gets."),
)
phrases.learn(
    "holes_run_together",
    N_("On a radius of {value} the holes run into each other."),
    N_("{low} or more for these holes, and then a web on top."),
    N_("Take a larger circle, a smaller drill or fewer holes."),
)
phrases.learn(
    "count_does_not_serve",
    N_("{value} holes do not divide this."),
    N_("A multiple of {least}."),
    N_("Take such a count, or leave it out."),
)
phrases.learn(
    "too_many_holes",
    N_("This needs a circle of {value} holes."),
    N_("At most {high}."),
    N_("Take another ratio, or two plates after each other."),
)

ARCSEC = 648_000 / pi


def plate_layout(asked: PlateAsked) -> PlateAnswer:
    """A plate to make, for the crank of a head or straight on the nose."""
    K = asked.ratio if asked.ratio is not None else Fraction(1)
    C, others = _count(asked, K)
    least = made.smallest_radius(C, asked.hole_diameter_mm, asked.web_mm)
    R = asked.circle_radius_mm if asked.circle_radius_mm is not None else made.next_step_up(least, 0.5)
    circle = HoleCircle(
        C,
        R,
        asked.hole_diameter_mm,
        radians(asked.first_hole_deg),
        -1 if asked.counts == "clockwise" else 1,
        asked.centre_x_mm,
        asked.centre_y_mm,
    )
    off = made.rounded(circle, asked.readout_step_mm)
    holes = _holes(circle, off, asked)
    return PlateAnswer(
        hole_count=C,
        counts_that_serve=others,
        ratio=exact(K),
        circle_radius_mm=R,
        smallest_radius_mm=least,
        chord_mm=circle.chord,
        web_left_mm=circle.web,
        worst_rounding_um=float(np.hypot(off.along, off.out).max()) * 1000,
        move=_move(asked, K, C),
        holes=holes,
        checks=tuple(
            Chord(spaces=c.spaces, chord_mm=c.chord, over_pins_mm=c.chord + circle.D) for c in made.chord_checks(circle)
        ),
        errors=_errors(asked, circle, off, K),
        files=_files(asked, drawn(asked, circle, holes)),
        says=_says(asked, circle, K),
        notes=tuple(_notes(asked, circle, K, least)),
        sources=("common-practice", "own-arithmetic"),
        working=_working(asked, circle, K, least) if asked.working else None,
    )


def _count(asked: PlateAsked, K: Fraction) -> tuple[int, tuple[int, ...]]:
    """How many holes, and all counts that serve; refuses a count that does not."""
    if asked.divisions is None:
        assert asked.holes is not None  # the request says one or the other
        return asked.holes, ()
    others, least = made.counts_that_serve(K, asked.divisions), crank_turns(K, asked.divisions).denominator
    if asked.holes is not None:
        if not made.serves(K, asked.divisions, asked.holes):
            raise Refusal("count_does_not_serve", "C", asked.holes, facts={"least": least})
        return asked.holes, others
    if not others:
        raise Refusal("too_many_holes", "N", least, 2, LARGEST_PLATE)
    return others[0], others


def _holes(circle: HoleCircle, off: Rounded, asked: PlateAsked) -> tuple[HolePlace, ...]:
    angles, exact_places = np.degrees(circle.angles()) % 360, circle.centres()
    return tuple(
        HolePlace(
            hole=i,
            angle_deg=float(angles[i]),
            x_mm=float(exact_places[i, 0]),
            y_mm=float(exact_places[i, 1]),
            set_x_mm=float(off.places[i, 0]),
            set_y_mm=float(off.places[i, 1]),
            off_out_um=float(off.out[i]) * 1000,
            off_along_um=float(off.along[i]) * 1000,
            mark=str(i) if i % asked.mark_every == 0 else "",
        )
        for i in range(circle.C)
    )


def _move(asked: PlateAsked, K: Fraction, C: int) -> PlateMove | None:
    if asked.divisions is None:
        return None
    move = on_circle(crank_turns(K, asked.divisions), C)
    between = arms(move.holes)
    return PlateMove(turns=move.turns, holes=move.holes, circle=C, between_arms=between[1] if between else None)


def _errors(asked: PlateAsked, circle: HoleCircle, off: Rounded, K: Fraction) -> AtTheWork:
    r = asked.ring_radius_mm
    used = tuple(range(circle.C)) if asked.divisions is None else made.holes_met(K, asked.divisions, circle.C)
    one = made.transfer(asked.hole_error_mm, circle.R, K)
    total, neighbour = made.at_the_teeth(off.along, circle.R, K, used)
    several = 2 * one if len(set(used)) > 1 else 0.0
    found: dict[str, float | None] = {}
    for name, angle in (
        ("one_hole", one),
        ("two_holes", several),
        ("off_centre", made.transfer(asked.off_centre_mm, circle.R, K)),
        ("rounding_total", total),
        ("rounding_neighbour", neighbour),
    ):
        found[f"{name}_arcsec"] = angle * ARCSEC
        found[f"{name}_um"] = None if r is None else angle * r * 1000
    return AtTheWork.model_validate(found)


def _decimals(step: float) -> int:
    text = f"{step:.6f}".rstrip("0")
    return max(2, len(text.partition(".")[2]))


def drawn(asked: PlateAsked, circle: HoleCircle, holes: tuple[HolePlace, ...]) -> plate_files.Plate:
    """What the files are made from."""
    return plate_files.Plate(
        holes,
        circle.R,
        circle.D,
        (circle.x, circle.y),
        asked.shape == "notches",
        _decimals(asked.readout_step_mm),
        plate_files.title(circle.C, circle.R, circle.D),
    )


def _files(asked: PlateAsked, plate: plate_files.Plate) -> PlateFiles:
    makers = {"csv": plate_files.csv_text, "svg": plate_files.svg_text, "dxf": plate_files.dxf_text}
    return PlateFiles(**{kind: makers[kind](plate) for kind in asked.files})


def _says(asked: PlateAsked, circle: HoleCircle, K: Fraction) -> str:
    what = _("notches") if asked.shape == "notches" else _("holes")
    first = _("{n} {what} on a radius of {r:.3f} mm, {web:.2f} mm of metal between them.", n=circle.C, what=what,
              r=circle.R, web=circle.web)  # fmt: skip
    if asked.divisions is None:
        return first
    move = on_circle(crank_turns(K, asked.divisions), circle.C)
    go = f"{turns_words(move.turns)}, {spaces_words(move.holes, circle.C)}"
    return " ".join([first, _("{go} a division; the hole the pin is in is not counted.", go=go)])


def _notes(asked: PlateAsked, circle: HoleCircle, K: Fraction, least: float) -> Iterator[Note]:
    given = asked.model_fields_set
    if asked.ratio is None:
        yield Note(code="default_direct", text=_("No ratio given: taken as a plate straight on the nose, 1 : 1."))
    if "web_mm" not in given:
        yield Note(code="default_web", text=_("Metal between holes taken as {mm} mm (common practice, no source).",
                                              mm=WEB_MM))  # fmt: skip
    if asked.circle_radius_mm is None:
        yield Note(code="default_radius", text=_("Radius not given: the smallest that leaves the web, up to the next "
                                                 "half millimetre."))  # fmt: skip
    elif circle.web < asked.web_mm:
        yield Note(code="thin_web", text=_("Only {left:.2f} mm between the holes; {least:.2f} mm of radius would leave "
                                           "what was wanted.", left=circle.web, least=least))  # fmt: skip
    if "readout_step_mm" not in given:
        yield Note(code="default_readout", text=_("The readout's step taken as {mm} mm.", mm=READOUT_MM))
    if "hole_error_mm" not in given:
        text = _("A drilled hole taken as up to {mm} mm out of place (common practice, no source).", mm=DRILLED_MM)
        yield Note(code="default_hole_error", text=text)
    if "counts" not in given:
        yield Note(code="default_counts", text=_("Holes numbered clockwise, seen on the face that is drilled."))
    if "first_hole_deg" not in given:
        yield Note(code="default_first_hole", text=_("Hole 0 put on +x of the readout."))
    if asked.ring_radius_mm is None:
        yield Note(code="no_radius", text=_("No radius of the ring given: errors are angles only."))
    if asked.divisions is not None and K != 1 and circle.C < SMALLEST_PLATE:
        yield Note(code="few_holes", text=_("Few holes on a small circle: the pin's errors count for more there."))
    if asked.shape == "notches":
        yield Note(
            code="notches", text=_("A notch holds only if the wedge bears on both its sides; leave it room below.")
        )
    yield Note(
        code="each_from_its_angle",
        text=_("Set each hole from its own two figures, never by adding chords; the chords are the check."),
    )
    yield Note(
        code="inherits",
        text=_("Drilled on the head with another plate, the new plate takes over that one's errors, divided by {k}.",
               k=exact(K)),
    )  # fmt: skip


def _working(asked: PlateAsked, circle: HoleCircle, K: Fraction, least: float) -> tuple[WorkingLine, ...]:
    lines = [
        (
            "R_min",
            _("smallest radius"),
            "(D + w)/(2 sin(π/C))",
            f"({circle.D:g} + {asked.web_mm:g})/(2 sin(π/{circle.C}))",
            least,
            "mm",
        ),
        ("c", _("hole to hole"), "2 R sin(π/C)", f"2·{circle.R:g}·sin(π/{circle.C})", circle.chord, "mm"),
        (
            "δ",
            _("one hole out, at the spindle"),
            "e/(R K)·648000/π",
            f"{asked.hole_error_mm:g}/({circle.R:g}·{K})·648000/π",
            made.transfer(asked.hole_error_mm, circle.R, K) * ARCSEC,
            "″",
        ),
    ]
    if asked.divisions is not None:
        x = crank_turns(K, asked.divisions)
        lines.insert(0, ("K/N", _("turns per division"), "K/N", f"{K}/{asked.divisions}", exact(x), _("turns")))  # type: ignore[arg-type]
    return tuple(
        WorkingLine(symbol=s, name=n, formula=f, put_in=p, value=v, unit=u, source="own-arithmetic")
        for s, n, f, p, v, u in lines
    )


PLATE_LAYOUT = Operation(
    "plate_layout",
    N_("A plate to make: its holes, its errors at the work, its files"),
    PlateAsked,
    PlateAnswer,
    plate_layout,
    {
        "C": Came("holes"),
        "N": Came("divisions"),
        "R": Came("circle_radius_mm", "mm"),
        "D": Came("hole_diameter_mm", "mm"),
        "step": Came("readout_step_mm", "mm"),
    },
)
