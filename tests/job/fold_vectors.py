"""Write ``tests/fold_vectors.json``: rounds of all kinds with their state, for the browser's fold to be held against.

Each vector: ``{name, digest, sheet, log: [{seq, event}], state}``. ``sheet`` is a round sheet as JSON, ``digest`` its
digest; an event leaves out what the fold does not look at. Run: ``python tests/job/fold_vectors.py``.
"""

from __future__ import annotations

import json
import random
import runpy
from pathlib import Path

from ringwright.job.events import KINDS, Logged
from ringwright.job.fold import fold
from ringwright.job.sheet import RoundSheet

_rounds = runpy.run_path(str(Path(__file__).with_name("rounds.py")))
sheet_of, event_of, Round = _rounds["sheet_of"], _rounds["event_of"], _rounds["Round"]

TARGET = Path(__file__).parents[1] / "fold_vectors.json"
SEEN_BY_FOLD = ("event_id", "sheet_digest", "station", "kind", "tooth", "data")


def some_round(seed):
    """A sheet and a log from a walk that mostly does what the screen offers, and now and then something else."""
    luck = random.Random(seed)
    on_ring = luck.choice((6, 12, 15))
    order = tuple(sorted(luck.sample(range(1, on_ring + 1), luck.randint(2, min(8, on_ring)))))
    if luck.random() < 0.3:  # a second lap
        order = order[::2] + order[1::2]
    sheet = sheet_of(
        order,
        on_ring=on_ring,
        kind=luck.choice(("spindle_deg", "painted")),
        every=luck.choice((2, 3, 50)),
        rechecks=luck.choice(((), ("zero_picked_up", "backlash_side"))),
    )
    log = []
    wildness = luck.choice((0.05, 0.2, 0.4))
    for n in range(1, luck.choice((5, 9, 15, 25, 40))):
        state = fold(sheet, log)
        kind, tooth, data = _wild(luck, sheet) if luck.random() < wildness else _offered(luck, sheet, state)
        station = luck.choice(("mill", "mill", "mill", "tablet"))
        if luck.random() < 0.8:
            data = {**data, "seen_seq": max(0, n - 1 - luck.choice((0, 0, 0, 1, 3)))}
        if state.marks and luck.random() < wildness / 2:  # the other station on the same tooth, knowing nothing of it
            last = max(state.marks, key=lambda mark: mark.seq)
            kind, tooth = luck.choice(("done", "skipped", "trouble", "undone")), last.tooth
            station, data = {"mill": "tablet"}.get(last.station, "mill"), {"seen_seq": last.seq - 1}
        event = event_of(sheet, n, kind, tooth, station, **data)
        log.append(Logged(seq=n, event=event))
    return sheet, log


def _offered(luck, sheet, state):
    right = luck.random() < 0.8
    at = state.at_tooth if right else luck.choice(sheet.order)
    reading = (
        {"painted": at} if sheet.witness.kind == "painted" else {"spindle_deg": sheet.row(at).position.spindle_deg}
    )
    if state.phase == "dry_run":
        if state.next_tooth is None or luck.random() < 0.4:
            return "dry_run_closed", None, {"closes": right}
        return "scribed", state.next_tooth, {}
    if state.phase == "first_tooth":
        if any(m.mark == "done" for m in state.marks):
            return "first_measured", None, {"within": right}
        return "done", sheet.order[0], {}
    if state.phase == "witness":
        return ("witness", None, reading) if luck.random() < 0.8 else ("undone", at, {"stood_at": at})
    if state.phase == "paused":
        return "resumed", None, {"checked": list(sheet.rechecks) if right else []}
    if state.phase == "closing":
        if state.closed:
            return "finished", None, {}
        return "closing", None, {"falls_in_first": right, "hole": sheet.closing.hole}
    if state.phase == "cutting":
        if luck.random() < 0.08:
            return "paused", None, {"reason": "urgent shaft"}
        return luck.choice(("done",) * 8 + ("skipped", "trouble")), state.next_tooth, {}
    return "note", None, {"text": "oil the ways"}


def _wild(luck, sheet):
    tooth = luck.choice((*sheet.order, 99))
    kind = luck.choice(KINDS)
    if kind == "paper_teeth":
        last = luck.choice(sheet.order)
        row = sheet.row(last).position
        data = {"from_": luck.choice(sheet.order), "to": last, "degrees": row.spindle_deg, "last_hole": row.hole}
        return kind, last, {**data, "painted": last} if luck.random() < 0.6 else data
    if kind == "paused":
        return kind, None, {"reason": "urgent shaft"}
    if kind == "witness":
        return kind, None, luck.choice(({}, {"spindle_deg": "30"}, {"spindle_deg": True}, {"painted": 1.5}))
    return kind, tooth, {}


def as_vector(name, sheet, log):
    return {
        "name": name,
        "digest": sheet.digest,
        "sheet": sheet.model_dump(mode="json"),
        "log": [{"seq": one.seq, "event": one.event.model_dump(mode="json", include=set(SEEN_BY_FOLD))} for one in log],
        "state": fold(sheet, log).model_dump(mode="json"),
    }


def read_vector(vector):
    sheet = RoundSheet.model_validate(vector["sheet"])
    assert sheet.digest == vector["digest"]
    common = {"job_id": sheet.job_id, "round_id": sheet.round_id}
    log = [
        Logged.model_validate({"seq": one["seq"], "event": {**one["event"], **common, "station_seq": one["seq"]}})
        for one in vector["log"]
    ]
    return sheet, log


def make():
    """Ninety rounds; tests hold that each guard and action of the table makes a difference in one of them."""
    return [as_vector(f"round {seed}", *some_round(seed)) for seed in range(90)]


if __name__ == "__main__":
    lines = ",\n".join(json.dumps(vector, ensure_ascii=False, separators=(",", ":")) for vector in make())
    TARGET.write_text(f"[\n{lines}\n]\n", "utf-8")
