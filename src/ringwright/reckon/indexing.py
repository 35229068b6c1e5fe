"""Dividing the circle: every way the shelf has, what a setting really divides, and which tooth this is."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from math import gcd
from typing import Annotated, Self

from pydantic import Field, model_validator

from ringwright.dividing.accuracy import Errors, arc_um, arcsec, of_equal_moves
from ringwright.dividing.devices import ARCSEC, Device, Train, arms, sense_of
from ringwright.dividing.places import Place, Seen, locate
from ringwright.dividing.settings import crank_turns, divides
from ringwright.dividing.ways import Way as Found
from ringwright.dividing.ways import search, within
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
from ringwright.reckon.crank import (
    DeviceAsked,
    GearsHung,
    Holes,
    Method,
    MoveMade,
    Row,
    SecondMove,
    SettingRow,
    SpindleSeen,
    WayBack,
    decimal,
    dial_reading,
    move_words,
    places,
    plain_number,
    spaces_words,
    table_rows,
    turns_words,
)
from ringwright.words import N_, _, ngettext_

__all__ = ["CHECK_SETTING", "DIVIDE", "WHERE_AM_I", "SettingRow", "move_words", "table_rows"]

phrases.learn(
    "one_device",
    N_("The device has to be given in exactly one way."),
    N_("Either device (one) or devices (a list of one to twelve)."),
    N_("Leave one, take the other out."),
)
phrases.learn(
    "no_such_tooth",
    N_("Tooth {value} is not on this ring."),
    N_("{low} to {high}, each once."),
    N_("Look at the number."),
)
phrases.learn(
    "no_move",
    N_("This setting moves nothing."),
    N_("A move of the crank, and a train that lets the spindle turn."),
    N_("Look at turns, holes and gears."),
)
phrases.learn(
    "backwards",
    N_("This setting turns the spindle against the crank."),
    N_("Turns, spaces and gears that carry the spindle on."),
    N_("Look at the signs and at which way the plate turns."),
)
phrases.learn(
    "one_stud_gear",
    N_("A compound train has two gears on the stud; one is missing."),
    N_("Both stud_meshing_spindle and stud_meshing_worm, or neither."),
    N_("Give the other one, or take this one out."),
)
phrases.learn(
    "idlers_not_whole",
    N_("{value} idlers cannot be."),
    N_("A whole number."),
    N_("Count the idlers between spindle and worm."),
)
phrases.learn(
    "nothing_seen",
    N_("Nothing that was seen is given."),
    N_("At least one of hole, spindle_deg, dial."),
    N_("Read the hole the pin is in, the spindle's degrees or the dial."),
)
phrases.learn(
    "not_on_this_way",
    N_("This way of dividing has no such reading."),
    N_("A hole where a plate is used, the dial where the dial is used, the spindle's degrees always."),
    N_("Take the reading out, or give the way that is really in use."),
)
phrases.learn(
    "no_such_hole",
    N_("Hole {value} is not on this circle."),
    N_("{low} to {high}, counted from 0 = the hole at tooth 1."),
    N_("Count again from the hole the pin was in at tooth 1."),
)
phrases.learn(
    "ratio_needed",
    N_("Without the ratio of the worm this cannot be placed."),
    N_("The way as divide gave it, with ratio, and with dial_step_arcsec for a dial."),
    N_("Send the way back whole."),
)
phrases.learn(
    "way_of_another_count",
    N_("This way does not divide {value}."),
    N_("A way that divide gave for this number of divisions."),
    N_("Look at the number of divisions, or ask for the ways again."),
)

#: Ways shown at most, and rows of all their tables together.
MOST_WAYS, MOST_ROWS = 40, 12_000
#: One standard deviation of a spindle's degree ring read by eye (common practice, no source) [deg].
BY_EYE_DEG = 0.1


class DivideAsked(Asked):
    """What to divide, and with what."""

    divisions: int = Field(ge=2, le=1000)
    device: DeviceAsked | None = None
    devices: tuple[DeviceAsked, ...] | None = Field(None, min_length=1, max_length=12)
    radius_mm: Millimetres | None = Field(None, gt=0, le=50_000, description="where the error counts")
    tolerance_um: float = Field(50.0, ge=0, le=100_000)
    methods: tuple[Method, ...] | None = Field(None, min_length=1, max_length=8)
    teeth: tuple[Annotated[int, Field(ge=1, le=1000)], ...] | None = Field(None, min_length=1, max_length=1000)
    table: bool = False

    @model_validator(mode="after")
    def _one_device(self) -> Self:
        if (self.device is None) == (self.devices is None):
            raise ValueError("one_device")
        return self


class Arms(Given):
    """The sector arms: spaces moved, and holes enclosed with the pin's own hole counted."""

    spaces: int
    holes: int


