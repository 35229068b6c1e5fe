"""Kit: machines, dividing devices, cutters as measured, instruments, rates; each added, put right or taken off."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request, Response
from pydantic import ValidationError

from ringwright.job.kit import Cutter, Device, Instrument, Kit, Machine, Rates
from ringwright.reckon import phrases
from ringwright.reckon.base import Problem, Problems, within
from ringwright.reckon.crank import DeviceAsked
from ringwright.web import cutters, devices
from ringwright.web.desk import store_of
from ringwright.web.forms import Sent, Typed, figure, given, length_mm, shown_again_by, whole
from ringwright.web.mapping import choices
from ringwright.web.pages import Choice, frame, go, length, number, render, unit_of
from ringwright.web.readings import WHATS
from ringwright.words import N_, _

router = APIRouter(include_in_schema=False, prefix="/kit")

phrases.learn(
    "name_taken",
    N_("There is another “{value}” on this shelf."),
    N_("A name of its own."),
    N_("Add what tells it apart: its number, its ratio, its place."),
)

AXES = ("table", "saddle", "knee", "quill")
SHELVES = {"machines": Machine, "devices": Device, "cutters": Cutter, "instruments": Instrument}


@dataclass(frozen=True, slots=True)
class ShelfLine:
    """One thing on the shelf."""

    index: int
    name: str
    words: str


@dataclass(frozen=True, slots=True)
class KitPage:
    """Everything on the shelf."""

    machines: tuple[ShelfLine, ...]
    devices: tuple[ShelfLine, ...]
    device_put_right: str
    device_stands: dict[str, str]
    cutters: tuple[ShelfLine, ...]
    instruments: tuple[ShelfLine, ...]
    rates: Rates
    axes: tuple[str, ...]
    materials: tuple[Choice, ...]
    kinds: tuple[Choice, ...]
    engraved: tuple[Choice, ...]
    of_kind: dict[str, str]
    reads: tuple[Choice, ...]


def page(request: Request) -> Response:
    """The kit."""
    kit, version = store_of(request).kit()
    unit = unit_of(request)
    asked = getattr(request.state, "typed", {}).get("instead", request.query_params.get("device", ""))
    at = int(asked) if asked.isdecimal() and len(asked) < 4 and int(asked) < len(kit.devices) else None
    shown = KitPage(
        machines=tuple(ShelfLine(i, m.name, _machine(m, unit)) for i, m in enumerate(kit.machines)),
        devices=tuple(ShelfLine(i, d.name, devices.words_of(d, unit)) for i, d in enumerate(kit.devices)),
        device_put_right="" if at is None else str(at),
        device_stands=devices.standing(None if at is None else kit.devices[at], unit),
        cutters=tuple(ShelfLine(i, c.name, cutters.words_of(c, unit)) for i, c in enumerate(kit.cutters)),
        instruments=tuple(ShelfLine(i, x.name, _instrument(x)) for i, x in enumerate(kit.instruments)),
        rates=kit.rates,
        axes=AXES,
        materials=choices({"carbide": N_("carbide"), "hss": N_("high speed steel"), "hss_cobalt": N_("cobalt steel")}),
        kinds=cutters.kinds(),
        engraved=cutters.engraved(),
        of_kind={name: " ".join(f"of-{kind}" for kind in kinds) for name, kinds in cutters.SHOWN.items()},
        reads=choices(WHATS),
    )
    return render("kit.html", shown, frame(request, _("Kit"), version=version, section="kit"))


def _machine(m: Machine, unit: str) -> str:
    axes = ", ".join(
        _(
            "{axis} {travel} {unit}{readout}",
            axis=_(a.name),
            travel=length(a.travel_mm, unit, 0 if unit == "mm" else 1),
            unit=unit,
            readout=_(" on a readout") if a.readout else "",
        )
        for a in m.axes
    )
    nods = _("head nods {deg}°", deg=number(m.head_nods_deg, 1)) if m.head_nods_deg else _("head fixed")
    throat = _("throat {mm} {unit}", mm=length(m.throat_mm, unit, 0 if unit == "mm" else 1), unit=unit)
    return "; ".join(
        (axes, throat, nods, _("{n} speeds", n=len(m.speeds_rpm)), _("carries {kg} kg", kg=number(m.table_load_kg, 0)))
    )


def _instrument(x: Instrument) -> str:
    reads = ", ".join(_(WHATS.get(r, r)) for r in x.reads)
    return _("{reads}; good to {u} {unit}", reads=reads, u=number(x.uncertainty, 4), unit=x.unit)


# -- acts -------------------------------------------------------------------------------------------------------------


@router.get("")
def kit(request: Request) -> Response:
    """The kit."""
    return page(request)


@router.post("/machines", dependencies=[shown_again_by(page)])
def machine(request: Request, form: Sent) -> Response:
    """One more machine."""
    unit = unit_of(request)
    axes = [
        given(
            [
                ("name", name),
                ("travel_mm", length_mm(form[f"{name}_travel"], unit, f"{name}_travel")),
                ("readout", form[f"{name}_readout"] == "yes"),
                ("mm_per_turn", length_mm(form[f"{name}_turn"], unit, f"{name}_turn")),
                ("mm_per_division", length_mm(form[f"{name}_division"], unit, f"{name}_division")),
                ("inch", unit == "in"),
                ("clockwise", form.text(f"{name}_clockwise")[:80]),
            ]
        )
        for name in AXES
        if form.text(f"{name}_travel")
    ]
    record = given(
        [
            ("name", form.text("name")),
            ("axes", axes),
            *(
                (n, length_mm(form[n], unit, n))
                for n in ("throat_mm", "spindle_nose_to_table_mm", "table_length_mm", "table_width_mm")
            ),
            *((n, figure(form, n)) for n in ("table_load_kg", "head_nods_deg", "head_tilts_deg", "power_kw")),
            ("speeds_rpm", _figures(form, "speeds_rpm")),
            ("feeds_mm_min", _figures(form, "feeds_mm_min") or None),
        ]
    )
    return _add(request, form, "machines", record)


@router.post("/devices", dependencies=[shown_again_by(page)])
def device(request: Request, form: Sent) -> Response:
    """One more dividing head or rotary table; or one that stands there, put right."""
    instead = whole(form["instead"], "instead", 0, 10_000) if form.text("instead") else None
    return _add(request, form, "devices", devices.record_of(form, unit_of(request)), instead)


@router.post("/cutters", dependencies=[shown_again_by(page)])
def cutter(request: Request, form: Sent) -> Response:
    """One more cutter, as measured."""
    return _add(request, form, "cutters", cutters.record_of(form, unit_of(request)))


@router.post("/instruments", dependencies=[shown_again_by(page)])
def instrument(request: Request, form: Sent) -> Response:
    """One more instrument and what its readings are good for."""
    reads = [name for name in WHATS if form[f"reads_{name}"] == "yes"]
    record = given(
        [
            ("name", form.text("name")),
            ("reads", reads),
            ("unit", form["unit"]),
            ("uncertainty", figure(form, "uncertainty")),
        ]
    )
    return _add(request, form, "instruments", record)


@router.post("/rates", dependencies=[shown_again_by(page)])
def rates(request: Request, form: Sent) -> Response:
    """What an hour costs here."""
    store = store_of(request)
    now, _version = store.kit()
    shares = given([(n, _share(form, n)) for n in ("contingency", "margin")])
    record = {
        **now.rates.model_dump(),
        **shares,
        **given([("currency", form.text("currency")[:8]), ("hour", figure(form, "hour"))]),
    }
    store.save_kit(now.model_copy(update={"rates": _made(Rates, record)}), form.seen_version)
    return go("/kit")


@router.post("/take-off", dependencies=[shown_again_by(page)])
def take_off(request: Request, form: Sent) -> Response:
    """Take a thing off its shelf."""
    store = store_of(request)
    now, _version = store.kit()
    shelf = form["shelf"] if form["shelf"] in SHELVES else "cutters"
    gone = whole(form["index"], "index", 0, 10_000)
    left = tuple(x for i, x in enumerate(getattr(now, shelf)) if i != gone)
    store.save_kit(now.model_copy(update={shelf: left}), form.seen_version)
    return go("/kit")


def _add(request: Request, form: Typed, shelf: str, record: dict[str, Any], instead: int | None = None) -> Response:
    """Put a thing on its shelf, behind the others or ``instead`` of the one at that place."""
    store = store_of(request)
    now, _version = store.kit()
    thing = _made(SHELVES[shelf], record)
    if isinstance(thing, Device):
        _made(
            DeviceAsked, thing.as_offered(), strict=False
        )  # what one device alone shows to be wrong is said here, not at a job
    standing = list(getattr(now, shelf))
    others = [x for i, x in enumerate(standing) if i != instead]
    if any(x.name == thing.name for x in others):
        raise Problems([phrases.problem("name_taken", "name", {"value": thing.name})])
    at = len(standing) if instead is None else min(instead, len(standing))
    standing[at : at + 1] = [thing]
    store.save_kit(Kit.model_validate({**dict(now), shelf: tuple(standing)}), form.seen_version)
    return go("/kit")


def _made(model: Any, record: dict[str, Any], strict: bool | None = None) -> Any:
    """The record checked; its faults told in words, at their fields."""
    try:
        return model.model_validate(record, strict=strict)
    except ValidationError as faults:
        raise Problems([_told(f, record) for f in faults.errors(include_url=False)]) from None


def _told(fault: Any, record: dict[str, Any]) -> Problem:
    _where, here, _whole = within(record, fault["loc"])
    code, facts = phrases.fault(fault, here)
    return phrases.problem(code, ".".join(str(step) for step in fault["loc"] if isinstance(step, str)), facts)


def _share(form: Typed, name: str) -> float | None:
    value = figure(form, name)
    return None if value is None else value / 100


def _figures(form: Typed, name: str) -> list[float]:
    try:
        return [float(x) for x in re.split(r"[\s,;]+", form.text(name)) if x]
    except ValueError:
        raise Problems([phrases.problem("not_a_number", name, {"value": form.text(name)[:40]})]) from None
