"""``setup_check``: does the ring fit the machine, will it stand. It warns; it never certifies."""

from __future__ import annotations

from math import cos, radians
from typing import Literal

from pydantic import Field

from ringwright.errors import Refusal
from ringwright.job.kit import Device, Machine
from ringwright.reckon import phrases
from ringwright.reckon.base import Answered, Asked, Came, Given, Millimetres, Note, Operation, Record, WorkingLine
from ringwright.reckon.ring import Ring
from ringwright.rigging import loads
from ringwright.words import N_, _

phrases.learn(
    "bore_too_large",
    N_("A bore of {value} leaves no ring."),
    N_("Below the outside diameter, {high}."),
    N_("Look at the bore and its unit."),
)
phrases.learn(
    "no_face_width",
    N_("Without the face width there is no weight and no height."),
    N_("ring.face_width_mm above nought."),
    N_("Measure the width across the teeth and put it in."),
)
phrases.learn(
    "sling_too_flat",
    N_("A sling at {value} from the horizontal is too flat."),
    N_("{low} to {high} from the horizontal."),
    N_("Use longer slings."),
)

#: Room between a part that turns and anything beside it [mm] (common practice).
CLEARANCE = 10.0
Verdict = Literal["goes", "look", "does_not_go"]
_RANK: dict[Verdict, int] = {"goes": 0, "look": 1, "does_not_go": 2}


class Section(Record):
    """The ring's body: its weight if it was weighed, else from bore and density."""

    bore_mm: Millimetres = Field(gt=0, le=100_000)
    mass_kg: float | None = Field(None, gt=0, le=100_000)
    density_kg_m3: float = Field(loads.STEEL, ge=1000, le=20_000)


class Reach(Record):
    """How far the cutter and its holder hang below the spindle nose."""

    diameter_mm: Millimetres | None = Field(None, gt=0, le=500)
    stick_out_mm: Millimetres = Field(gt=0, le=1000)


class Lock(Record):
    """The table's lock, as far as its data are known."""

    friction: float = Field(0.15, ge=0.02, le=0.5)
    force_n: float = Field(gt=0, le=1e6)
    radius_mm: Millimetres = Field(gt=0, le=5000)
    faces: int = Field(1, ge=1, le=20)


class SetupCheckAsked(Asked):
    """Which ring, on which machine and device, how set up."""

    ring: Ring
    section: Section
    machine: Machine
    device: Device
    set_up: Literal["flat", "upright"]
    work_at: Literal["+x", "-x", "+y", "-y"] | None = Field(
        None, description="flat: where on the ring the cutter works; +y is the column side"
    )
    cutter: Reach | None = None
    packing_mm: Millimetres = Field(0.0, ge=0, le=2000, description="parallels or plate under the ring, riser block")
    push_n: float | None = Field(None, gt=0, le=1e6, description="push of the cut along the rim")
    lock: Lock | None = None
    overhang_mm: Millimetres | None = Field(
        None, ge=0, le=5000, description="upright: middle of the ring beyond the edge of the device's base"
    )
    hold_down_nm: float | None = Field(None, ge=0, le=1e7, description="upright: what clamps and own weight hold")
    sling_angle_deg: float | None = Field(None, ge=5, le=90, description="of a sling leg from the horizontal")


class Fit(Given):
    """One thing that has to fit or hold: what there is, what is needed; the ``_mm`` pair where it is a length."""

    what: str
    have_mm: float | None
    need_mm: float | None
    have: float | None
    need: float | None
    unit: str
    ok: bool
    verdict: Verdict
    says: str


class SetupCheckAnswer(Answered):
    """Line by line, and the worst of them as verdict."""

    verdict: Verdict
    mass_kg: float
    total_on_table_kg: float | None
    tip_diameter_mm: float
    push_moment_nm: float | None
    fits: tuple[Fit, ...]
    cautions: tuple[str, ...]


def _fit(what: str, have: float | None, need: float, unit: str, says: str, otherwise: str, bad: Verdict) -> Fit:
    """One line; without ``have`` there is nothing to say but: look."""
    length = unit == "mm"
    ok = have is not None and have >= need
    return Fit(
        what=what,
        have_mm=have if length else None,
        need_mm=need if length else None,
        have=have,
        need=need,
        unit=unit,
        ok=ok,
        verdict="goes" if ok else ("look" if have is None else bad),
        says=says if ok else (_("Not known: measure it before you lift.") if have is None else otherwise),
    )