class Effort(Given):
    """Moves in all, and seconds of indexing with hanging gears or drilling; for comparison only."""

    moves: int
    seconds: int


class Way(Given):
    """One way to divide; errors are null only where they are those of the ring's own teeth."""

    method: Method
    device: str
    exact: bool
    move: MoveMade
    gears: GearsHung | None
    ratio_error: str | None
    error_per_tooth_arcsec: float | None
    worst_error_arcsec: float | None
    worst_neighbour_arcsec: float | None
    closing_error_arcsec: float | None
    worst_error_um: float | None
    arms: Arms | None
    steps_note: str
    effort: Effort
    why: str
    ratio: str
    spaces_per_move: int
    dial_step_arcsec: float | None
    one_space_um: float | None
    within_tolerance: bool
    table: tuple[Row, ...] | None = None


class DivideAnswer(Answered):
    """The ways, best first."""

    ways: tuple[Way, ...]


def divide(asked: DivideAsked) -> DivideAnswer:
    """Every way to divide with the devices on the shelf, in order of preference."""
    N = asked.divisions
    chosen = _chosen(asked.teeth, N)
    given = asked.devices if asked.devices is not None else (asked.device,) if asked.device else ()
    shelf = [d.core() for d in given]
    found = search(shelf, N, asked.methods, asked.radius_mm, asked.tolerance_um, len(chosen))
    rows = MOST_ROWS // max(1, len(chosen)) if asked.table else 0
    ways = []
    for n, way in enumerate(found[:MOST_WAYS]):
        shown = _way(way, shelf[way.device], given[way.device], N, asked)
        if n < rows:
            wanted = set(chosen)
            table = tuple(r.as_record() for r in table_rows(shown, given[way.device], N) if r.tooth in wanted)
            shown = shown.model_copy(update={"table": table})
        ways.append(shown)
    return DivideAnswer(
        ways=tuple(ways),
        notes=tuple(_notes(asked, found, shelf, rows)),
        sources=("common-practice", "own-arithmetic"),
        working=_working(shelf, found, N) if asked.working else None,
    )


def _chosen(teeth: tuple[int, ...] | None, N: int) -> tuple[int, ...]:
    if teeth is None:
        return tuple(range(1, N + 1))
    for i, tooth in enumerate(teeth):
        if tooth > N or tooth in teeth[:i]:
            raise Refusal("no_such_tooth", "chosen", tooth, 1, N, at=(i,))
    return tuple(sorted(teeth))


def _name(device: Device, at: int) -> str:
    return device.name or _("device {n}", n=at + 1)


def _way(way: Found, device: Device, given: DeviceAsked, N: int, asked: DivideAsked) -> Way:
    e, train, r = way.errors, way.train, asked.radius_mm
    sector = arms(way.move.holes) if way.method not in ("dial", "direct", "from_teeth") else None
    dial = dial_reading(way.step * device.K % 1 / device.K) if way.method == "dial" else None
    space = None if way.move.circle is None or r is None else arc_um(_one_space(way, device), r)
    return Way(
        method=way.method,
        device=_name(device, way.device),
        exact=way.exact,
        move=MoveMade(
            turns=way.move.turns,
            circle=way.move.circle,
            holes=way.move.holes,
            second=SecondMove(circle=way.move.second[0], holes=way.move.second[1]) if way.move.second else None,
            dial=dial,
        ),
        gears=_gears(train),
        ratio_error=None if e is None else exact(e.ratio),
        error_per_tooth_arcsec=None if e is None else arcsec(e.per_move),
        worst_error_arcsec=None if e is None else arcsec(e.worst),
        worst_neighbour_arcsec=None if e is None else arcsec(e.neighbour),
        closing_error_arcsec=None if e is None else arcsec(e.closing),
        worst_error_um=None if e is None or r is None else arc_um(e.worst, r),
        arms=Arms(spaces=sector[0], holes=sector[1]) if sector else None,
        steps_note=_steps(way, device, given, N),
        effort=Effort(moves=way.moves, seconds=way.seconds),
        why=_why(way, device, N),
        ratio=exact(device.K),
        spaces_per_move=way.p,
        dial_step_arcsec=float(device.dial * ARCSEC) if way.method == "dial" and device.dial else None,
        one_space_um=space,
        within_tolerance=within(way, r, asked.tolerance_um),
    )


