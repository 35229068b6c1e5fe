"""What happened at the machine: append-only events, one per touch.

A station makes the event and its id; the store gives ``seq`` when it arrives, counting from 1 within one round, and
that is the only order. ``at`` is shown and never sorted by. Events are never rewritten: readers bring old ones up to
date.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from typing import Any, Literal, get_args

from pydantic import Field, field_validator

from ringwright.job.base import Kept

EventKind = Literal[
    "started",
    "scribed",
    "dry_run_closed",
    "first_measured",
    "done",
    "skipped",
    "trouble",
    "undone",
    "witness",
    "paused",
    "resumed",
    "paper_teeth",
    "closing",
    "finished",
    "too_soon",
    "note",
]
KINDS: tuple[str, ...] = get_args(EventKind)
EVENT_VERSION = 1
#: How large an event's ``data`` may be, as JSON.
MAX_DATA_BYTES = 4000


class Event(Kept):
    """One act. ``data`` by kind (everything is optional unless said):

    - all marks (done, skipped, trouble, paper_teeth): ``seen_seq``, the last seq the station had seen; ``by``
    - started: ``by``
    - scribed: nothing; ``tooth`` is the position touched
    - dry_run_closed: ``closes`` (bool, needed), ``off_mm``, ``waived`` (why no dry run was made)
    - first_measured: ``within`` (bool, needed), ``lead_mm``, ``end_land_mm``, ``with``
    - skipped, trouble: ``reason``
    - undone: ``undoes`` (event_id of the mark; without it the latest mark of ``tooth``), ``stood_at`` (the tooth in
      front of the cutter when that press was no tooth)
    - witness: ``spindle_deg`` or ``painted``, as the sheet's witness rule asks; ``tooth`` is not needed
    - paused: ``reason``; resumed: ``checked`` (codes of the re-checks that were made)
    - paper_teeth: ``from``, ``to`` (both needed), ``by``, ``last_hole``, ``degrees``, ``painted``
    - closing: ``falls_in_first`` (bool, needed), ``hole``, ``spindle_deg``
    - too_soon: ``after_s``; note: ``text``
    """

    v: Literal[1] = 1
    event_id: str = Field(min_length=8, max_length=64, pattern=r"^[A-Za-z0-9\-]+$")
    job_id: str = Field(min_length=1, max_length=40)
    round_id: str = Field(min_length=1, max_length=40)
    sheet_digest: str = Field(pattern=r"^[0-9a-f]{64}$")
    station: str = Field(min_length=1, max_length=40)
    station_seq: int = Field(ge=1, le=2**31 - 1)
    at: str = Field("", max_length=40, description="the station's clock, RFC 3339; shown, never sorted by")
    kind: EventKind
    tooth: int | None = Field(None, ge=1, le=1000)
    data: dict[str, Any] = Field(default_factory=dict, max_length=40)

    @field_validator("data")
    @classmethod
    def _plain(cls, data: dict[str, Any]) -> dict[str, Any]:
        """Texts, whole and finite numbers, true and false, nulls, and lists of these; small. So no fold ever trips."""
        for value in data.values():
            for one in value if isinstance(value, list | tuple) else (value,):
                if not (one is None or isinstance(one, str | bool) or _fits(one)):
                    raise ValueError("data_not_plain")
        if len(json.dumps(data)) > MAX_DATA_BYTES:
            raise ValueError("data_too_large")
        return data


def _fits(number: object) -> bool:
    """A number that every reader of JSON holds exactly or as a finite float."""
    if isinstance(number, int):
        return abs(number) <= 2**53
    return isinstance(number, float) and math.isfinite(number)


class Logged(Kept):
    """An event as the log holds it: ``seq`` from 1 within its round, the only order there is."""

    seq: int = Field(ge=1)
    event: Event


class Receipt(Kept):
    """The store's word that an event is on disk. ``again``: it was there already."""

    event_id: str
    seq: int
    again: bool = False


def read_event(kept: Mapping[str, Any]) -> Event:
    """An event of any version as today's `Event`.

    Raises
    ------
    ValueError
        The version is newer than this program, or the event is faulty (pydantic's ValidationError).
    """
    version = kept.get("v")
    if not isinstance(version, int) or isinstance(version, bool) or version < 1 or version > EVENT_VERSION:
        raise ValueError(f"event version {version!r} is not known here")
    raised = dict(kept)
    for step in UPCASTS[version - 1 :]:
        raised = step(raised)
    return Event.model_validate(raised)


#: One step per version: from version n + 1 of an event to version n + 2. None is needed yet.
UPCASTS: tuple[Any, ...] = ()
