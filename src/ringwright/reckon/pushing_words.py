"""What the forces of a cut need said beside them: bands, defaults, cautions."""

from __future__ import annotations

from ringwright.cutting import deflection, forces
from ringwright.reckon.base import Note
from ringwright.reckon.pushing_models import CutAsked, Forces
from ringwright.words import _


def notes(asked: CutAsked, found: Forces, f_z: float) -> list[Note]:
    """Bands, defaults and cautions of the forces."""
    said: list[Note] = []

    def note(code: str, text: str) -> None:
        said.append(Note(code=code, text=text))

    note("force_band", _("Forces are good to 15 per cent in a known steel, 25 by hardness, 30 where the chip is thin."))
    if asked.steel is None:
        note("steel_by_hardness", _("The steel is not known: constants of C45, raised with the hardness."))
    if found.thickest_chip_mm < forces.LAW_FROM:
        note("chip_thin", _("The chip is thinner than 0.05 mm: the force law is carried on and stands still at 0.03."))
    for field, shown in (
        ("wear", _("an edge in use, force times 1.3")),
        ("rake_deg", "6"),
        ("helix_deg", "30"),
        ("runout_mm", "0"),
        ("space_before_cut", _("yes")),
    ):
        if field not in asked.model_fields_set:
            note(f"{field}_used", _("{field} was not given: {shown}.", field=f"cut.{field}", shown=shown))
    note("right_hand_cutter", _("A right-hand cutter is meant, clockwise as seen from the spindle."))
    if asked.runout_mm > deflection.RUNOUT_SHARE * f_z:
        note(
            "runout_great", _("Runout above 0.3 of the feed per tooth: one edge does most of the work and goes first.")
        )
    return said + _held_notes(asked, found) + _motor_notes(asked, found)


def _held_notes(asked: CutAsked, found: Forces) -> list[Note]:
    if asked.held is None or found.bending is None:
        return []
    said, bending = [], found.bending
    said.append(
        Note(
            code="bent_at_peak",
            text=_("Bending is reckoned at the peak force, at the tip: an upper bound, good to 30 per cent."),
        )
    )
    if "holder_factor" not in asked.held.model_fields_set:
        text = _("Collet, taper and quill give way too: 2.5 times the cutter's own bending is taken (2 to 3).")
        said.append(Note(code="holder_factor_used", text=text))
    if bending.root_limit_mpa is not None and bending.root_stress_mpa > bending.root_limit_mpa:
        text = _("The root stress is above 600 MPa. Carbide breaks before it bends: less infeed, or less stick-out.")
        said.append(Note(code="cutter_may_break", text=text))
    if bending.stick_out_diameters > bending.stick_out_guide:
        text = _("The cutter stands out further than {n} diameters.", n=f"{bending.stick_out_guide:g}")
        said.append(Note(code="stick_out_long", text=text))
    return said


def _motor_notes(asked: CutAsked, found: Forces) -> list[Note]:
    if asked.motor is None or found.motor is None:
        return []
    said = []
    if "efficiency" not in asked.motor.model_fields_set:
        text = _("0.8 of the motor's power is taken to reach the spindle.")
        said.append(Note(code="efficiency_used", text=text))
    if not found.motor.enough:
        text = _("The motor may stall at this speed: less infeed or feed, or the back gear.")
        said.append(Note(code="motor_weak", text=text))
    return said