def _one_space(way: Found, device: Device) -> Fraction:
    assert way.move.circle is not None
    if way.method in ("direct", "from_teeth"):
        return Fraction(1, way.move.circle)
    return Fraction(1, way.move.circle) / (device.K - (way.train.R if way.train else 0))


def _gears(train: Train | None) -> GearsHung | None:
    if train is None:
        return None
    return GearsHung(
        spindle=train.spindle,
        stud_meshing_spindle=train.on_stud_to_spindle,
        stud_meshing_worm=train.on_stud_to_worm,
        worm=train.worm,
        idlers=train.idlers,
        plate_turns="with" if train.sense > 0 else "against",
    )


def _steps(way: Found, device: Device, given: DeviceAsked, N: int) -> str:
    """What the operator does, first what is set once, then one move in its order."""
    return " ".join((*_set_once(way, device, N), *_one_move(way, device), *_if_too_far(way, given)))


def _set_once(way: Found, device: Device, N: int) -> Iterator[str]:
    move, train = way.move, way.train
    if way.method == "plate_to_make":
        yield _("Drill a plate with {n} holes, each from its own angle, never from the hole before.", n=move.circle)
    if way.method == "from_teeth":
        yield _("Worm out of mesh, ring free to turn. Detent into a sound space, bearing on both flanks.")
        yield _("On worn metal measure what each flank has lost, and correct.")
    elif way.method == "direct":
        yield _("Worm out of mesh, nose plate on.")
    elif train is not None:
        yield _train_words(train)
        without, wrong = divides(device.K, move.x), divides(device.K, move.x, -train.R)
        yield _(
            "Stop pin out. Before cutting turn the crank and watch: the plate must turn {sense} it. Turning the other "
            "way it would divide {wrong}, without gears {without}, not {wanted}.",
            sense=_("with") if train.sense > 0 else _("against"),
            wrong=exact(wrong),
            without=exact(without),
            wanted=N,
        )
    elif way.method != "dial":
        yield _("Stop pin in.")
    sector = arms(move.holes)
    if sector and way.method not in ("direct", "from_teeth", "dial"):
        yield ngettext_(
            "Arms: {n} space, that is {holes} holes with the pin's own.",
            "Arms: {n} spaces, that is {holes} holes with the pin's own.",
            sector[0],
            holes=sector[1],
        )
    if way.p > 1:
        yield _("One move goes {p} teeth on; {p} times round the ring meets every tooth once.", p=way.p)


def _train_words(train: Train) -> str:
    idlers = ngettext_("{n} idler", "{n} idlers", train.idlers)
    if train.on_stud_to_spindle is None:
        return _(
            "Gears: {spindle} on the spindle, {worm} on the worm shaft, {idlers} between on the usual head.",
            spindle=train.spindle,
            worm=train.worm,
            idlers=idlers,
        )
    return _(
        "Gears: {spindle} on the spindle meshes with {stud_s} on the stud, {stud_w} on the same stud drives {worm} on "
        "the worm shaft, {idlers} on the usual head.",
        spindle=train.spindle,
        stud_s=train.on_stud_to_spindle,
        stud_w=train.on_stud_to_worm,
        worm=train.worm,
        idlers=idlers,
    )


