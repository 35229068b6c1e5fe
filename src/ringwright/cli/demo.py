"""``ringwright demo DIR``: the whole demo job without a browser, from readings to hand-over, on the real sums.

The acts at the machine are simulated presses; everything else is what the app would reckon. Everything is invented.
"""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import Any

from ringwright import reckon
from ringwright.job.demo import demo_job, demo_kit
from ringwright.job.fold import fold
from ringwright.paper.bundle import NAMES, paper_of
from ringwright.reckon import asking
from ringwright.reckon.base import Problems
from ringwright.reckon.demo_round import presses, with_way
from ringwright.reckon.rounds import make_sheet
from ringwright.store import Store, StoreRefusal, open_store
from ringwright.words import _

#: The day that the demo's papers carry, so that two runs write the same.
DATE = "2026-11-25"


def run(asked: argparse.Namespace) -> int:
    """Write the demo's papers and data into the folder; exit status 2 when it cannot."""
    folder = Path(asked.folder)
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        print(
            _("{folder} is there and not empty. Name a new folder; nothing was touched.", folder=folder),
            file=sys.stderr,
        )
        return 2
    try:
        with open_store(folder / "data") as store:
            _whole_job(store, folder)
    except (StoreRefusal, OSError) as fault:
        print(fault, file=sys.stderr)
        return 2
    except Problems as problems:
        print(problems, file=sys.stderr)
        return 2
    return 0


def _whole_job(store: Store, folder: Path) -> None:
    kit, job = demo_kit(), demo_job()
    store.save_kit(kit, store.kit()[1])
    store.new_job(job)
    answers: dict[str, Any] = {}

    found = answers["identify"] = _ask("identify", asking.identify_of(job.find_out))
    best = found["candidates"][0]
    print(_("Find out: {label}, {p} in 100.", label=best["label"], p=round(100 * best["probability"])))

    marks = [mark.tooth for mark in job.map.marks]
    print(_("Map: {n} of {z} teeth hurt.", n=len(set(marks)), z=job.find_out.teeth))

    ways = answers["ways_to_save"] = _ask("ways_to_save", asking.ways_to_save_of(job, kit))
    taken = next((way for way in ways["ways"] if way["way"] == job.decide.taken), ways["ways"][0])
    hours = taken["hours"]
    print(
        _(
            "Decide: {title}; {a:.1f} hours at P50, {b:.1f} at P80.",
            title=taken["title"],
            a=hours["p50"],
            b=hours["p80"],
        )
    )

    plan = job.set_out.rounds[0]
    fit = answers["setup_check"] = _ask("setup_check", plan.setup or {})
    answers["lead_in"] = _ask("lead_in", plan.lead_in or {})
    division = answers["divide"] = _ask("divide", plan.divide or {})
    job = with_way(job, division["ways"][0])
    store.save_job(job, store.job(job.job_id)[1])
    print(_("Set out: {verdict}; divide by {way}.", verdict=fit["verdict"], way=division["ways"][0]["method"]))

    sheet = make_sheet(job, kit, plan.round_id)
    store.start_round(sheet)
    for event in presses(sheet):
        store.append([event])
    log = store.events(job.job_id, sheet.round_id)
    state = fold(sheet, log)
    done = sum(mark.mark == "done" for mark in state.marks)
    print(
        _("Cut (presses simulated): {n} of {all} done, round {phase}.", n=done, all=len(sheet.rows), phase=state.phase)
    )

    for name in NAMES:
        (folder / f"{name}.pdf").write_bytes(paper_of(name, job, sheet, DATE, log=log))
    (folder / f"job-{job.number}.zip").write_bytes(store.export_job(job.job_id))
    (folder / "answers.json").write_text(json.dumps(answers, indent=1, ensure_ascii=False), encoding="utf-8")
    (folder / "round-sheet.json").write_text(sheet.model_dump_json(indent=1), encoding="utf-8")
    print(_("Prove: the papers, the answers and the job’s zip are in {folder}.", folder=folder))


def _ask(name: str, request: dict[str, Any]) -> dict[str, Any]:
    answer: dict[str, Any] = reckon.operation(name).ask(request).model_dump(mode="json")
    return answer
