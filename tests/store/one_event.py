"""Run by the durability test under a tracer: append one event to a store, saying on descriptor 1 when it was received
and when it is acknowledged. Arguments: the place, the sheet as JSON in a file, the synchronous setting."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from ringwright.job.events import Event
from ringwright.job.sheet import RoundSheet
from ringwright.store import open_store, opening
from ringwright.store.schema import FILE
from ringwright.store.store import Store


def main(place, sheet_file, synchronous):
    sheet = RoundSheet.model_validate_json(Path(sheet_file).read_text("utf-8"))
    if synchronous == "as_shipped":
        store = open_store(place)
    else:
        store = Store(opening.sqlite_engine(Path(place) / FILE, synchronous=synchronous), Path(place))
    store.events("job", "r1")
    event = Event(
        event_id=f"traced-{synchronous.replace('_', '-')}",
        job_id="job",
        round_id="r1",
        sheet_digest=sheet.digest,
        station="mill",
        station_seq=1,
        kind="started",
    )
    os.write(1, b"RECEIVED\n")
    store.append([event])
    os.write(1, b"REPLIED\n")
    store.close()


if __name__ == "__main__":
    main(*sys.argv[1:])
