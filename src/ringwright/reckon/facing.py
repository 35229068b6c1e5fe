"""The chewed ends of a ring faced down: what is left of face, mesh and damage, and the lead-in on the new face."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal, Self

from pydantic import Field, model_validator

from ringwright.cutting.face_off import Faced, cuts, damage_left, steps_to_clear
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
    Record,
    WorkingLine,
)
from ringwright.reckon.leading import LEAD_IN
from ringwright.reckon.leading_answer import LeadInAnswer
from ringwright.reckon.leading_cutters import CUTTER_CAME, Cutter
from ringwright.reckon.leading_models import AskedAxis, AskedPose, LeadInRequest, Slide, Target
from ringwright.reckon.leading_more import on_axis
from ringwright.reckon.ring import Ring
from ringwright.words import N_, _, ngettext_

for _code, _what, _allowed, _do in (
    (
        "facing_target",
        N_("How much to face off has to be said in exactly one way."),
        N_("Exactly one of remove_mm, width_left_mm, clears_damage true."),
        N_("Leave one, take the others out."),
    ),
    (
        "face_width_for_facing",
        N_("The face width is missing."),
        N_("face_width_mm in the ring."),
        N_("Measure the face width and put it in."),
    ),
    (
        "no_damage_given",
        N_("No damage was given that facing could clear."),
        N_("At least one tooth with its depth in “damage”."),
        N_("Measure how far in from the face the damage goes, tooth by tooth."),
    ),
    (
        "nothing_left",
        N_("Nothing of the {value} face would be left."),
        N_("Less than the face width."),
        N_("Look at face width and target."),
    ),
    (
        "wider_than_now",
        N_("The face is {value} wide: it cannot be left wider."),
        N_("Less than the face width."),
        N_("Look at face width and target."),
    ),
    (
        "tooth_beyond_ring",
        N_("A tooth in the list is not on this ring, or stands there twice."),
        N_("Each tooth once, 1 to the number of teeth."),
        N_("Look at the tooth numbers."),
    ),
):
    phrases.learn(_code, _what, _allowed, _do)


class Damage(Record):
    """How far in from the end face a tooth is chewed."""

    tooth: int = Field(ge=1, le=1000)
    depth_mm: Millimetres = Field(ge=0, le=5000)


class Mate(Record):
    """The mate's teeth along the ring's face: where they begin, from the ring's entry face inwards."""

    face_width_mm: Millimetres = Field(gt=0, le=5000)
    starts_at_mm: Millimetres = Field(0.0, ge=-5000, le=5000)


class FacingTarget(Record):
    """Exactly one: so much off, so much face left, or all the damage given gone."""

    remove_mm: Millimetres | None = Field(None, ge=0, le=5000)
    width_left_mm: Millimetres | None = Field(None, gt=0, le=5000)
    clears_damage: Literal[True] | None = None

    @model_validator(mode="after")
    def _one(self) -> Self:
        if sum(t is not None for t in (self.remove_mm, self.width_left_mm, self.clears_damage)) != 1:
            raise ValueError("facing_target")
        return self


class LeadAgain(Record):
    """The lead-in on the new face; its a = 0 is the new face."""

    cutter: Cutter
    pose: AskedPose
    target: Target


class FaceOffRequest(Asked):
    """What `face_off` is asked."""

    ring: Ring
    target: FacingTarget
    end: Literal["entry", "far"] = "entry"
    damage: tuple[Damage, ...] = Field((), max_length=1000)
    mate: Mate | None = None
    lead_length_mm: Millimetres | None = Field(None, ge=0, le=5000, description="old lead-in at that end")
    cut_mm: Millimetres = Field(1.0, gt=0, ge=0.01, le=20, description="most that one cut takes")
    axis: AskedAxis | None = None
    feed_by: Slide | None = Field(None, description="the slide that sets the depth of the facing cut")
    lead_in: LeadAgain | None = None

    @model_validator(mode="after")
    def _whole(self) -> Self:
        if self.ring.face_width_mm is None:
            raise ValueError("face_width_for_facing")
        if self.target.clears_damage and not self.damage:
            raise ValueError("no_damage_given")
        teeth = [d.tooth for d in self.damage]
        if len(set(teeth)) < len(teeth) or max(teeth, default=1) > self.ring.teeth:
            raise ValueError("tooth_beyond_ring")
        return self

    @property
    def width(self) -> float:
        """Face width before facing [mm]."""
        return self.ring.face_width_mm or 0.0  # _whole holds

    @property
    def remove(self) -> float:
        """What comes off [mm]."""
        if self.target.remove_mm is not None:
            return self.target.remove_mm
        if self.target.width_left_mm is not None:
            return self.width - self.target.width_left_mm
        return max(d.depth_mm for d in self.damage)


