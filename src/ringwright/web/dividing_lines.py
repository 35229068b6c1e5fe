"""Set out, the division: the whole shelf asked at once, why each way ranks so, what is left out, the ring as it is."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi, radians
from typing import Any

from ringwright.job.document import JobDocument, RingMeasured, RoundPlan
from ringwright.job.kit import Device, Kit
from ringwright.quantities import read_length
from ringwright.reckon import answers
from ringwright.reckon.base import Problems
from ringwright.reckon.ring import Ring
from ringwright.web.divided import Picture, pictures
from ringwright.web.forms import given
from ringwright.web.pages import Line, length, number, signed
from ringwright.words import N_, _

METHODS: dict[str, str] = {
    "direct": N_("direct"),
    "plain": N_("plain"),
    "compound": N_("compound"),
    "differential": N_("differential"),
    "dial": N_("by the dial"),
    "counts": N_("by the readout"),
    "step_over": N_("several spaces at a time"),
    "from_teeth": N_("from the ring's own teeth"),
    "plate_to_make": N_("with a plate to make"),
}
#: Kind of a round -> what `divide` calls the work.
WORK = {"lead_in": "lead_in", "gash": "gash", "flank": "flank", "marks": "marks"}
#: As many devices as `divide` takes at once, and as many ways as a page shows.
MOST_DEVICES, MOST_WAYS = 12, 8
#: Places round the ring at which a run-out told by amount and tooth is put down.
_PLACES = 12


@dataclass(frozen=True, slots=True)
class WayChoice:
    """One way of dividing, to take."""

    index: int
    words: str
    device: str
    method: str
    error: str
    why: str
    ranks: str
    steps: str
    prove: str
    risk: str
    identity: str
    taken: bool
    within: bool
    pictures: tuple[Picture, ...]


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A device that cannot take the ring, and why."""

    device: str
    why: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RealRingSaid:
    """What the measured ring says to the plate; ``joints`` are the pitches between new and old teeth."""

    follow: str
    why: str
    lines: tuple[Line, ...]
    joints: tuple[Line, ...]


# -- what is asked ----------------------------------------------------------------------------------------------------


def request_of(
    plan: RoundPlan,
    ring: dict[str, Any],
    kit: Kit,
    device: Device,
    setup: dict[str, Any],
    set_up: str,
    tolerance: float,
) -> dict[str, Any]:
    """What `divide` is asked for a round: the chosen device first, then the rest of the shelf, and the ring's size."""
    shelf = [device, *(d for d in kit.devices if d.name != device.name)]
    size = size_of(setup)
    return given(
        [
            ("divisions", int(ring["teeth"])),
            ("devices", [d.as_offered() for d in shelf[:MOST_DEVICES]]),
            ("radius_mm", radius_of(ring)),
            ("tolerance_um", tolerance),
            ("work", WORK.get(plan.kind, "flank")),
            ("set_up", set_up),
            ("outside_diameter_mm", size[0]),
            ("mass_kg", size[1]),
            ("teeth", list(plan.teeth) if plan.teeth is not None else None),
        ]
    )


def not_asked(kit: Kit) -> tuple[str, ...]:
    """A note when the shelf has more devices than are asked at once."""
    if len(kit.devices) <= MOST_DEVICES:
        return ()
    return (_("Only {n} devices are asked at once: the one chosen and the first of the shelf.", n=MOST_DEVICES),)


def size_of(setup: dict[str, Any]) -> tuple[float | None, float | None]:
    """Outside diameter [mm] and mass [kg] of the ring as the fit check has them; None where it cannot say."""
    try:
        fit = answers.answer("setup_check", setup)
    except Problems:
        return None, None
    outside = fit.tip_diameter_mm
    if setup["ring"].get("kind") == "internal":  # teeth inside: what is called bore there is the outside diameter
        bore = setup["section"]["bore_mm"]
        outside = float(read_length(bore)) if isinstance(bore, str) else bore
    return round(outside, 3), round(fit.mass_kg, 2)


def radius_of(ring: dict[str, Any]) -> float:
    """Reference radius [mm], where an error of position counts."""
    asked = Ring.model_validate(ring)
    return asked.m_n * asked.teeth / (2 * cos(radians(asked.helix_angle_deg)))