class _Sums:
    """The ring as a body, and what follows for this set-up [mm, kg]."""

    def __init__(self, asked: SetupCheckAsked) -> None:
        ring, self.asked = asked.ring, asked
        d = ring.teeth * ring.m_n / cos(radians(ring.helix_angle_deg))
        sign = 1 if ring.kind == "external" else -1
        tip = d + sign * 2 * ring.m_n * (ring.addendum_coef + sign * ring.profile_shift)
        self.tip = ring.tip_diameter_mm or tip
        bore = asked.section.bore_mm
        #: an internal ring has its teeth inside: what is called bore there is its outside diameter
        self.outside, self.inside = (self.tip, bore) if ring.kind == "external" else (bore, self.tip)
        self.r = self.outside / 2
        if ring.face_width_mm is None:
            raise Refusal("no_face_width", "face")
        self.face = ring.face_width_mm
        weighed = asked.section.mass_kg
        reckoned = loads.ring_mass(self.outside, self.inside, self.face, asked.section.density_kg_m3)
        self.reckoned = reckoned
        self.mass = reckoned if weighed is None else weighed

    @property
    def stick_out(self) -> float:
        return self.asked.cutter.stick_out_mm if self.asked.cutter else 0.0


def _axis(machine: Machine, name: str) -> float | None:
    return next((a.travel_mm for a in machine.axes if a.name == name), None)


def _flat(s: _Sums, work_at: str) -> list[Fit]:
    asked, m, dev = s.asked, s.asked.machine, s.asked.device
    throat = {"+y": CLEARANCE, "-y": 2 * s.r + CLEARANCE}.get(work_at, s.r + CLEARANCE)
    found = [
        _fit(
            "throat",
            m.throat_mm,
            throat,
            "mm",
            _("The ring clears the column."),
            _("The ring meets the column. Work at another side of it, or stand it upright."),
            "does_not_go",
        )
    ]
    if dev.height_flat_mm is None:
        height = None
    else:
        height = m.spindle_nose_to_table_mm
    found.append(
        _fit(
            "height",
            height,
            (dev.height_flat_mm or 0) + asked.packing_mm + s.face + s.stick_out + CLEARANCE,
            "mm",
            _("Device, packing, ring and cutter go under the spindle with the head upright."),
            _("Too high under the spindle: a lower device, less packing or a shorter holder."),
            "does_not_go",
        )
    )
    axis = "saddle" if work_at in ("+y", "-y") else "table"
    travel, size = _axis(m, axis), dev.table_diameter_mm
    # across, where the saddle's middle stands under the spindle hangs on ram and column: it is not known from the kit
    known = axis == "table" and travel is not None and size is not None
    room = (travel or 0) / 2 + max(0.0, (m.table_length_mm - (size or 0)) / 2) if known else None
    found.append(
        _fit(
            f"travel_{axis}",
            room,
            s.r + CLEARANCE,
            "mm",
            _("The rim comes under the spindle, the device bolted off the middle where needed."),
            _("The rim does not come under the spindle on this axis. Work at another side."),
            "does_not_go",
        )
    )
    if size is not None:
        found.append(
            _fit(
                "seat",
                size,
                s.inside + 2 * CLEARANCE,
                "mm",
                _("The ring lies on the table itself."),
                _("The ring is wider inside than the table: bolt down a plate that carries and centres it."),
                "look",
            )
        )
        found.append(
            _fit(
                "overhang",
                size / 2,
                s.r,
                "mm",
                _("The rim lies on the table."),
                _("The rim hangs over. Jack it beside the cutter, or it sings and lifts. Reset the jack each tooth."),
                "look",
            )
        )
    return found


