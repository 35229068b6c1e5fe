"""The plain quick sum: fields in groups, an answer in lines of the ledger, with no job behind it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from fastapi import Request, Response

from ringwright.web.forms import Typed, given, length, number_or_text, whole_or_text
from ringwright.web.pages import Choice, Line, frame, render
from ringwright.words import N_, _


@dataclass(frozen=True, slots=True)
class Field:
    """One field; with ``choices`` a list to choose from. ``unit`` "length" is the unit shown."""

    name: str
    label: str
    unit: str = ""
    mode: str = "decimal"
    stands: str = ""
    choices: tuple[Choice, ...] = ()
    required: bool = False
    hint: str = ""
    of: str = ""


@dataclass(frozen=True, slots=True)
class Group:
    """Fields that belong together."""

    legend: str
    fields: tuple[Field, ...]


@dataclass(frozen=True, slots=True)
class Part:
    """Lines under a heading."""

    title: str
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class SumPage:
    """A form and what comes of it."""

    title: str
    action: str
    lead: str
    groups: tuple[Group, ...]
    headline: str
    parts: tuple[Part, ...]
    says: tuple[str, ...]
    notes: tuple[Any, ...]
    taken: tuple[str, ...]
    asked: bool


def sum_page(
    request: Request,
    title: str,
    lead: str,
    groups: Iterable[Group],
    answer: Any,
    *,
    headline: str = "",
    parts: Iterable[Part] = (),
    says: Iterable[str] = (),
) -> Response:
    """The page; the address keeps the sum."""
    notes = answer.notes if answer is not None else ()
    shown = SumPage(
        title=title,
        action=request.url.path,
        lead=lead,
        groups=tuple(groups),
        headline=headline,
        parts=tuple(part for part in parts if part.lines),
        says=tuple(says),
        notes=tuple(n for n in notes if not _default(n)),
        taken=tuple(n.text for n in notes if _default(n)),
        asked=answer is not None,
    )
    return render("sum_plain.html", shown, frame(request, title, section="sums"))


def _default(note: Any) -> bool:
    """A value that was taken because none was given; these fold away, what is to be watched stays open."""
    return str(note.code).endswith("_used")


def choices(words: Mapping[str, str]) -> tuple[Choice, ...]:
    """A list to choose from."""
    return tuple(Choice(value, _(word)) for value, word in words.items())


_PITCHES = {"module_mm": N_("module"), "diametral_pitch": N_("DP"), "circular_pitch_mm": N_("circular pitch")}
_KINDS = {"external": N_("out"), "internal": N_("in")}


def ring_fields(*, helix: bool = False, face: bool = True) -> Group:
    """The ring, as every sum asks it."""
    fields = [
        Field("teeth", _("Teeth"), mode="numeric", required=True),
        Field("kind", _("Teeth look"), choices=choices(_KINDS), stands="external"),
        Field("pitch_in", _("Pitch as"), choices=choices(_PITCHES), stands="module_mm"),
        Field("pitch", _("Its size"), required=True),
        Field("pressure_angle", _("Pressure angle"), "°", hint="20"),
    ]
    if helix:
        hands = {"": "–", "right": N_("right"), "left": N_("left")}
        fields += [Field("helix", _("Helix angle"), "°"), Field("hand", _("Hand"), choices=choices(hands))]
    fields.append(Field("shift", _("Profile shift")))
    if face:
        fields.append(Field("face_width", _("Face width"), "length"))
    return Group(_("The ring"), tuple(fields))


def ring_of(typed: Typed, unit: str) -> dict[str, Any]:
    """RING of the contract, as typed."""
    pitch = typed["pitch_in"] if typed["pitch_in"] in _PITCHES else "module_mm"
    size = number_or_text(typed["pitch"]) if pitch == "diametral_pitch" else length(typed["pitch"], "mm")
    return given(
        [
            ("kind", "internal" if typed["kind"] == "internal" else "external"),
            ("teeth", whole_or_text(typed["teeth"])),
            (pitch, size),
            ("pressure_angle_deg", number_or_text(typed["pressure_angle"])),
            ("helix_angle_deg", number_or_text(typed["helix"])),
            ("hand", typed["hand"] if typed["hand"] in ("right", "left") else None),
            ("profile_shift", number_or_text(typed["shift"])),
            ("face_width_mm", length(typed["face_width"], unit)),
        ]
    )
