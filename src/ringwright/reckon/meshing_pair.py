"""A request's ring and mate as a pair at its centres, and the words where they make none."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import isnan

import numpy as np

from ringwright.errors import Refusal
from ringwright.gears import backlash as play
from ringwright.gears import mesh
from ringwright.gears.mesh import Pair, Path
from ringwright.gears.ring import RingGeometry
from ringwright.reckon import phrases
from ringwright.reckon.measuring import core_ring
from ringwright.reckon.meshing_models import MeshAsked
from ringwright.words import N_

phrases.learn(
    "two_internal",
    N_("Two internal rings cannot mesh."),
    N_("One of the two is external."),
    N_("Look at kind of ring and mate."),
)
phrases.learn(
    "ring_not_larger",
    N_("An internal ring needs more teeth than the gear inside it."),
    N_("{low} to {high} teeth inside."),
    N_("Look at the two counts."),
)
phrases.learn(
    "hands_do_not_mesh",
    N_("These hands do not mesh on parallel shafts."),
    N_("External with external: one right, one left. External with internal: both the same."),
    N_("Look at hand of ring and mate."),
)
phrases.learn(
    "helix_angles_differ",
    N_("The helix angles do not match: at the base circles {ring} on the ring, {mate} on the mate."),
    N_("The same base helix angle within 0.06°."),
    N_("Look at helix_angle_deg of both."),
)
phrases.learn(
    "base_pitches_differ",
    N_("These two do not mesh: the base pitch is {ring} on the ring and {mate} on the mate."),
    N_("Base pitches equal within 0.2 %."),
    N_("Look at pitch and pressure angle of both; near twins seem to mesh over two or three teeth."),
)
phrases.learn(
    "out_of_reach",
    N_("At centres of {value} these two have no working mesh."),
    N_("{least} to {most}."),
    N_("Look at the centre distance, and at the tip diameters."),
)
phrases.learn(
    "too_near_inside",
    N_("At centres of {value} these two have no working mesh."),
    N_("{low} or more."),
    N_("Look at the centre distance, and at the tip diameters."),
)
phrases.learn(
    "no_such_backlash",
    N_("No centres give this pair a backlash of {value}."),
    N_("A backlash that these thicknesses allow, and with it the tips still reach each other."),
    N_("Give centre_distance_mm, or look at profile shifts and allowances."),
)
phrases.learn(
    "no_tight_mesh",
    N_("The teeth are so thin that no centres make the mesh tight."),
    N_("centre_distance_mm given."),
    N_("Give the centre distance, or look at profile shifts and allowances."),
)
phrases.learn(
    "centres_twice",
    N_("Centres and backlash are both given, and each sets the other."),
    N_("centre_distance_mm, or backlash, or neither."),
    N_("Leave one, take the other out."),
)

#: Symbols of a pair -> symbols of the request, as it stands and where the request's mate is the pair's ring.
_RENAMED = (
    {"lost_ring": "lost.ring", "lost_pinion": "lost.mate", "z": "mate.z"},
    {"lost_ring": "lost.mate", "lost_pinion": "lost.ring"},
)


@dataclass(frozen=True, slots=True)
class Meshed:
    """The pair at its centres; ``swapped``: the request's mate is the pair's ring, since only that one is internal."""

    pair: Pair
    a_w: float
    path: Path
    swapped: bool


def _again(refusal: Refusal, symbol: str) -> Refusal:
    return Refusal(refusal.code, symbol, refusal.value, refusal.low, refusal.high, at=refusal.at, facts=refusal.facts)


def meshed(asked: MeshAsked) -> Meshed:
    """The request's pair at its centres.

    Raises
    ------
    Refusal
        As `Pair`, `working_angle` and `centre_distance_for`; ``no_tight_mesh`` where neither centres nor backlash are
        given and none is tight.
    """
    ring = core_ring(asked.ring)
    try:
        mate = core_ring(asked.mate)
    except Refusal as refusal:
        raise _again(refusal, f"mate.{refusal.symbol}") from refusal
    ring, mate = (
        _chamfered(ring, asked.ring_tip_chamfer_mm, "ring"),
        _chamfered(mate, asked.mate_tip_chamfer_mm, "mate"),
    )
    swapped = mate.kind == "internal" and ring.kind == "external"
    lost = (asked.ring_thickness_lost_mm, asked.mate_thickness_lost_mm)
    try:
        pair = Pair(ring, mate, *lost) if swapped else Pair(mate, ring, *reversed(lost))
    except Refusal as refusal:
        raise _again(refusal, _RENAMED[swapped].get(refusal.symbol, refusal.symbol)) from refusal
    a_w = _centres(asked, pair)
    return Meshed(pair, a_w, mesh.path_of_contact(pair, a_w), swapped)


def _chamfered(gear: RingGeometry, chamfer: float, of: str) -> RingGeometry:
    """The gear whose flanks end at a tip chamfer [mm]; a chamfer that leaves no tip is refused."""
    most = min(gear.h, float(np.nan_to_num(gear.s_y(gear.d_a), nan=np.inf)) / 2)
    if chamfer and chamfer >= most:
        raise Refusal("chamfer_too_wide", f"h_K.{of}", chamfer, 0, most)
    return replace(gear, h_K=chamfer)


def _centres(asked: MeshAsked, pair: Pair) -> float:
    if asked.centre_distance_mm is not None:
        return asked.centre_distance_mm
    if asked.backlash is not None:
        return _centres_for(pair, asked.backlash.kind, asked.backlash.mm)
    tight = play.tight_centre_distance(pair)
    if isnan(tight):
        raise Refusal("no_tight_mesh", "")
    return tight


def _centres_for(pair: Pair, kind: play.Kind, j: float) -> float:
    """Centres that give the backlash asked for; a refusal speaks of that backlash, not of a step on the way to it."""
    try:
        a_w = play.centre_distance_for(pair, kind, j)
        mesh.working_angle(pair, a_w)
    except Refusal as refusal:
        if refusal.code == "out_of_range":
            raise
        raise Refusal("no_such_backlash", "j", j) from refusal
    return a_w