def _upright(s: _Sums) -> list[Fit]:
    asked, m, dev = s.asked, s.asked.machine, s.asked.device
    centre = None if dev.centre_height_mm is None else dev.centre_height_mm + asked.packing_mm
    if not dev.stands_upright and centre is None:
        return [
            Fit(
                what="stands_upright",
                have_mm=None,
                need_mm=None,
                have=None,
                need=None,
                unit="",
                ok=False,
                verdict="does_not_go",
                says=_("This device does not stand upright. Lay the ring flat, or use another."),
            )
        ]
    found = [
        _fit(
            "swing",
            centre,
            s.r + CLEARANCE,
            "mm",
            _("The ring swings over the machine table."),
            _(
                "It does not swing: {short} mm too low. Raise the device by that, hang the ring over the table's end, "
                "or lay it flat.",
                short=f"{s.r + CLEARANCE - (centre or 0):.0f}",
            ),
            "does_not_go",
        ),
        _fit(
            "height",
            None if centre is None else m.spindle_nose_to_table_mm,
            (centre or 0) + s.r + s.stick_out + CLEARANCE,
            "mm",
            _("Spindle nose and cutter go over the ring."),
            _("No room over the ring for the cutter."),
            "does_not_go",
        ),
    ]
    if asked.overhang_mm is not None:
        tip_over = loads.overhang_moment(s.mass, asked.overhang_mm)
        found.append(
            _fit(
                "tipping",
                asked.hold_down_nm,
                loads.TIP_SAFETY * tip_over,
                "N m",
                _("Held twice over against tipping."),
                _("It may tip. Do not let the sling go before clamps or a support hold twice the tipping moment."),
                "look",
            )
        )
    return found


def _weights(s: _Sums) -> list[Fit]:
    asked, dev = s.asked, s.asked.device
    load = dev.load_flat_kg if asked.set_up == "flat" else dev.load_upright_kg
    return [
        _fit(
            "device_load",
            load,
            s.mass,
            "kg",
            _("The device carries the ring."),
            _("Too heavy for the device. Carry the ring on the machine table and only turn it from the device."),
            "does_not_go",
        ),
        _fit(
            "table_load",
            asked.machine.table_load_kg,
            s.mass + (dev.mass_kg or 0),
            "kg",
            _("The machine table carries ring and device."),
            _("Too heavy for the machine table."),
            "does_not_go",
        ),
    ]


def _worm_lock(s: _Sums) -> list[Fit]:
    asked = s.asked
    if asked.push_n is None:
        return []
    moment = loads.rim_moment(asked.push_n, s.tip / 2)
    have = None
    if not asked.device.has_lock:
        have = 0.0
    elif asked.lock is not None:
        have = loads.lock_moment(asked.lock.friction, asked.lock.force_n, asked.lock.radius_mm, asked.lock.faces)
    line = _fit(
        "worm_lock",
        have,
        loads.HOLD_SAFETY * moment,
        "N m",
        _("The lock holds the push. Lock before every cut: the worm alone must not carry it."),
        _("The lock does not hold the push, and the worm alone must not carry it. Clamp the ring itself for each cut."),
        "look",
    )
    if have is None:
        told = _(
            "The lock's strength is not known. The worm alone must not carry the cut: lock, and clamp the ring to the "
            "machine table beside the cutter."
        )
        line = line.model_copy(update={"says": told})
    return [line]


def _cautions(s: _Sums) -> tuple[str, ...]:
    asked = s.asked
    said = []
    if s.mass > loads.BY_HAND_KG:
        said.append(
            _(
                "{mass} kg: not to be lifted by one person. Two slings through the bore, slung level, "
                "or tested gear; nobody under it. Local rules come first.",
                mass=f"{s.mass:.0f}",
            )
        )
    if asked.sling_angle_deg is not None:
        factor = loads.sling_leg_factor(asked.sling_angle_deg)
        said.append(
            _(
                "Each of two sling legs pulls {pull} kg at {angle} degrees. Count on two legs, even with more.",
                pull=f"{s.mass / 2 * factor:.0f}",
                angle=f"{asked.sling_angle_deg:g}",
            )
        )
    if asked.set_up == "upright":
        said.append(_("Keep the sling on until clamps hold. An upright ring rolls."))
    said.append(_("Spin the ring round once by hand, cutter out of the way, before the first cut."))
    return tuple(said)