def _one_move(way: Found, device: Device) -> Iterator[str]:
    move = way.move
    yield _("Each move: unlock.")
    if way.method == "from_teeth":
        yield _("Draw the detent, one tooth on, let it seat, push the ring the same way against it. Lock. Cut.")
        return
    if way.method == "dial":
        yield _("Come up clockwise to the next reading of the list; never add the step. Lock. Cut.")
        return
    assert move.circle is not None
    yield _("Draw the pin.")
    if move.turns:
        yield _("{turns} first.", turns=turns_words(move.turns))
    where = spaces_words(move.holes, move.circle)
    yield _("Clockwise: {where}; drop the pin coming from that side.", where=where)
    if move.second is not None:
        circle, holes = move.second
        turns, rest = divmod(abs(holes), circle)
        yield _(
            "Then stop pin out; plate and crank together {sense}: {turns}, {where}; stop pin in. Keep this order.",
            sense=_("clockwise") if holes > 0 else _("anticlockwise, half a turn too far and up again clockwise"),
            turns=turns_words(turns),
            where=spaces_words(rest, circle),
        )
    if arms(move.holes) and way.method != "direct":
        yield _("Arms round to the pin.")
    yield _("Lock. Cut.")


def _if_too_far(way: Found, given: DeviceAsked) -> Iterator[str]:
    if way.method in ("from_teeth", "direct"):
        return
    if given.backlash_arcsec is None:
        yield _("Gone too far: back half a turn, more than the lost motion, and up again clockwise.")
    else:
        yield _(
            "Gone too far: back half a turn (the lost motion is {lost:.0f}″ at the spindle) and up again clockwise.",
            lost=given.backlash_arcsec,
        )


def _why(way: Found, device: Device, N: int) -> str:
    x, C = crank_turns(device.K, N), way.move.circle
    share, least = f"{exact(device.K)}/{N}", exact(x)
    facts = {"x": share if share == least else f"{share} = {least}", "N": N, "q": x.denominator, "C": C}
    if way.method == "plain" and way.exact and x.denominator == 1:
        return _("{x} whole turns; any circle serves, always in the same hole.", **facts)
    if way.method == "plain" and way.exact:
        return _("{x} of a turn, and {q} goes into {C}.", **facts)
    if way.method == "direct":
        return _("{N} goes into the {C} holes of the nose plate.", **facts)
    if way.method in ("plain", "step_over"):
        got = exact(divides(device.K, way.move.x))
        return _(
            "{x} needs a circle that {q} goes into, and there is none: this setting divides {got}.",
            got=got,
            **facts,
        )
    if way.method == "plate_to_make":
        return _("{x}: {q} goes into none of the circles here, but into {C}.", **facts)
    if way.method == "compound" and way.move.second:
        return _("Neither {C} nor {D} holes hold {x}, but both moves together do.", D=way.move.second[0], **facts)
    if way.train is not None:
        A = exact(divides(device.K, way.move.x))
        return _(
            "The crank alone divides {A}; the plate makes {R} of a turn per turn of the spindle, and that makes {N}.",
            A=A,
            R=exact(way.train.R),
            **facts,
        )
    if way.method == "dial":
        step = plain_number((device.dial or Fraction(0)) * ARCSEC)
        return _("Every reading is rounded by itself to {step}″, so nothing adds up.", step=step)
    return _("The new teeth join their old neighbours; what an old tooth is out, its copy is out.")


