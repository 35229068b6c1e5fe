"""What a tooth still carries: the sound tooth by Lewis, and what is left of it as it is, always a range."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import Field, model_validator

from ringwright.errors import OutOfRange
from ringwright.reckon import phrases
from ringwright.reckon.base import Answered, Asked, Came, Given, Millimetres, Note, Operation, Record, WorkingLine
from ringwright.reckon.measuring import core_ring
from ringwright.reckon.ring import Ring
from ringwright.strength import left, lewis
from ringwright.strength.lewis import System
from ringwright.words import N_, _

LookedFor = Literal["no", "eye", "dye", "magnetic"]

phrases.learn(
    "root_reading_whole",
    N_("A reading near the root needs its height and the same reading on a sound tooth."),
    N_("thickness_root_mm, sound_root_mm and root_height_mm together, or none of them."),
    N_("Measure a sound tooth at the same setting of the caliper, and say how high above the root it is."),
)
phrases.learn(
    "thickness_needed",
    N_("A reading near the root says nothing without the one at the pitch line."),
    N_("thickness_mm, whenever thickness_root_mm is given."),
    N_("Give the thickness at the pitch line too."),
)
phrases.learn(
    "face_width_needed",
    N_("What is left of the face cannot be judged without its whole width."),
    N_("ring.face_width_mm, whenever face_left_mm or a load is given."),
    N_("Measure the face width and put it in."),
)


class Load(Record):
    """A load on one tooth, to put a figure in MPa beside the range."""

    tangential_force_n: float = Field(gt=0, le=1e7)
    speed_m_s: float = Field(0.0, ge=0, le=50)
    made: Literal["cast", "cut", "hobbed", "ground"] = "cut"


class ToothStrengthAsked(Asked):
    """One tooth as it is."""

    ring: Ring
    thickness_mm: Millimetres | None = Field(None, ge=0, le=300, description="at the pitch line")
    sound_thickness_mm: Millimetres | None = Field(
        None, gt=0, le=300, description="of a sound tooth, same setting; left out: as drawn"
    )
    thickness_root_mm: Millimetres | None = Field(None, ge=0, le=300, description="near the root")
    sound_root_mm: Millimetres | None = Field(None, gt=0, le=300, description="of a sound tooth, same setting")
    root_height_mm: Millimetres | None = Field(
        None, gt=0, le=300, description="of the reading near the root, above the root circle"
    )
    thickness_tip_mm: Millimetres | None = Field(None, ge=0, le=300)
    face_left_mm: Millimetres | None = Field(None, ge=0, le=5000, description="full-height face that still carries")
    cracks_looked_for: LookedFor = "no"
    cracked: bool = False
    system: System | None = Field(None, description="whose Lewis factors; left out: by the ring's proportions")
    load: Load | None = None

    @model_validator(mode="after")
    def _whole(self) -> Self:
        near_root = (self.thickness_root_mm, self.sound_root_mm, self.root_height_mm)
        if any(r is not None for r in near_root):
            if None in near_root:
                raise ValueError("root_reading_whole")
            if self.thickness_mm is None:
                raise ValueError("thickness_needed")
        if (self.face_left_mm is not None or self.load is not None) and self.ring.face_width_mm is None:
            raise ValueError("face_width_needed")
        return self


class Part(Given):
    """A range in parts of the sound tooth."""

    low: float
    high: float


class LeftBy(Given):
    """The two losses apart."""

    wear: Part
    face: Part


class LewisFactor(Given):
    """Whose factor, for how many teeth (virtual ones where helical), and how great."""

    system: System
    teeth: float
    factor: float


class Stress(Given):
    """Lewis stress under the load given; ``as_it_is`` null where no ratio is given or no bound is known."""

    velocity_factor: float
    sound_mpa: float
    as_it_is_low_mpa: float | None
    as_it_is_high_mpa: float | None


class ToothStrengthAnswer(Answered):
    """What is left; ``left`` is null and ``look_first`` true until the roots were looked at and found sound."""

    look_first: bool
    says: str
    left: Part | None
    left_by: LeftBy | None
    loss: float | None = Field(description="metal gone at the pitch line in parts of half the circular pitch")
    common_rule: float | None = Field(description="what the trade's rule (1 - w)^2 would say of that wear")
    lewis: LewisFactor | None
    stress: Stress | None


def part(found: left.Range) -> Part:
    """A core range as an answer writes it."""
    return Part(low=found.low, high=found.high)


def looking_first(looked: LookedFor, cracked: bool) -> str | None:
    """Why no ratio is given, in words; None when one may be."""
    if cracked:
        return _("There is a crack: no figure can be given. Find its ends, then weld, stop it or take another ring.")
    if looked == "no":
        return _("Look first: nobody has looked for cracks in the roots. Clean them, use dye or magnetic powder.")
    return None


def crack_notes(looked: LookedFor) -> list[Note]:
    """What the way of looking can miss."""
    if looked != "eye":
        return []
    text = _("Looked at by eye only: a hair crack in a root is easily missed. Dye or magnetic powder shows it.")
    return [Note(code="eye_only", text=text)]


def tooth_strength(asked: ToothStrengthAsked) -> ToothStrengthAnswer:
    """What one tooth still carries, in parts of the sound tooth."""
    notes: list[Note] = []
    lines: list[WorkingLine] = []
    loss, wear = _wear(asked, notes, lines)
    face = _face(asked, notes, lines)
    both = wear * face
    why_not = looking_first(asked.cracks_looked_for, asked.cracked)
    if "cracks_looked_for" not in asked.model_fields_set:
        notes.append(Note(code="default_used", text=_("Whether cracks were looked for was not said: taken as no.")))
    notes += crack_notes(asked.cracks_looked_for)
    factor = _lewis(asked, notes, lines)
    return ToothStrengthAnswer(
        look_first=why_not is not None,
        says=why_not or _says(both),
        left=None if why_not else part(both),
        left_by=None if why_not else LeftBy(wear=part(wear), face=part(face)),
        loss=loss,
        common_rule=None if loss is None or why_not else left.common_wear_rule(min(loss, 1.0)),
        lewis=factor,
        stress=_stress(asked, factor, None if why_not else both, notes, lines),
        notes=tuple(notes),
        sources=("lewis-table", "worn-flank-elements", *(("shigley-gear-rating",) if asked.load else ())),
        working=tuple(lines) if asked.working else None,
    )


def _says(both: left.Range) -> str:
    low, high = round(100 * both.low), round(100 * both.high)
    if low == high:
        return _("About {low} % of the sound tooth is left.", low=low)
    return _("Between {low} and {high} % of the sound tooth is left.", low=low, high=high)


def _wear(asked: ToothStrengthAsked, notes: list[Note], lines: list[WorkingLine]) -> tuple[float | None, left.Range]:
    if asked.thickness_mm is None:
        text = _("No thickness was given: wear is not counted.")
        notes.append(Note(code="thickness_not_measured", text=text))
        return None, left.SOUND
    m_n = asked.ring.m_n
    s_sound = asked.sound_thickness_mm
    if s_sound is None:
        s_sound = core_ring(asked.ring).s_n
        text = _("The sound tooth's thickness is taken as drawn: {s:.3f} mm.", s=s_sound)
        notes.append(Note(code="sound_as_drawn", text=text))
    w = left.loss_at_pitch_line(asked.thickness_mm, s_sound, m_n)
    if asked.thickness_mm > s_sound:
        text = _("This tooth is thicker than the sound one: look at the caliper's setting and at the ring.")
        notes.append(Note(code="thicker_than_sound", text=text))
    lines.append(
        WorkingLine(
            symbol="w",
            name=_("metal gone at the pitch line"),
            formula="w = max(0, s_sound - s) / (pi m_n / 2)",
            put_in=f"({s_sound:.4g} - {asked.thickness_mm:.4g}) / (pi * {m_n:.4g} / 2)",
            value=w,
            unit="",
            source="own-arithmetic",
        )
    )
    notes += _about_the_table(asked, w)
    if asked.thickness_root_mm is None or asked.sound_root_mm is None or asked.root_height_mm is None:
        text = _(
            "Thickness at one height only: the low end takes the wear as a step at the fillet, the high end as a"
            " taper towards the tip. A second reading near the root narrows the range."
        )
        notes.append(Note(code="one_height_only", text=text))
        return w, left.left_after_wear(min(w, 1.0))
    w_root = min(1.0, left.loss_at_pitch_line(asked.thickness_root_mm, asked.sound_root_mm, m_n))
    rack = core_ring(asked.ring)
    fades = left.fading_heights(min(w, 1.0), w_root, asked.root_height_mm, m_n, rack.rho_f, rack.alpha_n)
    return w, left.left_after_shaped_wear(min(w, 1.0), fades)


def _about_the_table(asked: ToothStrengthAsked, w: float) -> list[Note]:
    notes = []
    if w > 0:
        text = _(
            "The worn tooth is compared by plane finite elements of one ring (120 teeth, 20 degrees, full depth,"
            " one flank worn), linear between 0, 10, 15 and 20 % loss, good to about 3 %; all loss is put on one flank."
        )
        notes.append(Note(code="worn_table", text=text))
    ring = asked.ring
    if w > 0 and (ring.kind != "external" or ring.teeth < 60 or ring.pressure_angle_deg != 20):
        text = _("This ring is unlike the one of the table (external, 120 teeth, 20 degrees): take the range wider.")
        notes.append(Note(code="unlike_the_table", text=text))
    if w > left.most_wear():
        text = _("More metal has gone than the table covers (20 %): no lower bound is known, the low end is 0.")
        notes.append(Note(code="past_the_table", text=text))
    if asked.thickness_tip_mm is not None:
        text = _("Thin tips hardly change the bending strength; the reading is kept and not used here.")
        notes.append(Note(code="tip_not_used", text=text))
    return notes


def _face(asked: ToothStrengthAsked, notes: list[Note], lines: list[WorkingLine]) -> left.Range:
    b, b_left = asked.ring.face_width_mm, asked.face_left_mm
    if b is None or b_left is None:
        return left.SOUND
    if b_left > b:
        raise OutOfRange("face_left", b_left, 0, b)
    found = left.left_of_face(b, b - b_left)
    lines.append(
        WorkingLine(
            symbol="b_eff / b",
            name=_("part of the face that carries"),
            formula="(b - c) / b",
            put_in=f"({b:.4g} - {b - b_left:.4g}) / {b:.4g}",
            value=found.high,
            unit="",
            source="own-arithmetic",
        )
    )
    if b_left < b:
        text = _(
            "Face lost at one end: the high end spreads the load evenly over what is left; at the low end the load"
            " keeps its old middle and presses harder on the damaged side."
        )
        notes.append(Note(code="face_lost", text=text))
    return found


def _system(ring: Ring) -> System | None:
    alpha, h_a = ring.pressure_angle_deg, ring.addendum_coef
    if ring.kind != "external" or ring.profile_shift != 0:
        return None
    known: dict[tuple[float, float], System] = {
        (14.5, 1.0): "full_depth_14_5",
        (20.0, 1.0): "full_depth_20",
        (20.0, 0.8): "stub_20",
    }
    return known.get((alpha, h_a))


def _lewis(asked: ToothStrengthAsked, notes: list[Note], lines: list[WorkingLine]) -> LewisFactor | None:
    system = asked.system or _system(asked.ring)
    z = float(core_ring(asked.ring).z_v) if asked.ring.helix_angle_deg else float(asked.ring.teeth)
    if asked.ring.kind != "external" or system is None or not 12 <= z <= 1000:
        text = _(
            "No Lewis factor is printed for this tooth: they are for external, unshifted teeth of 12 and more,"
            " 14.5 degrees full depth, 20 degrees full depth or 20 degrees stub."
        )
        notes.append(Note(code="no_lewis_factor", text=text))
        return None
    if asked.system is None:
        text = _("Lewis factors taken by the ring's proportions: {name}.", name=system)
        notes.append(Note(code="system_by_proportions", text=text))
    if system == "full_depth_14_5":
        text = _(
            "The 14.5 degree table is of the old composite form; a generated tooth is 2 to 12 % weaker, the more the"
            " fewer its teeth."
        )
        notes.append(Note(code="old_14_5_table", text=text))
    Y = lewis.lewis_factor(z, system)
    lines.append(
        WorkingLine(
            symbol="Y",
            name=_("Lewis factor"),
            formula="Y = pi y(z), linear in 1/z between the printed counts",
            put_in=f"z = {z:.6g}, {system}",
            value=Y,
            unit="",
            source="lewis-table",
        )
    )
    return LewisFactor(system=system, teeth=z, factor=Y)


def _stress(
    asked: ToothStrengthAsked,
    factor: LewisFactor | None,
    both: left.Range | None,
    notes: list[Note],
    lines: list[WorkingLine],
) -> Stress | None:
    load, b = asked.load, asked.ring.face_width_mm
    if load is None or factor is None or b is None:
        return None
    K_v = lewis.velocity_factor(load.speed_m_s, load.made)
    sound = lewis.lewis_stress(load.tangential_force_n, b, asked.ring.m_n, factor.factor, K_v)
    text = _(
        "Lewis stress: load at the tip of one tooth, no stress raising at the fillet. It compares teeth; it is no"
        " rating. Shocks, a shrunk seat and life are not in it."
    )
    notes.append(Note(code="lewis_compares", text=text))
    for name in ("speed_m_s", "made"):
        if name not in load.model_fields_set:
            text = _("{name} was not given: taken as {value}.", name=name, value=getattr(load, name))
            notes.append(Note(code="default_used", text=text))
    m_n, Y = asked.ring.m_n, factor.factor
    lines.append(
        WorkingLine(
            symbol="sigma",
            name=_("Lewis stress of the sound tooth"),
            formula="sigma = K_v F_t / (b m_n Y)",
            put_in=f"{K_v:.4g} * {load.tangential_force_n:.6g} / ({b:.4g} * {m_n:.4g} * {Y:.4g})",
            value=sound,
            unit="MPa",
            source="lewis-table",
        )
    )
    return Stress(
        velocity_factor=K_v,
        sound_mpa=sound,
        as_it_is_low_mpa=sound / both.high if both and both.high > 0 else None,
        as_it_is_high_mpa=sound / both.low if both and both.low > 0 else None,
    )


TOOTH_STRENGTH = Operation(
    name="tooth_strength",
    purpose=N_("What one tooth still carries, as a range in parts of the sound tooth."),
    asked=ToothStrengthAsked,
    answered=ToothStrengthAnswer,
    do=tooth_strength,
    came_from={
        "s": Came("thickness_mm", "mm"),
        "s_sound": Came("sound_thickness_mm", "mm"),
        "h_root": Came("root_height_mm", "mm"),
        "face_left": Came("face_left_mm", "mm"),
        "F_t": Came("load.tangential_force_n", "N"),
        "v": Came("load.speed_m_s", "m/s"),
        "b": Came("ring.face_width_mm", "mm"),
        "z": Came("ring.teeth"),
        "m_n": Came("ring.module_mm", "mm"),
        "alpha_n": Came("ring.pressure_angle_deg", "deg"),
        "x": Came("ring.profile_shift"),
    },
)