class StillDamaged(Given):
    """Damage that stays, from the new face."""

    tooth: int
    depth_mm: float


class Step(Given):
    """What has to come off for so many of the damaged teeth to come out sound."""

    remove_mm: float
    teeth_sound: int
    width_left_mm: float


class FacingCut(Given):
    """One facing cut, by what has come off at its end."""

    removed_mm: float
    turned: str | None


class FaceOffAnswer(Answered):
    """What `face_off` answers."""

    remove_mm: float
    width_left_mm: float
    share_left: float
    turned: str | None
    cuts: tuple[FacingCut, ...]
    teeth_sound: tuple[int, ...]
    teeth_still_damaged: tuple[StillDamaged, ...]
    steps: tuple[Step, ...]
    overlap_now_mm: float | None
    overlap_then_mm: float | None
    overlap_share: float | None
    lead_left_mm: float | None
    lead_in: LeadInAnswer | None
    says: tuple[str, ...]


def face_off(asked: FaceOffRequest) -> FaceOffAnswer:
    """Width, mesh and damage left after facing."""
    remove = asked.remove
    if remove < 0:
        raise Refusal("wider_than_now", "b", asked.width)
    faced = Faced(asked.width, **{asked.end: remove})
    depths = {d.tooth: d.depth_mm for d in asked.damage}
    left = damage_left(depths, remove)
    now = then = None
    if asked.mate is not None:
        now = Faced(asked.width).overlap(asked.mate.starts_at_mm, asked.mate.face_width_mm)
        then = faced.overlap(asked.mate.starts_at_mm, asked.mate.face_width_mm)
    return FaceOffAnswer(
        remove_mm=remove,
        width_left_mm=faced.width_left,
        share_left=faced.width_left / faced.b,
        turned=_turned(asked, remove),
        cuts=tuple(FacingCut(removed_mm=c, turned=_turned(asked, c)) for c in cuts(remove, asked.cut_mm)),
        teeth_sound=tuple(t for t in sorted(depths) if t not in left),
        teeth_still_damaged=tuple(StillDamaged(tooth=t, depth_mm=d) for t, d in left.items()),
        steps=tuple(
            Step(remove_mm=d, teeth_sound=n, width_left_mm=asked.width - d)
            for d, n in steps_to_clear(depths)
            if d < asked.width
        ),
        overlap_now_mm=now,
        overlap_then_mm=then,
        overlap_share=then / now if now and then is not None else None,
        lead_left_mm=None if asked.lead_length_mm is None else max(asked.lead_length_mm - remove, 0.0),
        lead_in=_lead_again(asked, faced),
        says=tuple(_says(asked, faced, left, now, then)),
        notes=tuple(_notes(asked)),
        sources=("own-arithmetic",),
        working=tuple(_working(asked, faced, now, then)) if asked.working else None,
    )


def _lead_again(asked: FaceOffRequest, faced: Faced) -> LeadInAnswer | None:
    again = asked.lead_in
    if again is None:
        return None
    ring = asked.ring.model_copy(update={"face_width_mm": faced.width_left})
    return LEAD_IN.do(LeadInRequest(ring=ring, axis=asked.axis, **dict(again)))


def _turned(asked: FaceOffRequest, mm: float) -> str | None:
    return None if asked.axis is None else on_axis(asked.axis, mm, asked.feed_by or "")


