"""Small rounds for tests: a sheet, a log, and what comes of it."""

from __future__ import annotations

from ringwright.job.events import Event, Logged
from ringwright.job.fold import fold
from ringwright.job.sheet import Closing, Position, Provenance, RoundSheet, Row, WitnessRule


def sheet_of(order=(1, 2, 3, 4, 5, 6), *, on_ring=12, kind="spindle_deg", every=3, rechecks=(), revision=1):
    """A round on a ring whose tooth t stands at (t - 1) pitches and hole 7 (t - 1) of a 20-hole circle."""
    pitch = 360 / on_ring
    rows = tuple(
        Row(tooth=t, move_words="on", position=Position(spindle_deg=(t - 1) * pitch, hole=7 * (t - 1) % 20))
        for t in order
    )
    return RoundSheet(
        job_id="job",
        round_id="r1",
        revision=revision,
        provenance=Provenance(made_by="test", contract=1, tables_digest="0"),
        title="Lead-in",
        teeth_on_ring=on_ring,
        rows=rows,
        witness=WitnessRule(kind=kind, every=every, within_deg=pitch / 4),
        rechecks=rechecks,
        closing=Closing(divisions=on_ring, spindle_deg=rows[0].position.spindle_deg, hole=rows[0].position.hole),
    )


def event_of(sheet, n, kind, tooth=None, station="mill", event_id=None, **data):
    return Event(
        event_id=event_id or f"event-{n:04d}",
        job_id=sheet.job_id,
        round_id=sheet.round_id,
        sheet_digest=sheet.digest,
        station=station,
        station_seq=n,
        kind=kind,
        tooth=tooth,
        data={("from" if name == "from_" else name): value for name, value in data.items()},
    )


class Round:
    """A log that grows; each word of the trade is one event."""

    def __init__(self, sheet=None):
        self.sheet = sheet or sheet_of()
        self.log = []

    def press(self, kind, tooth=None, station="mill", **data):
        n = len(self.log) + 1
        self.log.append(Logged(seq=n, event=event_of(self.sheet, n, kind, tooth, station, **data)))
        return self.log[-1].event.event_id

    def begin(self):
        """Up to the release of the round: dry run closed, first tooth cut and measured."""
        self.press("started")
        self.press("dry_run_closed", closes=True)
        self.press("done", self.sheet.order[0])
        self.press("first_measured", within=True)
        return self

    def done(self, *teeth):
        for tooth in teeth:
            self.press("done", tooth)
        return self

    def degrees(self, tooth):
        return self.sheet.row(tooth).position.spindle_deg

    @property
    def state(self):
        return fold(self.sheet, self.log)
