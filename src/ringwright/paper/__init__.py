"""Papers: set-up sheet, division table, tooth sheet, hand-over report."""

from ringwright.paper.blocks import Drawing, Figure, Title
from ringwright.paper.papers import (
    Division,
    DivisionRow,
    HandOver,
    Measured,
    SetUp,
    ToothSheet,
    division_table,
    hand_over,
    setup_sheet,
    tooth_sheet,
)

__all__ = [
    "Division",
    "DivisionRow",
    "Drawing",
    "Figure",
    "HandOver",
    "Measured",
    "SetUp",
    "Title",
    "ToothSheet",
    "division_table",
    "hand_over",
    "setup_sheet",
    "tooth_sheet",
]