def _notes(asked: DivideAsked, found: list[Found], shelf: list[Device], rows: int) -> Iterator[Note]:
    methods = {way.method for way in found}
    if "tolerance_um" not in asked.model_fields_set:
        yield Note(code="default_tolerance", text=_("Tolerance taken as 50 µm of worst error."))
    if asked.radius_mm is None:
        yield Note(code="no_radius", text=_("No radius given: only ways without any error count as within tolerance."))
    if asked.methods is None:
        yield Note(
            code="default_methods",
            text=_(
                "Every method was looked for but the ring's own teeth; gears and two circles only where no circle "
                "serves alone; compound moves only exact ones, compound trains only where no simple one serves."
            ),
        )
    best = found[0] if found else None
    if best is None:
        yield Note(code="no_way", text=_("Nothing on this shelf divides {n}.", n=asked.divisions))
    elif not within(best, asked.radius_mm, asked.tolerance_um):
        yield Note(code="none_within", text=_("No way here stays within the tolerance; the nearest come first."))
    yield Note(
        code="effort_common_practice",
        text=_("Seconds are for comparing the ways only: common practice, no source."),
    )
    if "dial" in methods:
        yield Note(
            code="resolution_is_not_accuracy",
            text=_("Errors are those of the reckoning; what a dial resolves is not what the table is true to."),
        )
    if "differential" in methods:
        yield Note(
            code="train_direction",
            text=_("Heads differ by a bevel pair: prove by hand which way the plate turns before cutting."),
        )
        if any(w.train and len(shelf[w.device].gears) - len(w.train.used) < w.train.idlers for w in found):
            yield Note(
                code="idler_needed",
                text=_(
                    "The drawer as listed leaves too few gears for the idlers of some train: borrow one of any size."
                ),
            )
    if "from_teeth" in methods:
        yield Note(
            code="carries_over",
            text=_(
                "From the teeth every error of an old space goes whole into the new one; locate each from sound old "
                "teeth, never from the space cut last. Its errors are those of the ring and are not reckoned here."
            ),
        )
    if asked.teeth is not None:
        yield Note(
            code="chosen_teeth",
            text=_("Moves and seconds are for the chosen teeth; the errors are those of the circle."),
        )
    if len(found) > MOST_WAYS:
        yield Note(code="ways_left_out", text=_("Only the first {n} ways are shown.", n=MOST_WAYS))
    if asked.table and rows < min(len(found), MOST_WAYS):
        yield Note(code="tables_left_out", text=_("Only the first {n} ways have their table.", n=rows))


def _working(shelf: list[Device], found: list[Found], N: int) -> tuple[WorkingLine, ...]:
    if not found:
        return ()
    way, K = found[0], shelf[found[0].device].K
    R = way.train.R if way.train else Fraction(0)
    lines = [("K/N", _("crank turns per division"), "K/N", f"{K}/{N}", exact(crank_turns(K, N)), _("turns"))]
    if way.train:
        lines.append(("R", _("plate turns per spindle turn"), "K - N x", f"{K} - {N}·{way.move.x}", exact(R), ""))
    if way.method not in ("direct", "dial", "from_teeth"):
        put = f"({K} - ({R}))/({way.move.worm})"
        lines.append(("D", _("this move divides"), "(K - R)/x", put, exact(divides(K, way.move.worm, R)), ""))
    if way.errors:
        put = f"{exact(way.errors.worst)}·1296000"
        lines.append(("F", _("worst error"), "max E - min E", put, f"{arcsec(way.errors.worst):.3f}", "″"))
    return tuple(
        WorkingLine(symbol=s, name=n, formula=f, put_in=p, value=v, unit=u, source="own-arithmetic")
        for s, n, f, p, v, u in lines
    )


DIVIDE = Operation(
    "divide",
    N_("Divide a ring with the devices on the shelf"),
    DivideAsked,
    DivideAnswer,
    divide,
    {"chosen": Came("teeth[{0}]")},
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


class CheckAnswer(Answered):
    """What the setting really divides."""

    divides: str
    spaces_per_move: int
    errors: FoundErrors | None
    says: str


def check_setting(asked: CheckAsked) -> CheckAnswer:
    """What a setting really divides, and how far that is from what was wanted."""
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
    )


def _says(D: Fraction, p: int, errors: Errors | None, asked: CheckAsked) -> Iterator[str]:
    N = asked.divisions
    if D.denominator == 1:
        yield _("This setting divides {n}.", n=D.numerator)
    else:
        yield _("This setting divides {d} ({about:.3f}): one round does not close.", d=exact(D), about=float(D))
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


_SETTING_CAME = {"x": Came("holes"), "gears": Came("gears"), "idlers": Came("gears.idlers")}
CHECK_SETTING = Operation(
    "check_setting",
    N_("What a setting of crank, plate and gears really divides"),
    CheckAsked,
    CheckAnswer,
    check_setting,
    _SETTING_CAME,
)


class WhereAsked(Asked):
    """A way of dividing, and what can be seen at the head."""

    divisions: int = Field(ge=2, le=1000)
    way: WayBack
    seen: SpindleSeen