def with_ring(job: JobDocument, asked: dict[str, Any] | None) -> tuple[dict[str, Any] | None, tuple[str, ...]]:
    """The same request with what was measured on the ring since; where that does not serve it, without, and why."""
    if asked is None or job.map.measured is None or asked.get("radius_mm") is None:
        return asked, ()
    teeth = int(asked["divisions"])
    measured = as_asked(job.map.measured, teeth)
    if not measured:
        return asked, ()
    more = {**asked, "measured": given([*measured.items(), ("sound", _sound(job, measured, teeth) or None)])}
    try:
        answers.answer("divide", more)
    except Problems as faults:
        return asked, tuple(f"{p.what} {p.do}" for p in faults.problems)
    return more, ()


def as_asked(of: RingMeasured, teeth: int) -> dict[str, Any]:
    """``measured`` of `divide`; empty when nothing was read. A run-out told by amount and tooth is off centre alone."""
    run_out = [one.model_dump() for one in of.round_um]
    if not run_out and of.run_out_um is not None and of.high_at is not None:
        half, places = of.run_out_um / 2, min(teeth, _PLACES)
        spread = [1 + k * teeth // places for k in range(places)]
        run_out = [{"tooth": n, "um": round(half * cos(2 * pi * (n - of.high_at) / teeth), 3)} for n in spread]
    stretch = {"from_tooth": of.from_tooth, "to_tooth": of.to_tooth, "shrunk_um": of.shrunk_um}
    return given(
        [
            ("pitch_um", [one.model_dump() for one in of.pitch_um] or None),
            ("run_out_um", run_out or None),
            ("stretch", stretch if None not in stretch.values() else None),
        ]
    )


def _sound(job: JobDocument, measured: dict[str, Any], teeth: int) -> list[int]:
    """Teeth that the map has nothing against, and that were measured: they set the plate's place."""
    hurt = {mark.tooth for mark in job.map.marks}
    for run in (s for s in job.map.stretches if s.kind == "weld"):
        hurt |= {(run.first - 1 + k) % teeth + 1 for k in range((run.last - run.first) % teeth + 1)}
    read = {one["tooth"] for one in measured.get("pitch_um", ())} or set(range(1, teeth + 1))
    return sorted(read - hurt)


# -- which way was taken ----------------------------------------------------------------------------------------------


def same_way(kept: dict[str, Any], way: Any) -> bool:
    """Whether a way that was taken is this one."""
    now = way.model_dump(mode="json")
    return all(kept.get(name) == now[name] for name in ("method", "device", "move", "gears"))


def kept_way(old: RoundPlan, asked: dict[str, Any]) -> dict[str, Any] | None:
    """The way taken before, as today's answer has it; None when the device asked first does not give it any more."""
    if old.way is None or old.way.get("device") != asked["devices"][0]["name"]:
        return None
    try:
        ways = answers.answer("divide", asked).ways
    except Problems:
        return None
    found = next((way for way in ways if same_way(old.way, way)), None)
    return None if found is None else dict(found.model_dump(mode="json"))


def taking(plan: RoundPlan, kit: Kit, way: Any) -> RoundPlan:
    """The plan with a way taken; a way of another device brings that device, and its fit, with it."""
    changed: dict[str, Any] = {"way": way.model_dump(mode="json")}
    device = next((d for d in kit.devices if d.name == way.device), None)
    if device is not None and device.name != plan.device:
        changed["device"] = device.name
        if plan.setup is not None:
            changed["setup"] = {**plan.setup, "device": device.model_dump(mode="json", exclude_none=True)}
    return plan.model_copy(update=changed)


# -- what is said -----------------------------------------------------------------------------------------------------


def ways_of(divided: Any, plan: RoundPlan) -> tuple[WayChoice, ...]:
    """The first ways, and the one taken wherever it stands."""
    ways = list(enumerate(divided.ways)) if divided is not None else []
    shown = [(i, w) for i, w in ways if i < MOST_WAYS or (plan.way is not None and same_way(plan.way, w))]
    return tuple(_choice(i, w, plan) for i, w in shown)


def _choice(i: int, w: Any, plan: RoundPlan) -> WayChoice:
    if w.worst_error_um is None:
        error = _("as its teeth are")
    else:
        error = _("exact") if w.exact else _("{um} µm at worst", um=number(w.worst_error_um, 1))
    return WayChoice(
        index=i,
        words=move_said(w),
        device=w.device,
        method=_(METHODS.get(w.method, w.method)),
        error=error,
        why=w.why,
        ranks=w.ranks,
        steps=w.steps_note,
        prove=w.prove,
        risk=w.risk,
        identity=w.identity or "",
        taken=plan.way is not None and same_way(plan.way, w),
        within=w.within_tolerance,
        pictures=pictures(w),
    )


def move_said(way: Any) -> str:
    """One move in words."""
    move = way.move
    if way.method == "from_teeth":
        return _("One tooth on, by the detent")
    if way.counts_per_move is not None:
        return _("about {n} counts a tooth, each set by itself", n=way.counts_per_move)
    if move.dial is not None:
        turned = _("{n} turns and ", n=move.turns) if move.turns else ""
        return _("{turned}{dial} a tooth, each set by itself", turned=turned, dial=str(move.dial))
    turns = _("{n} full turns", n=move.turns) if move.turns else _("No full turn")
    if move.circle is None:
        return turns
    said = _("{turns}, {holes} spaces on the {circle} circle", turns=turns, holes=move.holes, circle=move.circle)
    if move.second is not None:
        said += "; " + _(
            "{holes} on the {circle} circle, plate and crank together",
            holes=move.second.holes,
            circle=move.second.circle,
        )
    return said


def left_out(divided: Any, asked: dict[str, Any] | None) -> tuple[LeftOut, ...]:
    """Devices that cannot take the ring as it stands, and whether the other way round it could."""
    if divided is None or not divided.cannot_take or asked is None:
        return ()
    return tuple(LeftOut(one.device, (one.why, *_turned(one.device, asked))) for one in divided.cannot_take)


def _turned(device: str, asked: dict[str, Any]) -> tuple[str, ...]:
    """What the same device says to the ring standing the other way; nothing where either way was asked for."""
    set_up = asked.get("set_up")
    if set_up is None:
        return ()
    other, word = ("upright", _("Upright")) if set_up == "flat" else ("flat", _("Lying flat"))
    try:
        left = answers.answer("divide", {**asked, "set_up": other, "methods": ["from_teeth"]}).cannot_take
    except Problems:
        return ()
    then = next((one.why for one in left if one.device == device), _("it would take the ring."))
    return (f"{word}: {then}",)


def real_ring_of(divided: Any, unit: str) -> RealRingSaid | None:
    """Follow the teeth or the plate, in figures; None when nothing was measured."""
    real = divided.real_ring if divided is not None else None
    if real is None:
        return None
    return RealRingSaid(
        follow=_("Follow the plate") if real.follow == "plate" else _("Follow the teeth"),
        why=real.why,
        lines=tuple(line for line in _real_lines(real, unit) if line is not None),
        joints=tuple(_joint(joint) for joint in real.joints),
    )


def _real_lines(real: Any, unit: str) -> list[Line | None]:
    def um(label: str, value: float | None, why: str = "", sign: bool = False) -> Line | None:
        if value is None:
            return None
        return Line(label, signed(value, 0) if sign else number(value, 0), "µm", why)

    high = _("high at tooth {n}", n=real.centre_high_tooth) if real.centre_high_tooth else ""
    oval = _("high at tooth {n} and across from it", n=real.oval_high_tooth) if real.oval_high_tooth else ""
    centre = (length(real.centre_off_um / 1000, unit), unit) if real.centre_off_um is not None else None
    return [
        um(_("By the plate: furthest off a tooth"), real.plate.off_tooth_um),
        um(_("By the plate: worst pitch"), real.plate.worst_pitch_um),
        um(_("By the teeth: worst pitch"), real.teeth.worst_pitch_um),
        um(_("The seam at the joint"), real.seam_um, _("where new teeth meet old ones, by the plate")),
        um(_("Set the plate on by"), real.set_plate_by_um, _("mean of the sound teeth, against tooth 1"), sign=True),
        Line(_("Off centre"), *centre, _join(high, _("clock it out first"))) if centre else None,
        um(
            _("Oval"),
            real.oval_um if (real.oval_um or 0) >= 0.5 else None,
            _join(oval, _("clocking does not take it out")),
        ),
        um(_("The pitches miss closing by"), real.closing_um, "", sign=True),
    ]


def _join(*parts: str) -> str:
    return "; ".join(part for part in parts if part)


def _joint(joint: Any) -> Line:
    return Line(
        _("Between {tooth} and {next}", tooth=joint.tooth, next=joint.next),
        signed(joint.plate_um, 0),
        "µm",
        _("by the teeth {um} µm", um=signed(joint.teeth_um, 0)),
    )
