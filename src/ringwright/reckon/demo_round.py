"""The demo's round: its way of dividing taken, and presses as a machinist would make them. Simulated, invented."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from ringwright.job.document import JobDocument
from ringwright.job.events import Event
from ringwright.job.sheet import RoundSheet


def with_way(job: JobDocument, way: dict[str, Any]) -> JobDocument:
    """The job with a way of dividing taken for its first round."""
    first, *others = job.set_out.rounds
    rounds = (first.model_copy(update={"way": way}), *others)
    return job.model_copy(update={"set_out": job.set_out.model_copy(update={"rounds": rounds})})


def presses(sheet: RoundSheet, *, until: int | None = None) -> Iterator[Event]:
    """What a machinist would press, all going well: dry run, first tooth, every tooth with its witnesses, closing.

    ``until`` stops after so many teeth are done.
    """
    number = 0

    def press(kind: str, tooth: int | None = None, **data: Any) -> Event:
        nonlocal number
        number += 1
        return Event.model_validate(
            {
                "event_id": f"demo-event-{number:04d}",
                "job_id": sheet.job_id,
                "round_id": sheet.round_id,
                "sheet_digest": sheet.digest,
                "station": "demo",
                "station_seq": number,
                "kind": kind,
                "tooth": tooth,
                "data": data,
            }
        )

    yield press("started", by="demo")
    for tooth in sorted(sheet.order):
        yield press("scribed", tooth)
    yield press("dry_run_closed", closes=True)
    since = 0
    for n, tooth in enumerate(sheet.order):
        if n == until:
            return
        yield press("done", tooth)
        since += 1
        if n == 0:
            yield press("first_measured", tooth, within=True)
        if since == sheet.witness.every:
            since = 0
            stands = tooth if sheet.witness.kind == "painted" else sheet.row(tooth).position.spindle_deg
            yield press("witness", None, **{sheet.witness.kind: stands})
    yield press("closing", falls_in_first=True, spindle_deg=sheet.closing.spindle_deg)
    yield press("finished")
