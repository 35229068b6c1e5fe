"""From what was typed under Set out to a round's plan: requests of the operations, made from the kit by name."""

from __future__ import annotations

from typing import Any, TypeVar

from ringwright.job.document import JobDocument, RoundPlan, Tolerances
from ringwright.job.kit import Cutter, Device, Kit, Machine
from ringwright.reckon import phrases
from ringwright.reckon.base import Problems
from ringwright.reckon.ring import Ring
from ringwright.web.dividing_lines import kept_way, request_of
from ringwright.web.forms import Typed, given, length, length_mm, number_or_text, whole
from ringwright.words import N_, _

phrases.learn(
    "not_in_kit",
    N_("“{value}” is not in the kit."),
    N_("A name that stands under Kit."),
    N_("Take one from the list, or put it into the kit first."),
)
phrases.learn(
    "ring_not_settled",
    N_("The ring is not settled yet."),
    N_("A ring settled under Find out, with its face width."),
    N_("Settle it first; every figure here stands on it."),
)
phrases.learn(
    "round_frozen",
    N_("This round was started: its sheet is frozen."),
    N_("A new revision with the changes."),
    N_("Make a new revision; what was cut stays in the log."),
)

phrases.learn(
    "form_cutter_differs",
    N_("The form cutter is engraved for {value}, the ring is of {ring}."),
    N_("A form cutter of the ring’s own module and pressure angle."),
    N_("Take another cutter, or look at what is engraved."),
)

_Thing = TypeVar("_Thing", Machine, Device, Cutter)

SIDES = ("+x", "-x", "+y", "-y", "+z", "-z")
SLIDES = ("+table", "-table", "+saddle", "-saddle", "+knee", "-knee", "+quill", "-quill")


def machine_of(kit: Kit, name: str) -> Machine:
    """The machine of that name; `Problems` when the kit has none."""
    return _named(kit.machines, name, "machine")


def device_of(kit: Kit, name: str) -> Device:
    """The dividing device of that name."""
    return _named(kit.devices, name, "device")


def cutter_of(kit: Kit, name: str) -> Cutter:
    """The cutter of that name."""
    return _named(kit.cutters, name, "cutter")


def _engraved_for(cutter: Cutter, ring: dict[str, Any]) -> None:
    """A form cutter carries the form of one pitch and one pressure angle."""
    asked = Ring.model_validate(ring)
    engraved = ((cutter.module_mm, asked.m_n, 1e-3), (cutter.pressure_angle_deg, asked.pressure_angle_deg, 0.05))
    if cutter.kind != "involute_form" or all(e is None or abs(e - is_) <= by for e, is_, by in engraved):
        return
    said = [f"{m:g} / {a:g}°" for m, a in zip(*((e or is_, is_) for e, is_, _by in engraved), strict=True)]
    raise Problems([phrases.problem("form_cutter_differs", "cutter", {"value": said[0], "ring": said[1]})])


def _named(shelf: tuple[_Thing, ...], name: str, where: str) -> _Thing:
    found = next((x for x in shelf if x.name == name), None)
    if found is None:
        raise Problems([phrases.problem("not_in_kit", where, {"value": name[:40]})])
    return found


def first_plan(job: JobDocument, kit: Kit, round_id: str) -> RoundPlan:
    """A round to begin with: the first machine, device and cutter of the kit, nothing reckoned yet."""
    return RoundPlan(
        round_id=round_id,
        title=_("Lead-in on the entry face"),
        machine=kit.machines[0].name if kit.machines else "",
        device=kit.devices[0].name if kit.devices else "",
        cutter=kit.cutters[0].name if kit.cutters else "",
    )


def plan_of(job: JobDocument, kit: Kit, old: RoundPlan, form: Typed, unit: str) -> RoundPlan:
    """The plan as typed. What has no answer is refused by the operations, which the caller asks."""
    if job.find_out.ring is None:
        raise Problems([phrases.problem("ring_not_settled", "", {})])
    ring = dict(job.find_out.ring)
    machine, device, cutter = (
        machine_of(kit, form["machine"]),
        device_of(kit, form["device"]),
        cutter_of(kit, form["cutter"]),
    )
    _engraved_for(cutter, ring)
    set_up = "upright" if form["set_up"] == "upright" else "flat"
    land = length_mm(form["position_um"], "mm", "position_um")
    tolerances = Tolerances.model_validate(
        given(
            [
                ("lead_mm", length_mm(form["tol_lead"], unit, "tol_lead")),
                ("end_land_mm", length_mm(form["tol_land"], unit, "tol_land")),
                ("position_um", land),
            ]
        )
    )
    d = {"work_at": form["work_at"], "feed_by": form["feed_by"], "entry": form["entry_face_looks"]}
    pose = given(
        [
            ("entry_face_looks", d["entry"] if d["entry"] in SIDES else "+z"),
            ("work_at", d["work_at"] if d["work_at"] in SIDES else "-y"),
            ("nod_deg", number_or_text(form["nod_deg"])),
            ("tilt_deg", number_or_text(form["tilt_deg"])),
            ("feed_by", d["feed_by"] if d["feed_by"] in SLIDES else "+saddle"),
            ("depth_by", form["depth_by"] if form["depth_by"] in SLIDES else None),
            ("tip", [length(form[name], unit) if form.text(name) else 0 for name in ("tip_r", "tip_t", "tip_a")]),
        ]
    )
    aim = form["aim"] if form["aim"] in ("lead_length_mm", "end_land_finished_mm", "infeed_mm") else "lead_length_mm"
    lead_in = {
        "ring": ring,
        "cutter": cutter.as_asked(),
        "pose": pose,
        "target": {aim: length(form["aim_value"], unit)},
        **given([("gauge_mm", length(form["gauge_mm"], unit)), ("worm_seats", form["worm_seats"])]),
    }
    setup = given(
        [
            ("ring", ring),
            (
                "section",
                given(
                    [
                        ("bore_mm", length(form["bore_mm"], unit)),
                        ("mass_kg", number_or_text(form["mass_kg"]) if form.text("mass_kg") else None),
                    ]
                ),
            ),
            ("machine", machine.model_dump(mode="json", exclude_none=True)),
            ("device", device.model_dump(mode="json", exclude_none=True)),
            ("set_up", set_up),
            ("work_at", d["work_at"] if set_up == "flat" and d["work_at"] in SIDES[:4] else None),
            ("cutter", {"diameter_mm": cutter.diameter_mm, "stick_out_mm": cutter.stick_out_mm}),
            ("packing_mm", length(form["packing_mm"], unit)),
            ("push_n", number_or_text(form["push_n"])),
        ]
    )
    divide = request_of(old, ring, kit, device, setup, set_up, tolerances.position_um)
    way = old.way if old.divide == divide else kept_way(old, divide)
    return RoundPlan(
        round_id=old.round_id,
        title=form.text("title")[:80] or old.title,
        machine=machine.name,
        device=device.name,
        cutter=cutter.name,
        set_up=set_up,
        lead_in=lead_in,
        divide=divide,
        way=way,
        setup=setup,
        teeth=old.teeth,
        hard_last=form["hard_last"] == "yes",
        passes=whole(form["passes"] or "1", "passes", 1, 20),
        witness_every=whole(form["witness_every"] or "10", "witness_every", 1, 200),
        least_seconds=float(whole(form["least_seconds"] or "8", "least_seconds", 0, 600)),
        turns="anticlockwise",  # the numbers run clockwise and the cutter stands still: nothing to choose
        tolerances=tolerances,
        revision=old.revision,
    )
