"""The job document: everything about one ring except the acts at the machine, which are events.

Every stage keeps what the machinist said and what was settled; what can be reckoned again is not kept. ``ring`` and the
other requests are kept as the contract's JSON, so that this layer knows no operation.
"""

from __future__ import annotations

from typing import Any, Literal

from pydantic import Field

from ringwright.job.base import Kept

Stage = Literal["find_out", "map", "decide", "set_out", "cut", "prove"]
STAGES: tuple[Stage, ...] = ("find_out", "map", "decide", "set_out", "cut", "prove")
Condition = Literal["worn", "chewed", "chipped", "cracked", "missing", "weld"]
Flank = Literal["both", "plus", "minus"]
End = Literal["entry", "far", "whole"]


class Reading(Kept):
    """One reading as typed; ``asked`` is READING of the contract."""

    asked: dict[str, Any]
    typed: str = Field("", max_length=60)
    by: str = Field("", max_length=60)


class FindOut(Kept):
    """What gear is it? ``ring`` is settled when it is not None."""

    kind: Literal["external", "internal"] = "external"
    teeth: int | None = Field(None, ge=5, le=1000)
    teeth_sure: bool = False
    readings: tuple[Reading, ...] = Field((), max_length=60)
    prior: dict[str, Any] | None = None
    ring: dict[str, Any] | None = None
    ring_label: str = Field("", max_length=120)
    ring_probability: float | None = Field(None, ge=0, le=1)
    mate: dict[str, Any] | None = Field(None, description="teeth, end_land_mm, how it enters")
    mate_readings: tuple[Reading, ...] = Field((), max_length=16, description="sizes measured on the mate")
    origin: dict[str, Any] | None = Field(None, description="where the machine comes from, as `identify` asks it")


class Mark(Kept):
    """What is wrong with one tooth, at one end and flank.

    ``amount_mm`` is length along the face for an end, metal gone for wear. ``thickness_mm`` is left at the pitch line;
    ``thickness_root_mm`` and ``thickness_tip_mm`` complete the three heights when they were measured.
    """

    tooth: int = Field(ge=1, le=1000)
    condition: Condition
    flank: Flank = "both"
    end: End = "whole"
    amount_mm: float | None = Field(None, ge=0, le=1000)
    thickness_mm: float | None = Field(None, ge=0, le=1000)
    thickness_tip_mm: float | None = Field(None, ge=0, le=1000)
    thickness_root_mm: float | None = Field(None, ge=0, le=1000)
    remark: str = Field("", max_length=200)


class Hardness(Kept):
    """One hardness reading, in the scale it was read."""

    tooth: int = Field(ge=1, le=1000)
    value: float = Field(gt=0, le=2000)
    scale: Literal["HB", "HRC", "HV", "HLD"]
    place: Literal["flank", "tip", "root", "rim", "end"] = "flank"
    method: str = Field("", max_length=60)


class Stretch(Kept):
    """A run of teeth marked by hand as hard, soft or weld; from and to inclusive, in counting direction."""

    first: int = Field(ge=1, le=1000)
    last: int = Field(ge=1, le=1000)
    kind: Literal["hard", "soft", "weld"]
    remark: str = Field("", max_length=200)


class AtTooth(Kept):
    """A reading at a tooth, in micrometres."""

    tooth: int = Field(ge=1, le=1000)
    um: float = Field(ge=-100_000, le=100_000)


class RingMeasured(Kept):
    """The real ring against a true one, as it was read.

    ``run_out_um`` is what the indicator shows in all (twice off centre), most at ``high_at``; ``round_um`` are readings
    round the tips, outward, which tell off centre from oval. ``pitch_um`` is tooth to next tooth, longer than even:
    plus. ``shrunk_um`` is what a stretch has lost in all along the pitch line from ``from_tooth`` to ``to_tooth``.
    """

    run_out_um: float | None = Field(None, ge=0, le=100_000)
    high_at: int | None = Field(None, ge=1, le=1000)
    round_um: tuple[AtTooth, ...] = Field((), max_length=1000)
    pitch_um: tuple[AtTooth, ...] = Field((), max_length=1000)
    shrunk_um: float | None = Field(None, ge=-100_000, le=100_000)
    from_tooth: int | None = Field(None, ge=1, le=1000)
    to_tooth: int | None = Field(None, ge=1, le=1000)
    by: str = Field("", max_length=60)