class WhereAnswer(Answered):
    """The tooth, or that it cannot be told.

    ``position_turns`` are the crank's turns against the plate from tooth 1, exact; ``off_by_arcsec`` is seen minus
    expected at the spindle.
    """

    tooth: int | None
    position_turns: str | None
    off_by_arcsec: float | None
    candidates: tuple[int, ...]
    cannot_tell: bool


_REASONS = {
    "none": N_("No tooth of this division has the pin in that hole: another circle, or the pin was moved."),
    "several": N_("Several teeth fit what was seen: read the spindle's degrees as well, or the painted number."),
    "halfway": N_("The reading is nearer to halfway between two teeth than to either: look at the teeth themselves."),
    "disagree": N_(
        "The readings do not belong to one tooth: was the count or the pin moved? Check on a finished space."
    ),
}


def where_am_i(asked: WhereAsked) -> WhereAnswer:
    """Which tooth this is, from the hole, the spindle's degrees or the dial; refused rather than guessed."""
    way, seen = asked.way, asked.seen
    circle = asked.divisions if way.method == "from_teeth" else way.move.circle
    if seen.hole is None and seen.spindle_deg is None and seen.dial is None:
        raise Refusal("nothing_seen", "seen")
    if seen.hole is not None and (way.method == "dial" or circle is None):
        raise Refusal("not_on_this_way", "hole")
    if seen.hole is not None and circle is not None and seen.hole >= circle:
        raise Refusal("no_such_hole", "hole", seen.hole, 0, circle - 1)
    if seen.dial is not None and way.method != "dial":
        raise Refusal("not_on_this_way", "dial")
    step = None if way.dial_step_arcsec is None else decimal(way.dial_step_arcsec) / ARCSEC
    there = places(way, way.ratio, step, asked.divisions)
    K = way.ratio if way.ratio is not None else Fraction(1)
    u_deg = seen.spindle_uncertainty_deg if seen.spindle_uncertainty_deg is not None else BY_EYE_DEG
    found = locate(
        there,
        circle,
        K,
        Seen(
            hole=seen.hole,
            spindle=None if seen.spindle_deg is None else decimal(seen.spindle_deg) / 360,
            u_spindle=decimal(u_deg) / 360,
            part=None if seen.dial is None else seen.dial.turns * K,
            u_part=step or Fraction(0),
        ),
    )
    notes = [] if found.reason is None else [Note(code=found.reason, text=_(_REASONS[found.reason]))]
    if seen.spindle_deg is not None and seen.spindle_uncertainty_deg is None:
        text = _("Spindle read by eye: taken as good for {u}° (one standard deviation).", u=BY_EYE_DEG)
        notes.append(Note(code="default_uncertainty", text=text))
    return WhereAnswer(
        tooth=found.tooth,
        position_turns=None if found.tooth is None else exact(there[found.tooth - 1].total),
        off_by_arcsec=None if found.tooth is None else arcsec(found.off),
        candidates=found.candidates,
        cannot_tell=found.tooth is None,
        notes=tuple(notes),
        sources=("common-practice", "own-arithmetic"),
        working=_where_working(found.tooth, there, asked.divisions) if asked.working else None,
    )


def _where_working(tooth: int | None, there: tuple[Place, ...], N: int) -> tuple[WorkingLine, ...]:
    if tooth is None:
        return ()
    return (
        WorkingLine(
            symbol="θ",
            name=_("spindle at this tooth, as set"),
            formula="360 (k - 1)/N",
            put_in=f"360·({tooth} - 1)/{N}",
            value=float(there[tooth - 1].spindle * 360),
            unit="°",
            source="own-arithmetic",
        ),
    )


WHERE_AM_I = Operation(
    "where_am_i",
    N_("Which tooth this is, from hole, degrees or dial"),
    WhereAsked,
    WhereAnswer,
    where_am_i,
    {
        "seen": Came("seen"),
        "hole": Came("seen.hole"),
        "dial": Came("seen.dial"),
        "ratio": Came("way"),
        "x": Came("way.move"),
        "divisions": Came("divisions"),
        "gears": Came("way.gears"),
    },
)
