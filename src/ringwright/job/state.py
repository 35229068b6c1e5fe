"""What a round's log amounts to: the state that the screen shows, made by `ringwright.job.fold`."""

from __future__ import annotations

from typing import Literal

from ringwright.job.base import Kept

Phase = Literal["dry_run", "first_tooth", "cutting", "witness", "paused", "closing", "finished"]
MarkKind = Literal["done", "skipped", "trouble"]


class ToothMark(Kept):
    """The mark that counts for a tooth: its latest that was not undone."""

    tooth: int
    mark: MarkKind
    seq: int
    event_id: str
    station: str
    paper: bool = False


class Slip(Kept):
    """A witness that did not agree: log and ring parted somewhere in ``teeth``, those pressed since the last good one.

    ``at_tooth`` is what the log said, ``stands_at`` the tooth that the reading names (None: none of this round).
    ``settled``: a later witness agreed.
    """

    seq: int
    at_tooth: int
    stands_at: int | None
    teeth: tuple[int, ...]
    settled: bool = False


class Aside(Kept):
    """An event that is kept but does not count, and why: "not_now", or the guard that did not hold."""

    seq: int
    kind: str
    tooth: int | None
    why: str


class State(Kept):
    """Where a round stands.

    ``at_tooth`` is the tooth in front of the cutter as the log has it; ``next_tooth`` the one to go to (None: none).
    ``left_teeth``: neither done nor skipped, or contested, in the order of cutting. ``contested``: "look at this
    tooth", two stations that did not know of each other said contrary things. ``other_plan``: teeth whose mark was made
    under another revision of the sheet.
    """

    phase: Phase
    seq: int = 0
    started: bool = False
    scribed: int = 0
    dry_run_closed: bool = False
    released: bool = False
    at_tooth: int
    next_tooth: int | None
    left: int
    left_teeth: tuple[int, ...]
    marks: tuple[ToothMark, ...] = ()
    since_witness: tuple[int, ...] = ()
    awaiting_witness: bool = False
    slips: tuple[Slip, ...] = ()
    contested: tuple[int, ...] = ()
    other_plan: tuple[int, ...] = ()
    too_soon: int = 0
    pause_reason: str | None = None
    closed: bool = False
    set_aside: tuple[Aside, ...] = ()
