"""The demo: an invented job and an invented kit, kept as data in ``demo.json``.

The drive ring of a compost screen's drum, chewed at the entry in the two places where the drum nearly always stops,
and welded once, where it is hard; a knee mill with a nodding head, a rotary table with a dial, and a dividing head on
which the ring does not swing.
"""

from __future__ import annotations

import json
from functools import cache
from importlib.resources import files
from typing import Any

from ringwright.job.document import JobDocument
from ringwright.job.kit import Kit


@cache
def _data() -> dict[str, Any]:
    found: dict[str, Any] = json.loads((files("ringwright.job") / "demo.json").read_text(encoding="utf-8"))
    return found


def demo_job() -> JobDocument:
    """The demo's job: found out, mapped, decided and set out; not cut."""
    return JobDocument.model_validate(_data()["job"])


def demo_kit() -> Kit:
    """The shop of the demo."""
    return Kit.model_validate(_data()["kit"])