class Map(Kept):
    """What is wrong, where? Teeth 1..N, clockwise seen on the entry face."""

    tooth_one: str = Field("", max_length=120, description="the physical mark")
    looking_at: str = Field("", max_length=120, description="the face that is looked at")
    marks: tuple[Mark, ...] = Field((), max_length=4000)
    hardness: tuple[Hardness, ...] = Field((), max_length=2000)
    stretches: tuple[Stretch, ...] = Field((), max_length=200)
    stops_at: tuple[int, ...] = Field((), max_length=40)
    cracks_looked_for: Literal["no", "dye", "magnetic", "eye"] = "no"
    gone_round: bool = Field(False, description="every tooth was looked at")
    measured: RingMeasured | None = Field(None, description="run-out, pitches, what welding has drawn in")


class Decide(Kept):
    """Save it? How? ``asked`` is what `ways_to_save` was asked beyond ring and map; ``taken`` the way chosen."""

    asked: dict[str, Any] = Field(default_factory=dict)
    taken: str | None = Field(None, max_length=60)
    reclock_by_teeth: int | None = None
    why: str = Field("", max_length=400)


class Tolerances(Kept):
    """What the cut is proved against."""

    lead_mm: float = Field(0.3, gt=0, le=10)
    end_land_mm: float = Field(0.3, gt=0, le=10)
    position_um: float = Field(200, gt=0, le=5000)


class RoundPlan(Kept):
    """One round as set out; starting it freezes it into a round sheet.

    ``lead_in``, ``divide`` and ``setup`` are requests of the operations of that name; ``way`` is the way of dividing
    chosen from the answer. ``hard_last``: hard teeth in a second lap, in counting order.
    """

    round_id: str = Field(min_length=1, max_length=40)
    title: str = Field(max_length=80)
    kind: Literal["lead_in"] = "lead_in"
    machine: str = Field("", max_length=80)
    device: str = Field("", max_length=80)
    cutter: str = Field("", max_length=80)
    set_up: Literal["flat", "upright"] = "flat"
    lead_in: dict[str, Any] | None = None
    divide: dict[str, Any] | None = None
    way: dict[str, Any] | None = None
    setup: dict[str, Any] | None = None
    teeth: tuple[int, ...] | None = Field(None, description="chosen teeth; None: all")
    hard_last: bool = True
    passes: int = Field(1, ge=1, le=20)
    witness_every: int = Field(10, ge=1, le=200)
    least_seconds: float = Field(8, ge=0, le=600)
    turns: Literal["clockwise", "anticlockwise"] = Field(
        "anticlockwise",
        description="the ring from tooth n to n + 1, seen on the entry face: against the numbers",
    )
    tolerances: Tolerances = Tolerances()
    revision: int = Field(1, ge=1)


class SetOut(Kept):
    """What exactly do I set?"""

    rounds: tuple[RoundPlan, ...] = Field((), max_length=40)


class Check(Kept):
    """One thing looked at or measured after a round."""

    what: Literal[
        "lead",
        "end_land",
        "span",
        "pins",
        "burrs",
        "engagement",
        "cracks",
        "hardness",
        "run_out",
        "backlash",
        "reclocked",
        "seated",
        "marked",
    ]
    tooth: int | None = Field(None, ge=1, le=1000)
    value: float | None = None
    unit: Literal["mm", "HB", "HRC", "HV", ""] = ""
    wanted: float | None = None
    tolerance: float | None = Field(None, ge=0)
    passed: bool | None = None
    by: str = Field("", max_length=60)
    instrument: str = Field("", max_length=80)
    remark: str = Field("", max_length=300)


class Prove(Kept):
    """Is it right?"""

    checks: tuple[Check, ...] = Field((), max_length=2000)
    back_on: str = Field("", max_length=300, description="how the ring goes back on, which way it faces")
    not_warranted: str = Field("", max_length=600)
    signed_by: str = Field("", max_length=80)
    signed_on: str = Field("", max_length=10)


class JobDocument(Kept):
    """One job, version 1 of the document."""

    v: Literal[1] = 1
    job_id: str = Field(min_length=1, max_length=40, pattern=r"^[a-z0-9\-]+$")
    number: str = Field(max_length=20)
    title: str = Field(min_length=1, max_length=120)
    customer: str = Field("", max_length=120)
    machine: str = Field("", max_length=200, description="what the ring drives, and where it came from")
    words: str = Field("", max_length=2000, description="the customer's words")
    duty: Literal["ordinary", "holds_people_or_loads", "unknown"] = "unknown"
    received: str = Field("", max_length=10)
    due: str = Field("", max_length=10)
    urgent: bool = False
    state: Literal["open", "waiting", "cutting", "done"] = "open"
    find_out: FindOut = FindOut()
    map: Map = Map()
    decide: Decide = Decide()
    set_out: SetOut = SetOut()
    prove: Prove = Prove()
