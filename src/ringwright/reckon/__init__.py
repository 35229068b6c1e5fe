"""The operations: every sum the product does, at once Python, command line and HTTP.

``reckon.NAME(mapping or model)`` returns the answer model or raises `Problems`. The registry is a literal: name ->
"module:operation", loaded on first use, so that starting up costs nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache
from importlib import import_module
from typing import Any

from ringwright.reckon.base import Answered, Asked, Operation, Problem, Problems

REGISTRY: dict[str, str] = {
    "gear": "measuring:GEAR",
    "identify": "naming:IDENTIFY",
    "divide": "indexing:DIVIDE",
    "check_setting": "checking:CHECK_SETTING",
    "where_am_i": "locating:WHERE_AM_I",
    "plate_layout": "plate_making:PLATE_LAYOUT",
    "detent": "detenting:DETENT",
    "lead_in": "leading:LEAD_IN",
    "gash": "gashing:GASH",
    "face_off": "facing:FACE_OFF",
    "cut_shape": "showing:CUT_SHAPE",
    "cutting_data": "speeds:CUTTING_DATA",
    "cutter_life": "lasting:CUTTER_LIFE",
    "setup_check": "fitting:SETUP_CHECK",
    "estimate": "pricing:ESTIMATE",
    "tooth_strength": "bearing:TOOTH_STRENGTH",
    "reclock": "turning:RECLOCK",
    "ways_to_save": "choosing:WAYS_TO_SAVE",
    "mesh": "meshing:MESH",
    "tolerance": "tolerancing:TOLERANCE",
}


@cache
def operation(name: str) -> Operation[Any, Any]:
    """The operation of that name; KeyError when there is none."""
    module, _, entry = REGISTRY[name].partition(":")
    found: Operation[Any, Any] = getattr(import_module(f"ringwright.reckon.{module}"), entry)
    return found


def names() -> tuple[str, ...]:
    """All operations, in the order of the job."""
    return tuple(REGISTRY)


def operations() -> Iterator[Operation[Any, Any]]:
    """All operations, loaded."""
    return (operation(name) for name in REGISTRY)


def __getattr__(name: str) -> Callable[..., Any]:
    if name in REGISTRY:
        return operation(name).ask
    raise AttributeError(name)


__all__ = ["REGISTRY", "Answered", "Asked", "Operation", "Problem", "Problems", "names", "operation", "operations"]
