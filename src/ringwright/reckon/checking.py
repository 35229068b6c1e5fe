"""What a setting of crank, plate and gears really divides."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from math import gcd

from pydantic import Field

from ringwright.dividing.accuracy import Errors, arc_um, arcsec, of_equal_moves
from ringwright.dividing.devices import sense_of
from ringwright.dividing.settings import divides
from ringwright.errors import Refusal
from ringwright.reckon import phrases
from ringwright.reckon.base import (
    Answered,
    Asked,
    Came,
    Given,
    Millimetres,
    Note,
    Operation,
    Ratio,
    WorkingLine,
    exact,
)
from ringwright.reckon.crank import GearsHung, Holes, MoveMade, SecondMove
from ringwright.words import N_, _

phrases.learn(
    "second_with_gears",
    N_("A plate that is geared to the spindle cannot be moved by hand as well."),
    N_("Either a second move on a circle of the plate, or change gears."),
    N_("Look at how the head stands, and take the other out."),
)


class CheckAsked(Asked):
    """A setting as it stands on the head."""

    ratio: Ratio = Field(gt=0, le=4000)
    turns: int = Field(ge=-10_000, le=10_000)
    holes: int = Field(ge=-10_000, le=10_000)
    circle: Holes
    second: SecondMove | None = None
    gears: GearsHung | None = None
    divisions: int | None = Field(None, ge=2, le=1000)
    radius_mm: Millimetres | None = Field(None, gt=0, le=50_000)


class FoundErrors(Given):
    """Errors as in `divide`, against the wanted count."""

    ratio_error: str
    error_per_tooth_arcsec: float
    worst_error_arcsec: float
    worst_neighbour_arcsec: float
    closing_error_arcsec: float
    worst_error_um: float | None
    error_per_tooth_um: float | None = None
    worst_neighbour_um: float | None = None
    closing_error_um: float | None = None


class CheckAnswer(Answered):
    """What the setting really divides."""

    divides: str
    spaces_per_move: int
    errors: FoundErrors | None
    says: str


def check_setting(asked: CheckAsked) -> CheckAnswer:
    """What a setting really divides, and how far that is from what was wanted."""
    if asked.second is not None and asked.gears is not None:
        raise Refusal("second_with_gears", "second")
    move = MoveMade(turns=asked.turns, circle=asked.circle, holes=asked.holes, second=asked.second).core()
    R = asked.gears.core().R if asked.gears else Fraction(0)
    D = divides(asked.ratio, move.worm, R)
    p = _spaces(D, asked.divisions)
    errors = None if asked.divisions is None else of_equal_moves(asked.divisions, 1 / D, p)
    return CheckAnswer(
        divides=exact(D),
        spaces_per_move=p,
        errors=None if errors is None else _errors(errors, asked.radius_mm),
        says=" ".join(_says(D, p, errors, asked)),
        notes=tuple(_check_notes(asked)),
        sources=("own-arithmetic",),
        working=(
            WorkingLine(
                symbol="D",
                name=_("this move divides"),
                formula="(K - R)/x",
                put_in=f"({asked.ratio} - ({R}))/({move.worm})",
                value=exact(D),
                unit="",
                source="own-arithmetic",
            ),
        )
        if asked.working
        else None,
    )


def _spaces(D: Fraction, N: int | None) -> int:
    """Spaces that one move goes when N moves meet every space and close within half a space; else 1."""
    if N is None:
        return 1
    p = round(N / D)
    if p > 1 and p < N and gcd(p, N) == 1 and 2 * N * abs(N / D - p) < 1:
        return p
    return 1


def _errors(e: Errors, r: float | None) -> FoundErrors:
    return FoundErrors(
        ratio_error=exact(e.ratio),
        error_per_tooth_arcsec=arcsec(e.per_move),
        worst_error_arcsec=arcsec(e.worst),
        worst_neighbour_arcsec=arcsec(e.neighbour),
        closing_error_arcsec=arcsec(e.closing),
        worst_error_um=None if r is None else arc_um(e.worst, r),
        error_per_tooth_um=None if r is None else arc_um(e.per_move, r),
        worst_neighbour_um=None if r is None else arc_um(e.neighbour, r),
        closing_error_um=None if r is None else arc_um(e.closing, r),
    )


def _says(D: Fraction, p: int, errors: Errors | None, asked: CheckAsked) -> Iterator[str]:
    N = asked.divisions
    if D.denominator == 1:
        yield _("This setting divides {n}.", n=D.numerator)
    else:
        yield _("This setting divides {d} ({about:.3f}): one round does not close.", d=exact(D), about=float(D))
        yield _(
            "It meets {n} places, {p} spaces at a time, and closes after {p} rounds.", n=D.numerator, p=D.denominator
        )
    if asked.gears is not None:
        move = MoveMade(turns=asked.turns, circle=asked.circle, holes=asked.holes, second=asked.second).core()
        yield _("Without the gears it would divide {d}.", d=exact(divides(asked.ratio, move.worm)))
    if errors is None or N is None:
        return
    if errors.closing == 0:
        if p == 1:
            yield _("That is the {n} wanted.", n=N)
        else:
            yield _("Going {p} spaces at a time it meets all {n}, {p} times round.", p=p, n=N)
        return
    yield _("It is not {n}.", n=N)
    overrun = arcsec(errors.closing)
    said = _("past") if overrun > 0 else _("short of")
    yield _("After {n} moves it stands {off:.1f}″ {said} the start.", n=N, off=abs(overrun), said=said)


def _check_notes(asked: CheckAsked) -> Iterator[Note]:
    if asked.gears is not None:
        train = asked.gears.core()
        if asked.gears.idlers is None:
            yield Note(code="idlers_not_given", text=_("Idlers not given: the way the plate turns is taken as said."))
        elif sense_of(asked.gears.idlers, train.compound) != train.sense:
            yield Note(
                code="idlers_disagree",
                text=_(
                    "On the usual head {n} idlers turn the plate the other way; turn the crank and look.",
                    n=asked.gears.idlers,
                ),
            )
        yield Note(
            code="train_direction",
            text=_("Heads differ by a bevel pair: prove by hand which way the plate turns before cutting."),
        )
    if asked.divisions is not None and asked.radius_mm is None:
        yield Note(code="no_radius", text=_("No radius given: errors are angles only."))


_SETTING_CAME = {"second": Came("second"), "x": Came("holes"), "gears": Came("gears"), "idlers": Came("gears.idlers")}
CHECK_SETTING = Operation(
    "check_setting",
    N_("What a setting of crank, plate and gears really divides"),
    CheckAsked,
    CheckAnswer,
    check_setting,
    _SETTING_CAME,
)
