"""The round sheet: a round's plan, frozen when the round starts, with a digest that every event names.

A changed plan is a new revision with another digest. The browser computes no gear sums: it shows the sheet and folds
the events over it.
"""

from __future__ import annotations

import hashlib
import json
from functools import cached_property
from typing import Any, Literal, Self

from pydantic import Field, model_validator

from ringwright.job.base import Kept
from ringwright.job.document import Tolerances

Zone = Literal["sound", "hard", "weld", "heat_affected"]
WitnessKind = Literal["spindle_deg", "painted"]


class Position(Kept):
    """Where the dividing device stands at a tooth, absolute, tooth 1 being nought.

    ``turns`` and ``hole`` of the crank against the plate; ``dial`` in words ("57° 10′ 52″"); ``spindle_deg`` of the
    device's own degree scale.
    """

    turns: int | None = None
    hole: int | None = None
    dial: str | None = Field(None, max_length=40)
    spindle_deg: float = Field(ge=0, lt=360)


class Row(Kept):
    """One tooth of the round: the space that starts at that tooth, its move, its infeed, its speed.

    ``move_words`` is how the device gets there from the row before. ``infeed_mm`` is the whole infeed from touch-off,
    None when it is felt or set by hand.
    """

    tooth: int = Field(ge=1, le=1000)
    lap: int = Field(1, ge=1, le=9)
    move_words: str = Field(max_length=300)
    position: Position
    infeed_words: str = Field("", max_length=200)
    infeed_mm: float | None = Field(None, ge=0, le=1000)
    passes: int = Field(1, ge=1, le=20)
    zone: Zone = "sound"
    speed_words: str = Field("", max_length=200)


class WitnessRule(Kept):
    """When and what the screen asks that the log did not produce.

    ``spindle_deg``: the device's degree scale, when the moves are set on a plate. ``painted``: the painted tooth number
    in front of the cutter, when the moves themselves are set in degrees. ``within_deg``: how near degrees must be.
    """

    kind: WitnessKind
    every: int = Field(10, ge=1, le=200)
    within_deg: float = Field(gt=0, le=45)


class Closing(Kept):
    """What must hold after one more move behind the last tooth: back in the first, on the same hole and degrees.

    ``identity`` is the sum in words ("127 × 13/39 × ... = 40 turns").
    """

    divisions: int = Field(ge=1, le=1000)
    identity: str = Field("", max_length=300)
    hole: int | None = None
    spindle_deg: float = Field(ge=0, lt=360)


class FirstWanted(Kept):
    """What the first space must measure, before its neighbours are cut: lead at the pitch line and the land left."""

    lead_mm: float = Field(ge=0, le=1000)
    end_land_mm: float = Field(ge=0, le=1000)


class Provenance(Kept):
    """What reckoned this sheet."""

    made_by: str
    contract: int
    tables_digest: str
    request_digest: str = ""


class RoundSheet(Kept):
    """One round, frozen. ``rows`` stand in the order of cutting: lap 1, then lap 2, each in counting order."""

    v: Literal[1] = 1
    job_id: str = Field(min_length=1, max_length=40)
    round_id: str = Field(min_length=1, max_length=40)
    revision: int = Field(1, ge=1)
    provenance: Provenance
    title: str = Field(max_length=80)
    teeth_on_ring: int = Field(ge=1, le=1000)
    turns: Literal["clockwise", "anticlockwise"] = "anticlockwise"
    machine: str = Field("", max_length=80)
    device: str = Field("", max_length=80)
    cutter_words: str = Field("", max_length=300)
    setup_words: tuple[str, ...] = Field((), max_length=60)
    rows: tuple[Row, ...] = Field(min_length=1, max_length=2000)
    witness: WitnessRule
    rechecks: tuple[str, ...] = Field((), max_length=40, description="codes, in order; see ringwright.job.resume")
    least_seconds: float = Field(8, ge=0, le=600)
    tolerances: Tolerances = Tolerances()
    first_wanted: FirstWanted | None = Field(None, description="None: no lead-in was reckoned")
    closing: Closing
    notes: tuple[str, ...] = Field((), max_length=200, description="limits, cautions and defaults used, in words")

    @model_validator(mode="after")
    def _each_tooth_once(self) -> Self:
        teeth = self.order
        if len(set(teeth)) != len(teeth):
            raise ValueError("tooth_twice")
        if max(teeth) > self.teeth_on_ring:
            raise ValueError("tooth_not_on_ring")
        return self

    @property
    def order(self) -> tuple[int, ...]:
        """Teeth in the order of cutting."""
        return tuple(row.tooth for row in self.rows)

    @cached_property
    def digest(self) -> str:
        """SHA-256 of `canonical`, 64 hexadecimal digits."""
        return hashlib.sha256(self.canonical().encode()).hexdigest()

    def canonical(self) -> str:
        """The sheet as one JSON text that is the same on every machine: keys sorted, no spaces, UTF-8."""
        return canonical(self.model_dump(mode="json"))

    def row(self, tooth: int) -> Row:
        """The row of that tooth; KeyError when the round leaves it out."""
        for row in self.rows:
            if row.tooth == tooth:
                return row
        raise KeyError(tooth)


def canonical(record: Any) -> str:
    """Plain data as canonical JSON: one spelling, also for whole numbers that came as 8 or as 8.0.

    >>> canonical({"b": 1.5, "a": [8.0, "é"]})
    '{"a":[8,"é"],"b":1.5}'
    """
    return json.dumps(_one_spelling(record), sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def _one_spelling(part: Any) -> Any:
    if isinstance(part, dict):
        return {name: _one_spelling(value) for name, value in part.items()}
    if isinstance(part, list | tuple):
        return [_one_spelling(value) for value in part]
    if isinstance(part, float) and part.is_integer():
        return int(part)
    return part
