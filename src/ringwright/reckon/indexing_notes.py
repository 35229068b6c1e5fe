"""What has to be said beside the ways: defaults that were used, limits, and what was left out."""

from __future__ import annotations

from collections.abc import Iterator

from ringwright.dividing.devices import Device
from ringwright.dividing.trains import simple_settings
from ringwright.dividing.ways import Way as Found
from ringwright.dividing.ways import within
from ringwright.reckon.base import Note
from ringwright.reckon.indexing_models import DivideAsked
from ringwright.reckon.indexing_ring import cannot_take
from ringwright.reckon.indexing_words import turns_back
from ringwright.words import N_, _, ngettext_

#: Ways shown at most, and rows of all their tables together.
MOST_WAYS, MOST_ROWS = 40, 12_000


def notes_of(asked: DivideAsked, found: list[Found], shelf: list[Device], rows: int) -> Iterator[Note]:
    methods = {way.method for way in found}
    yield from _tolerance(asked)
    yield from _devices(asked)
    if asked.radius_mm is None:
        yield Note(code="no_radius", text=_("No radius given: only ways without any error count as within tolerance."))
    if asked.methods is None:
        yield Note(
            code="default_methods",
            text=_(
                "Every method was looked for but the ring's own teeth; gears and two circles only where no circle "
                "serves alone; near compound moves only where no exact one is, compound trains only where no simple "
                "one serves."
            ),
        )
    best = found[0] if found else None
    if best is None and any(cannot_take(asked)):
        yield Note(code="no_way", text=_("No device here that takes the ring divides {n}.", n=asked.divisions))
    elif best is None:
        yield Note(code="no_way", text=_("Nothing on this shelf divides {n}.", n=asked.divisions))
    elif not within(best, asked.radius_mm, asked.allowed_um):
        yield Note(code="none_within", text=_("No way here stays within the tolerance; the nearest come first."))
    yield Note(
        code="effort_common_practice",
        text=_("Seconds are for comparing the ways only: common practice, no source."),
    )
    if "dial" in methods or "counts" in methods:
        yield Note(
            code="resolution_is_not_accuracy",
            text=_(
                "Errors are those of the reckoning; what a dial or readout resolves is not what the table is true to."
            ),
        )
    if "differential" in methods:
        yield Note(
            code="train_direction",
            text=_("Heads differ by a bevel pair: prove by hand which way the plate turns before cutting."),
        )
        yield from _reach(asked, found, shelf)
        if any(w.train and w.train.idlers and w.train.between is None for w in found):
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


def _tolerance(asked: DivideAsked) -> Iterator[Note]:
    if asked.tolerance_um is not None:
        return
    if asked.work is None:
        yield Note(code="default_tolerance", text=_("Tolerance taken as 50 µm of worst error."))
        return
    text = _(
        "Tolerance by the work, {work}: {um:.0f} µm of worst error (common practice, no source).",
        work=_(_WORK[asked.work]),
        um=asked.allowed_um,
    )
    yield Note(code="default_tolerance", text=text)


_WORK = {
    "lead_in": N_("a lead-in"),
    "flank": N_("flanks"),
    "gash": N_("gashing before the form is cut"),
    "marks": N_("marks"),
}


def _devices(asked: DivideAsked) -> Iterator[Note]:
    left_out = sorted({c for d in asked.shelf for c in d.blanked})
    if left_out:
        text = _("Circles left out as blanked: {circles}.", circles=", ".join(map(str, left_out)))
        yield Note(code="blanked", text=text)
    if any(d.damaged for d in asked.shelf):
        yield Note(
            code="damaged_holes",
            text=_(
                "Settings that would meet a damaged hole are left out; start_hole is counted from the hole marked 0. "
                "The holes of a table count from where the pin stands at tooth 1."
            ),
        )
    for at, device in enumerate(asked.shelf):
        turns = turns_back(device)
        if turns:
            text = ngettext_(
                "The lost motion of {device} is half a turn of its crank or more: where half a turn back is said, go "
                "back {n} full turn.",
                "The lost motion of {device} is half a turn of its crank or more: where half a turn back is said, go "
                "back {n} full turns.",
                turns,
                device=device.name or _("device {n}", n=at + 1),
            )
            yield Note(code="lost_motion_large", text=text)
    if asked.set_up is None and (asked.outside_diameter_mm is not None or asked.mass_kg is not None):
        text = _(
            "How the ring has to stand is not said (set_up): a device is left out only if it can take it neither way."
        )
        yield Note(code="set_up_not_said", text=text)
    if asked.outside_diameter_mm is None and any(d.centre_height_mm is not None for d in asked.shelf):
        yield Note(
            code="swing_not_looked_at", text=_("Whether the ring swings was not looked at: no outside diameter.")
        )
    if asked.set_up == "flat" and any(d.change_gears for d in asked.shelf):
        yield Note(
            code="train_needs_level",
            text=_(
                "No differential ways: lying flat, the ring needs the spindle upright, and the usual head can be "
                "geared only with its spindle level (common practice)."
            ),
        )


def _reach(asked: DivideAsked, found: list[Found], shelf: list[Device]) -> Iterator[Note]:
    if asked.set_up is None:
        yield Note(
            code="head_level",
            text=_("A geared head has to stand with its spindle level; tilted, the usual head cannot be geared."),
        )
    if any(w.train and shelf[w.device].quadrant is None for w in found):
        yield Note(
            code="reach_not_looked_at",
            text=_("Whether the gears reach each other was not looked at: give the device's quadrant."),
        )


def unreached(asked: DivideAsked, found: list[Found], shelf: list[Device]) -> Iterator[Note]:
    """Simple trains that divide but whose gears do not reach each other on the quadrant."""
    for at, device in enumerate(shelf):
        if device.quadrant is None or (asked.methods is not None and "differential" not in asked.methods):
            continue
        hung = {train.R for _, train in simple_settings(device, asked.divisions)}
        far = [t for _, t in simple_settings(device, asked.divisions, any_reach=True) if t.R not in hung]
        if far:
            pairs = ", ".join(f"{t.spindle}/{t.worm}" for t in sorted(far, key=lambda t: t.ratio)[:6])
            text = _(
                "Simple trains that would divide but do not reach on the quadrant of {device}: {pairs}.",
                device=asked.shelf[at].name or _("device {n}", n=at + 1),
                pairs=pairs,
            )
            yield Note(code="train_cannot_reach", text=text)
