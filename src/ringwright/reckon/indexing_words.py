"""The words of a way of dividing: what is done at the head, why it divides, what can go wrong, how it is proved."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from math import floor

from ringwright.dividing.accuracy import arc_um, arcsec
from ringwright.dividing.devices import ARCSEC, Device, Train, arms
from ringwright.dividing.settings import crank_turns, divides
from ringwright.dividing.ways import Way as Found
from ringwright.dividing.ways import within
from ringwright.reckon.base import exact
from ringwright.reckon.crank import DeviceAsked, plain_number, spaces_words, turns_words
from ringwright.words import N_, _, ngettext_


def steps(way: Found, device: Device, given: DeviceAsked, N: int) -> str:
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
    elif way.method not in ("dial", "counts"):
        yield _("Stop pin in.")
    sector = arms(move.holes)
    if sector and way.method not in ("direct", "from_teeth"):
        yield ngettext_(
            "Arms: {n} space, that is {holes} holes with the pin's own.",
            "Arms: {n} spaces, that is {holes} holes with the pin's own.",
            sector[0],
            holes=sector[1],
        )
    if any(way.start):
        yield _("Holes to be kept clear of: begin with the pin in the hole marked {hole}.", hole=way.start[0])
        if way.move.second is not None:
            yield _("The stop pin begins in the hole marked {hole}.", hole=way.start[1])
    if way.p > 1:
        yield _("One move goes {p} teeth on; {p} times round the ring meets every tooth once.", p=way.p)


def _train_words(train: Train) -> str:
    idlers = ngettext_("{n} idler", "{n} idlers", train.idlers)
    if train.between:
        idlers += _(" ({gears} from the drawer serve)", gears=_(" and ").join(map(str, train.between)))
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
    if way.method == "counts":
        yield _("Come up clockwise to the next count of the list, from one nought; never add the step. Lock. Cut.")
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
        if rest:
            yield ngettext_(
                "At the stop pin {n} space is {holes} holes with its own.",
                "At the stop pin {n} spaces are {holes} holes with its own.",
                rest,
                holes=rest + 1,
            )
    if arms(move.holes) and way.method != "direct":
        yield _("Arms round to the pin.")
    yield _("Lock. Cut.")


def _if_too_far(way: Found, given: DeviceAsked) -> Iterator[str]:
    if way.method in ("from_teeth", "direct"):
        return
    turns = turns_back(given)
    if turns:
        yield ngettext_(
            "Gone too far: back {n} full turn, since the lost motion is {lost:.0f}″ at the spindle and half a turn "
            "would not take it up; and up again clockwise.",
            "Gone too far: back {n} full turns, since the lost motion is {lost:.0f}″ at the spindle and half a turn "
            "would not take it up; and up again clockwise.",
            turns,
            lost=given.backlash_arcsec,
        )
    elif given.backlash_arcsec is None:
        yield _("Gone too far: back half a turn, more than the lost motion, and up again clockwise.")
    else:
        yield _(
            "Gone too far: back half a turn (the lost motion is {lost:.0f}″ at the spindle) and up again clockwise.",
            lost=given.backlash_arcsec,
        )


def turns_back(given: DeviceAsked) -> int:
    """Full turns back that take up the lost motion where half a turn does not; 0 where it does or is not known."""
    if given.backlash_arcsec is None:
        return 0
    lost = Fraction(given.backlash_arcsec) * given.ratio / ARCSEC  # turns of the crank
    return floor(lost) + 1 if 2 * lost >= 1 else 0


def why(way: Found, device: Device, N: int) -> str:
    x, C = crank_turns(device.K, N), way.move.circle
    share, least = f"{exact(device.K)}/{N}", exact(x)
    facts = {"x": share if share == least else f"{share} = {least}", "N": N, "q": x.denominator, "C": C}
    if way.method == "plain" and way.exact and x.denominator == 1:
        return _("{x} whole turns; any circle serves, always in the same hole.", **facts)
    if way.method == "plain" and way.exact:
        return _("{x} of a turn, and {q} goes into {C}.", **facts)
    if way.method == "direct":
        return _("{N} goes into the {C} holes of the nose plate.", **facts)
    if way.p > 1:
        wanted, made = exact(way.p * x), exact(way.move.worm)
        return _(
            "{x} needs a circle that {q} goes into, and there is none. {p} teeth at once want {wanted} turns, and this "
            "makes {made}.",
            p=way.p,
            wanted=wanted,
            made=made,
            **facts,
        )
    if way.method in ("plain", "compound") and not way.exact:
        return _(
            "{x} needs a circle that {q} goes into, and there is none: this setting divides {got}.",
            got=exact(divides(device.K, way.move.worm)),
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
    if way.method == "counts" and device.counts is not None:
        each = exact(device.counts / N)
        return _("{each} counts a tooth; every count is rounded by itself, so nothing adds up.", each=each)
    if way.method == "dial":
        step = plain_number((device.dial or Fraction(0)) * ARCSEC)
        return _("Every reading is rounded by itself to {step}″, so nothing adds up.", step=step)
    return _("The new teeth join their old neighbours; what an old tooth is out, its copy is out.")


#: Method -> how it is proved before metal is cut.
_PROVE = {
    "direct": N_("Turn the nose plate once round by hand, pin in every hole of the list: back in the first after {N}."),
    "plain": N_("Go once round dry: after {N} moves {back}. Look at the quarters too."),
    "compound": N_("Go once round dry, both moves in their order: after {N} moves {back}."),
    "differential": N_(
        "Stop pin out. Turn the crank: the plate goes {sense} it. Then once round dry: after {N} moves {back}."
    ),
    "dial": N_(
        "Set all {N} readings once round dry and scribe each; after the last, the first line must be met again."
    ),
    "counts": N_("Touch all {N} counts once round dry; a full turn must bring back the first line and {full} counts."),
    "step_over": N_(
        "Go round {p} times dry with a scriber: {N} lines, each once. The widest gap is between neighbours."
    ),
    "plate_to_make": N_("Go once round the new plate with the pin; then once round dry: after {N} moves {back}."),
    "from_teeth": N_("Seat the detent in every sound space once round and read the spindle: does any stand out?"),
}
#: Method -> what usually goes wrong (the trade's slips).
_RISK = {
    "direct": N_(
        "Worm left half in mesh; put back one tooth off it shifts the whole pattern by one turn of the crank."
    ),
    "plain": N_("Counting the hole the pin stands in; another circle; arms nudged; a chart made for another ratio."),
    "compound": N_(
        "Order of the two moves changed, or the plate turned back without taking up the slack; stop pin left in."
    ),
    "differential": N_("Stop pin left in, idlers or gears changed about, slack of the train on top of the worm's."),
    "dial": N_(
        "Adding the rounded step instead of setting the list; a turn of the crank lost; coming up from the wrong side."
    ),
    "counts": N_("A count lost when the power goes, or the nought moved: keep the painted numbers as witness."),
    "step_over": N_("Taking a move for one tooth; stopping after the first round, when most spaces are still missing."),
    "plate_to_make": N_(
        "A hole drilled from the hole before it carries all errors on; a plate off centre swings once a turn."
    ),
    "from_teeth": N_("Setting on a worn flank, or walking from the space cut last: a bias adds up once per step."),
}


def prove(way: Found, device: Device, N: int) -> str:
    """How it is proved before metal is cut."""
    if way.errors is not None and way.errors.closing:
        off = arcsec(way.errors.closing)
        said = _("past") if off > 0 else _("short of")
        return _(
            "Go round dry with a scriber: {N} lines, each once; after {N} moves the spindle stands {off:.0f}″ {said} "
            "the first line, and that is this way's own error.",
            N=N,
            off=abs(off),
            said=said,
        )
    sense = _("with") if way.train is not None and way.train.sense > 0 else _("against")
    full = exact(device.counts) if device.counts is not None else ""
    return _(_PROVE[way.method], N=N, sense=sense, p=way.p, full=full, back=_back(way, N))


def _back(way: Found, N: int) -> str:
    """What is back after N moves that close: the spindle always, the pins only where they made whole turns."""
    move, pin = way.move, N * way.move.x % 1
    if move.circle is None:
        return ""
    stop = N * Fraction(move.second[1], move.second[0]) % 1 if move.second else Fraction(0)
    if pin == 0 and stop == 0:
        return _("both pins and the spindle are back") if move.second else _("pin and spindle stand where they began")
    facts = {"hole": int(pin * move.circle), "circle": move.circle}
    if move.second is None:
        return _("the spindle is back, and the pin stands {hole} spaces past its first hole on the {circle}", **facts)
    return _(
        "the spindle is back, the pin stands {hole} spaces past its first hole on the {circle}, the stop pin {other} "
        "past its own on the {second}",
        other=int(stop * move.second[0]),
        second=move.second[0],
        **facts,
    )


def risk(way: Found) -> str:
    """What usually goes wrong with it."""
    return _(_RISK[way.method])


def ranks(way: Found, r: float | None, tolerance: float) -> str:
    """Why it stands where it stands in the list."""
    minutes = max(1, round(way.seconds / 60))
    if way.errors is None:
        return _("Last, since its error is that of the ring's own teeth and not known here.")
    if way.errors.worst == 0:
        return _("No error of its own; about {min} minutes of indexing and hanging or drilling.", min=minutes)
    if r is None:
        off = arcsec(way.errors.worst)
        return _("{off:.1f}″ at worst; without a radius that cannot be held against the tolerance.", off=off)
    said = {
        "um": arc_um(way.errors.worst, r),
        "next": arc_um(way.errors.neighbour, r),
        "tolerance": tolerance,
        "min": minutes,
    }
    if within(way, r, tolerance):
        return _(
            "{um:.0f} µm at worst, {next:.0f} between neighbours, {tolerance:.0f} allowed; about {min} minutes.", **said
        )
    return _(
        "Behind all that stay within: {um:.0f} µm at worst, {next:.0f} between neighbours, {tolerance:.0f} allowed.",
        **said,
    )


def identity(way: Found, device: Device, N: int) -> str | None:
    """The closing identity with its numbers, for a setting of crank, plate and gears."""
    if way.method in ("dial", "counts", "from_teeth", "direct"):
        return None
    R = way.train.R if way.train else Fraction(0)
    left, right = N * way.move.worm, way.p * (device.K - R)
    turns = f"{N} × {exact(way.move.worm)} = {exact(left)}"
    wanted = exact(way.p * device.K) if not R else f"{exact(device.K)} {'-' if R > 0 else '+'} {exact(abs(R))}"
    return f"{turns} {'=' if left == right else '≠'} {wanted}"
