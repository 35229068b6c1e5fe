"""The sums that the forces open to: each holds with the numbers put in, and each figure has one."""

import re
from math import pi, sqrt

import pytest

from ringwright import reckon

ASKED = {
    "cutter": {"diameter_mm": 12, "flutes": 4, "material": "carbide"},
    "hardness": {"value": 250, "scale": "HB"},
    "speeds_rpm": [80, 660, 1320, 1750],
    "cut": {
        "ring": {"kind": "external", "teeth": 127, "module_mm": 5, "face_width_mm": 60},
        "cutter": {"kind": "flat", "diameter_mm": 12},
        "pose": {"tool_axis": [1, 0, -1], "feed": [-1, 0, 0], "tip": [337.5, 0, -1]},
        "target": {"lead_length_mm": 1.0},
        "held": {"stick_out_mm": 40, "flute_length_mm": 26, "shank_diameter_mm": 10},
        "motor": {"power_kw": 1.5},
    },
}
DIGITS = str.maketrans("⁶³²", "632")


def _worth(put_in):
    """What the numbers put in come to."""
    text = re.sub("([⁶³²])", lambda m: "**" + m[1].translate(DIGITS), put_in)
    text = text.replace("·", "*").replace("^", "**").replace("√", "sqrt").replace("π", "pi")
    text = re.sub(r"2pi", "2*pi", text)
    assert re.fullmatch(r"[\d\s.e+*/()-]*", re.sub("sqrt|pi", "", text)), text
    return eval(text, {"__builtins__": {}, "sqrt": sqrt, "pi": pi})  # only digits and signs, as held above


@pytest.fixture(scope="module", params=["by hardness", "a steel, worn, quick, with runout"])
def answer(request):
    if request.param == "by hardness":
        return reckon.cutting_data({**ASKED, "working": True})
    cut = {**ASKED["cut"], "steel": "C45", "wear": "worn", "rake_deg": 12, "runout_mm": 0.01}
    return reckon.cutting_data({**ASKED, "machine_share": 1.4, "speeds_rpm": [3200], "cut": cut, "working": True})


def test_every_sum_holds_with_the_numbers_put_in(answer):
    sums = {w.symbol: w for w in answer.working if w.symbol not in ("v_c", "n", "v_f")}
    wanted = {"K_γ", "K_v", "K", "k_c", "F", "P", "M", "M_motor", "F_push", "δ", "δ_held", "σ"}
    assert sums.keys() - {"k_c1.1"} == wanted
    for line in sums.values():
        assert _worth(line.put_in) == pytest.approx(line.value, rel=3e-3), line


def test_the_sums_end_in_the_figures(answer):
    f, by = answer.forces, {w.symbol: w.value for w in answer.working}
    assert by["F"] == f.peak_n.likely
    assert by["M"] == f.torque_nm.likely
    assert by["P"] == f.power_kw.likely
    assert by["F_push"] == f.turning.push_n
    assert by["δ_held"] == f.bending.with_holder_um
    assert by["σ"] == f.bending.root_stress_mpa


def test_the_mean_of_k_c_lies_between_that_of_the_thickest_chip_and_where_the_law_stands_still(answer):
    mean = float(re.match(r"([\d.]+) ·", next(w.put_in for w in answer.working if w.symbol == "P"))[1])
    at_thickest = next(w.value for w in answer.working if w.symbol == "k_c")
    f = answer.forces
    assert at_thickest * 0.99 <= mean <= f.k_c11_mpa * 0.03**-f.m_c * 1.001


def test_no_sums_unasked():
    assert reckon.cutting_data(ASKED).working is None
    without = {k: v for k, v in ASKED.items() if k != "cut"}
    assert [w.symbol for w in reckon.cutting_data({**without, "working": True}).working] == ["v_c", "n", "v_f"]