def _notes(s: _Sums, work_at: str) -> tuple[Note, ...]:
    asked = s.asked
    found = [
        Note(
            code="no_certificate",
            text=_("This warns; it certifies nothing. The maker's plates, your eyes and local rules decide."),
        ),
        Note(code="clearance_used", text=_("10 mm of room beside moving parts is reckoned in (common practice).")),
    ]

    def note(code: str, text: str) -> None:
        found.append(Note(code=code, text=text))

    if asked.section.mass_kg is None:
        note(
            "mass_reckoned",
            _("Weight of a plain ring between bore and tip diameter, spaces counted as metal: a little heavy."),
        )
        if "density_kg_m3" not in asked.section.model_fields_set:
            note("density_used", _("Density of steel, 7850 kg/m3, was used."))
    elif not 0.5 <= asked.section.mass_kg / s.reckoned <= 2:
        note(
            "mass_doubtful",
            _("A plain ring of this size would weigh {mass} kg. Look at the weight again.", mass=f"{s.reckoned:.0f}"),
        )
    if asked.set_up == "flat" and asked.work_at is None:
        note("work_at_used", _("Taken as cutting at the right-hand side of the ring ({at}).", at=work_at))
    if asked.cutter is None:
        note("no_cutter", _("No cutter was given: its length is not in the height."))
    if asked.device.mass_kg is None:
        note("device_mass_missing", _("The device's own weight is not known and not in the load."))
    if asked.push_n is None:
        note(
            "no_push", _("No push of the cut was given: the lock was not looked at. The worm alone must not carry it.")
        )
    if asked.set_up == "upright" and asked.overhang_mm is None:
        note("no_overhang", _("No overhang was given: tipping was not looked at."))
    if asked.machine.head_nods_deg or asked.machine.head_tilts_deg:
        note("head_moves", _("With the head nodded or tilted the spindle nose moves: measure throat and height anew."))
    if asked.lock is not None and "friction" not in asked.lock.model_fields_set:
        note("friction_used", _("Friction 0.15 in the lock was used; oily faces hold less."))
    return tuple(found)


def setup_check(asked: SetupCheckAsked) -> SetupCheckAnswer:
    """What fits, what holds, what to look at."""
    s = _Sums(asked)
    work_at = asked.work_at or "+x"
    fits = (_flat(s, work_at) if asked.set_up == "flat" else _upright(s)) + _weights(s) + _worm_lock(s)
    worst = max((f.verdict for f in fits), key=lambda v: _RANK[v])
    moment = None if asked.push_n is None else loads.rim_moment(asked.push_n, s.tip / 2)
    total = None if asked.device.mass_kg is None else s.mass + asked.device.mass_kg
    return SetupCheckAnswer(
        verdict=worst,
        mass_kg=s.mass,
        total_on_table_kg=total,
        tip_diameter_mm=s.tip,
        push_moment_nm=moment,
        fits=tuple(fits),
        cautions=_cautions(s),
        notes=_notes(s, work_at),
        sources=("steel-density", "common-practice", "vdi-3106-quoted"),
        working=_working(s) if asked.working else None,
    )


def _working(s: _Sums) -> tuple[WorkingLine, ...]:
    rho = s.asked.section.density_kg_m3
    return (
        WorkingLine(
            symbol="m",
            name=_("mass of a plain ring"),
            formula="m = π/4 (D² − d²) b ρ",
            put_in=f"π/4 · ({s.outside:g}² − {s.inside:g}²) · {s.face:g} mm · {rho:g} kg/m³",
            value=s.reckoned,
            unit="kg",
            source="steel-density",
        ),
        WorkingLine(
            symbol="r",
            name=_("room needed beside the axis"),
            formula="r = D/2 + 10",
            put_in=f"{s.outside:g}/2 + 10",
            value=s.r + CLEARANCE,
            unit="mm",
            source="common-practice",
        ),
    )


SETUP_CHECK = Operation(
    name="setup_check",
    purpose=N_("Does the ring fit the machine and device, will it stand: swing, throat, travel, load, lock, lifting."),
    asked=SetupCheckAsked,
    answered=SetupCheckAnswer,
    do=setup_check,
    came_from={
        "d_i": Came("section.bore_mm", "mm"),
        "d_o": Came("ring.teeth", "mm"),
        "b": Came("ring.face_width_mm", "mm"),
        "face": Came("ring", ""),
        "rho": Came("section.density_kg_m3", "kg/m3"),
        "mu": Came("lock.friction"),
        "F_lock": Came("lock.force_n", "N"),
        "r_lock": Came("lock.radius_mm", "mm"),
        "faces": Came("lock.faces"),
        "F": Came("push_n", "N"),
        "e": Came("overhang_mm", "mm"),
        "m": Came("section.mass_kg", "kg"),
        "sling_angle": Came("sling_angle_deg", "deg"),
    },
)
