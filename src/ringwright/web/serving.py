"""``ringwright serve``: the app on this machine, or on the shop's network when an address is named."""

from __future__ import annotations

import argparse
import sys
import webbrowser
from socket import socket
from typing import TYPE_CHECKING

import uvicorn

from ringwright.store import StoreRefusal, open_store
from ringwright.store.place import data_place
from ringwright.web.app import create_app
from ringwright.words import _

if TYPE_CHECKING:
    from ringwright.store import Store


class _Server(uvicorn.Server):
    """Says where the app is, and opens the browser, once it listens."""

    def __init__(self, config: uvicorn.Config, address: str, browser: bool) -> None:
        super().__init__(config)
        self.address, self.browser = address, browser

    async def startup(self, sockets: list[socket] | None = None) -> None:
        await super().startup(sockets)
        if self.started:
            print(_("Ringwright is at {address}. Stop it with Ctrl-C.", address=self.address), flush=True)
            if self.browser:
                webbrowser.open(self.address)


def serve(asked: argparse.Namespace) -> int:
    """Open the store, put the demo in when asked, listen."""
    try:
        store = open_store(data_place(asked.data))
    except StoreRefusal as refusal:
        print(refusal, file=sys.stderr)
        return 2
    first = f"/jobs/{put_demo(store)}/map" if asked.demo else "/jobs"
    here = asked.host in ("127.0.0.1", "localhost", "::1")
    if not here:
        print(_("Listening on the network without encryption: only on a network that you trust."), file=sys.stderr)
    store.daily_copy()
    app = create_app(store, first_page=first, hosts=() if here else (asked.host,))
    config = uvicorn.Config(app, host=asked.host, port=asked.port, log_level="warning", access_log=False)
    server = _Server(config, f"http://{asked.host}:{asked.port}/", browser=not asked.no_browser)
    try:
        server.run()
    finally:
        store.close()
    return 0 if server.started else 1


def put_demo(store: Store, *, cut: int | None = 57) -> str:
    """Put in the demo job (returns its id) and, when the kit is empty, the demo's kit; what is there stays as it is.

    ``cut`` teeth of its round are done (simulated presses); None: the round is set out but not started.
    """
    from ringwright import reckon
    from ringwright.job.demo import demo_job, demo_kit
    from ringwright.reckon.demo_round import presses, with_way
    from ringwright.reckon.rounds import make_sheet

    job = demo_job()
    if any(line.job_id == job.job_id for line in store.jobs()):
        return job.job_id
    kit, version = store.kit()
    if not kit.machines and not kit.devices and not kit.cutters:
        kit = demo_kit()
        store.save_kit(kit, version)
    plan = job.set_out.rounds[0]
    answer = reckon.operation("divide").ask(plan.divide or {})
    if cut is not None:
        job = with_way(job, answer.ways[0].model_dump(mode="json", exclude={"table"}))
        job = job.model_copy(update={"state": "cutting"})
    store.new_job(job)
    if cut is not None:
        sheet = make_sheet(job, demo_kit(), plan.round_id)
        store.start_round(sheet)
        store.append(list(presses(sheet, until=cut)))
    return job.job_id