def _says(
    asked: FaceOffRequest, faced: Faced, left: dict[int, float], now: float | None, then: float | None
) -> Iterable[str]:
    yield _("Face {mm} mm off: {left} mm of face stay.", mm=f"{asked.remove:g}", left=f"{faced.width_left:g}")
    if asked.damage:
        n = len(asked.damage) - len(left)
        yield ngettext_("{n} damaged tooth comes out sound.", "{n} damaged teeth come out sound.", n)
    if now is not None and then is not None and now > 0:
        of = {"then": f"{then:g}", "now": f"{now:g}"}
        yield _("Of the mesh {then} of {now} mm stay: the load on the rest rises as much.", **of)
    if now is not None and then is not None and then < now:
        yield _("See whether the mate can be moved along, or the ring packed out by what came off.")
    if asked.lead_length_mm is not None and asked.lead_length_mm > asked.remove:
        yield _("Some of the old lead-in stays: cut the new one through it.")
    elif asked.lead_in is None:
        yield _("The new ends are sharp: cut the lead-in again on the new face before the ring goes back.")


def _notes(asked: FaceOffRequest) -> Iterable[Note]:
    text = _("Seats, shoulders and bolts are not known: see that the new face clears them and the ring still bears.")
    yield Note(code="seat_not_known", text=text)
    text = _("The throw of a pinion that slides in is set from the old face: set it afresh.")
    yield Note(code="throw", text=text)
    text = _("Damage depths are those given; cracks run on further than what is seen. Look again after facing.")
    yield Note(code="look_again", text=text)
    if "cut_mm" not in asked.model_fields_set:
        text = _("{field} was not given: taken as {value}.", field="cut_mm", value="1")
        yield Note(code="default_used", text=text)
    if "end" not in asked.model_fields_set:
        text = _("{field} was not given: taken as {value}.", field="end", value="entry")
        yield Note(code="default_used", text=text)
    if asked.mate is not None and "starts_at_mm" not in asked.mate.model_fields_set:
        text = _("{field} was not given: taken as {value}.", field="mate.starts_at_mm", value="0")
        yield Note(code="default_used", text=text)


def _working(asked: FaceOffRequest, faced: Faced, now: float | None, then: float | None) -> Iterable[WorkingLine]:
    yield WorkingLine(
        symbol="b'",
        name=_("face left"),
        formula="b - x",
        put_in=f"{faced.b:g} - {asked.remove:g}",
        value=faced.width_left,
        unit="mm",
        source="own-arithmetic",
    )
    if asked.mate is not None and then is not None and now is not None:
        start, width = asked.mate.starts_at_mm, asked.mate.face_width_mm
        yield WorkingLine(
            symbol="b_mesh",
            name=_("length of mesh left"),
            formula="min(start + width, b - far) - max(start, entry)",
            put_in=f"min({start:g} + {width:g}, {faced.b - faced.far:g}) - max({start:g}, {faced.entry:g})",
            value=then,
            unit="mm",
            source="own-arithmetic",
        )


FACE_OFF = Operation(
    name="face_off",
    purpose=N_("Chewed ends faced down: what is left of the face, of the mesh, of the damage."),
    asked=FaceOffRequest,
    answered=FaceOffAnswer,
    do=face_off,
    came_from={
        **{symbol: Came(f"lead_in.{came.path}", came.unit) for symbol, came in CUTTER_CAME.items()},
        "u": Came("lead_in.pose.tool_axis"),
        "f": Came("lead_in.pose.feed"),
        "d": Came("lead_in.pose.depth"),
        "tip": Came("lead_in.pose.tip"),
        "z": Came("ring.teeth"),
        "m_n": Came("ring.module_mm", "mm"),
        "d_a": Came("ring.tip_diameter_mm", "mm"),
        "d_f": Came("ring.root_diameter_mm", "mm"),
        "b": Came("ring.face_width_mm", "mm"),
        "kind": Came("ring.kind"),
    },
)
