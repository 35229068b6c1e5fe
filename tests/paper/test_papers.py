"""The papers as a reader gets them: pages, words, no complaints of the typesetter, and nothing typed read as markup."""

from __future__ import annotations

import dataclasses
import importlib.util
from io import BytesIO
from pathlib import Path

import pypdf
import pypdfium2
import pytest

from ringwright import reckon
from ringwright.job import demo
from ringwright.job.document import Check, FindOut, JobDocument, Prove
from ringwright.job.sheet import Closing, Position, Provenance, RoundSheet, Row, WitnessRule
from ringwright.paper import blocks, bundle, from_job, hand_over_words, papers, set_up
from ringwright.reckon.rounds import make_sheet

_spec = importlib.util.spec_from_file_location("samples", Path(__file__).with_name("samples.py"))
samples = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(samples)

PAPERS = [
    ("Set-up sheet", samples.SET_UP, papers.set_up_blocks, papers.setup_sheet, 2),
    ("Division table", samples.DIVISION, papers.division_blocks, papers.division_table, 4),
    ("Tooth sheet", samples.TEETH, papers.tooth_sheet_blocks, papers.tooth_sheet, 2),
    ("Hand-over report", samples.HAND_OVER, papers.hand_over_blocks, papers.hand_over, 2),
]
each = pytest.mark.parametrize(("name", "data", "made", "printed", "pages"), PAPERS, ids=[p[0] for p in PAPERS])


def read(pdf):
    return pypdf.PdfReader(BytesIO(pdf))


def text_of(pdf):
    return " ".join(" ".join(page.extract_text().split()) for page in read(pdf).pages)


@each
def test_pages_title_and_title_block(name, data, made, printed, pages):
    pdf = printed(data)
    found = read(pdf)

    assert len(found.pages) == pages
    assert found.metadata.title == f"{name}, {data.title.job}"
    for n, page in enumerate(found.pages, 1):
        words = " ".join(page.extract_text().split())
        assert f"{n} of {pages}" in words
        assert data.title.digest in words
        assert data.title.date in words
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx((595.28, 841.89), abs=0.1)


@each
def test_tagged_and_without_complaint(name, data, made, printed, pages):
    pdf, warnings = blocks.typeset_with_warnings(name, data.title, made(data))

    assert warnings == []
    assert read(pdf).trailer["/Root"]["/MarkInfo"]["/Marked"]


@each
def test_what_a_user_typed_stays_text(name, data, made, printed, pages):
    nasty = dataclasses.replace(data, title=samples.NASTY)
    text = text_of(printed(nasty))

    assert '#evil[x] $x^2$ "quoted" *bold*' in text
    assert "<b>&amp;" in text
    assert "{name} @ref" in text
    assert "// no comment /* */" in text


@each
def test_every_page_keeps_inside_its_border(name, data, made, printed, pages):
    long = dataclasses.replace(data, title=dataclasses.replace(data.title, job="Wide words " * 11, part="Long " * 40))
    document = pypdfium2.PdfDocument(printed(long))
    for page in document:
        grey = page.render(scale=1).to_numpy()[:, :, :3].min(axis=2)
        ink = grey < 160
        assert not ink[:, :55].any()  # the filing margin, 20 mm
        assert not ink[:27].any()
        assert not ink[-27:].any()
        assert not ink[:, -27:].any()


def test_nothing_but_ink_and_paper():
    for _name, data, _made, printed, _pages in PAPERS:
        for page in pypdfium2.PdfDocument(printed(data)):
            rgb = page.render(scale=1).to_numpy()[:, :, :3].astype(int)
            assert (rgb.max(axis=2) - rgb.min(axis=2)).max() <= 2


def test_division_table_has_forty_teeth_a_page_and_every_tooth_once():
    found = read(papers.division_table(samples.DIVISION))
    lines = [line for page in found.pages for line in page.extract_text().splitlines()]
    degrees = [f"{row.spindle_deg:.3f}" for row in samples.DIVISION.rows]

    assert "104.882" in found.pages[0].extract_text()
    assert "113.386" in found.pages[1].extract_text()
    assert all(sum(d in line.split() for line in lines) >= 1 for d in degrees)


def test_set_up_sheet_says_what_to_turn():
    text = text_of(papers.setup_sheet(samples.SET_UP))

    for words in ("2 turns + 34 divisions", "45° 00′", "anticlockwise", "530 /min", "Rotary table", "Caution"):
        assert words in text


def test_hand_over_says_against_what_and_by_whom():
    text = text_of(papers.hand_over(samples.HAND_OVER))

    for words in ("94 in 100", "4.05 ± 0.30", "FAILS", "tooth caliper", "Not warranted", "Received: name, date"):
        assert words in text


def test_hand_over_without_readings_says_so():
    text = text_of(papers.hand_over(dataclasses.replace(samples.HAND_OVER, measured=())))

    assert "Nothing was measured." in text


def test_a_thousand_teeth_fill_their_pages():
    sheet = dataclasses.replace(samples.TEETH, laps=(tuple((n, "sound") for n in range(1, 1001)),))
    found = read(papers.tooth_sheet(sheet))

    assert len(found.pages) == 8
    assert "1000" in found.pages[7].extract_text()


def test_two_printings_are_the_same_file():
    assert papers.tooth_sheet(samples.TEETH) == papers.tooth_sheet(samples.TEETH)


def _round(**more):
    rows = tuple(
        Row(
            tooth=n,
            lap=2 if n in (3, 4) else 1,
            move_words="No full turn, 18 spaces on the 23 circle.",
            position=Position(turns=(n - 1) * 9 // 23, hole=(n - 1) * 9 % 23, spindle_deg=(n - 1) * 360 / 115),
            infeed_words="2 turns + 34 divisions",
            zone="hard" if n in (3, 4) else "sound",
            speed_words="210 /min" if n in (3, 4) else "530 /min",
        )
        for n in (1, 2, 5, 6, 3, 4)
    )
    return RoundSheet(
        job_id="j1",
        round_id="r1",
        provenance=Provenance(made_by="ringwright 0.1.0", contract=1, tables_digest="0"),
        title="Lead-in",
        teeth_on_ring=115,
        rows=rows,
        witness=WitnessRule(kind="spindle_deg", within_deg=0.5),
        closing=Closing(divisions=115, identity="115 × 18/23 = 90 turns.", hole=0, spindle_deg=0),
        rechecks=("seat",),
        setup_words=("Clock the seat.",),
        **more,
    )


def demo_round():
    """The demo's lead-in with its first way of dividing taken, and the sheet that it freezes into."""
    job, plan = demo.demo_job(), demo.demo_job().set_out.rounds[0]
    way = reckon.divide(plan.divide).model_dump(mode="json")["ways"][0]
    rounds = (plan.model_copy(update={"way": way}),)
    job = job.model_copy(update={"set_out": job.set_out.model_copy(update={"rounds": rounds})})
    return job, make_sheet(job, demo.demo_kit(), plan.round_id)


JOB = JobDocument(
    job_id="j1",
    number="2026-014",
    title="Drive ring",
    customer="The compost works",
    find_out=FindOut(
        teeth=115,
        teeth_sure=True,
        ring={"kind": "external", "teeth": 115, "module_mm": 5, "helix_angle_deg": 0, "pressure_angle_deg": 20},
        ring_label="module 5",
        ring_probability=0.94,
    ),
    prove=Prove(
        checks=(
            Check(what="lead", tooth=7, value=1.05, unit="mm", wanted=1.0, tolerance=0.3, passed=True, by="A. N."),
            Check(what="end_land", value=3.1, unit="mm", wanted=4.05, tolerance=0.3, passed=False),
            Check(what="burrs", passed=True, remark="none"),
            Check(what="hardness", value=290, unit="HB"),
        ),
        not_warranted="The old weld.",
    ),
)


class TestFromTheJob:
    def test_division_keeps_the_order_of_cutting_and_the_closing_sum(self):
        made = from_job.division_from(JOB, _round(), "2026-11-25")

        assert [row.tooth for row in made.rows] == [1, 2, 5, 6, 3, 4]
        assert (made.rows[1].turns, made.rows[1].setting) == ("0", "9")
        assert "115 × 18/23 = 90 turns." in made.closing
        assert made.title.digest == _round().digest[:12]
        assert "18 spaces on the 23 circle" in text_of(papers.division_table(made))

    def test_laps_and_zones_of_the_tooth_sheet(self):
        made = from_job.tooth_sheet_from(JOB, _round(), "2026-11-25")

        assert made.laps == (
            ((1, "sound"), (2, "sound"), (5, "sound"), (6, "sound")),
            ((3, "hard"), (4, "hard")),
        )

    def test_set_up_says_speeds_by_zone_and_rechecks_in_words(self):
        made = from_job.setup_from(JOB, _round(), "2026-11-25", recheck={"seat": "Indicator on the seat."}.get)

        assert made.speeds == (("sound", "530 /min", ""), ("hard", "210 /min", ""))
        assert [(f.label, f.value) for f in made.infeed] == [("sound, hard", "2 turns + 34 divisions")]
        assert "Indicator on the seat." in text_of(papers.setup_sheet(made))

    def test_hand_over_judges_nothing_that_was_not_judged(self):
        made = from_job.hand_over_from(JOB, "2026-11-25", done=("Lead-in cut.",))

        assert [m.result for m in made.measured] == ["holds", "fails", "seen", ""]
        assert made.measured[0].wanted == "1 ± 0.3 mm"
        assert made.not_warranted[0] == "The old weld."
        assert any("not known whether" in line for line in made.cautions)
        text = text_of(papers.hand_over(made))
        assert "How sure: 94 in 100." in text
        assert "Pressure angle 20°" in text
        assert "not judged" in text

    def test_the_demo_round_prints_what_its_sums_say(self):
        job, sheet = demo_round()
        made = set_up.setup_of_round(job, sheet, "2026-11-25")
        lead_in = reckon.lead_in({**job.set_out.rounds[0].lead_in, "ring": job.find_out.ring})
        text = text_of(papers.setup_sheet(made))

        assert f"{lead_in.infeed_mm:.3f} mm" in text
        assert f"{lead_in.tip_at_touch_off[0]:.2f}" in text
        assert "Guard on" in text
        assert "45° 00′" in text
        assert all("Saddle" not in line for line in made.lock)  # it feeds

    def test_the_set_up_sheet_shows_the_cut_and_how_the_head_is_set(self):
        job, sheet = demo_round()
        made = set_up.setup_of_round(job, sheet, "2026-11-25")

        assert [d.svg.count("<clipPath") for d in made.cut] == [1, 1, 1]
        assert all("xmlns" in d.svg and "<style>" in d.svg for d in made.cut)
        (nod,) = (f for f in made.pose if f.label == "Nod by indicator")
        assert nod.value == "10.000"  # 45 degrees: as far over as up
        assert any(line.startswith("Surer: Touch a sound tip") for line in made.touch_off)
        assert any("tram the head back" in line for line in made.notes)
        assert not any("+t" in line or "_mm was not given" in line for line in made.notes)
        text = text_of(papers.setup_sheet(made))
        assert "What the cut leaves" in text

    def test_without_a_cut_the_set_up_sheet_has_no_sections(self):
        job, sheet = demo_round()
        bare = job.set_out.rounds[0].model_copy(update={"lead_in": None})
        bare_job = job.model_copy(update={"set_out": job.set_out.model_copy(update={"rounds": (bare,)})})
        made = set_up.setup_of_round(bare_job, sheet, "2026-11-25")

        assert made.cut == ()
        assert "What the cut leaves" not in text_of(papers.setup_sheet(made))

    @pytest.mark.parametrize("name", bundle.NAMES)
    def test_each_paper_of_the_demo_round(self, name):
        job, sheet = demo_round()
        text = text_of(bundle.paper_of(name, job, sheet, "2026-11-25"))

        assert job.title in text
        assert sheet.digest[:12] in text

    def test_the_hand_over_says_what_can_hurt_and_that_nobody_signed(self):
        job, sheet = demo_round()
        said = bundle.hand_over_of(job, "2026-11-25", (hand_over_words.round_cut(sheet, ()),))
        signed = job.model_copy(update={"prove": job.prove.model_copy(update={"signed_by": "A. Nother"})})

        assert any("Nobody has signed" in line for line in said.cautions)
        assert any("No fingers" in line for line in said.cautions)
        assert "Nobody has signed" not in "".join(hand_over_words.cautions_of(signed))
        assert any("were not cut" in line for line in said.done)
        assert "No fingers" in text_of(bundle.paper_of("hand-over", job, sheet, "2026-11-25"))

    def test_no_paper_of_another_name(self):
        with pytest.raises(KeyError, match="poster"):
            bundle.paper_of("poster", *demo_round(), "2026-11-25")

    def test_a_plan_changed_since_is_not_passed_off_as_the_frozen_one(self):
        job, sheet = demo_round()
        changed = job.set_out.rounds[0].model_copy(update={"revision": sheet.revision + 1})
        later = job.model_copy(update={"set_out": job.set_out.model_copy(update={"rounds": (changed,)})})
        made = set_up.setup_of_round(later, sheet, "2026-11-25")

        assert "changed since" in made.notes[0]
        assert made.pose == ()

    def test_a_job_with_nothing_settled_still_prints(self):
        bare = JobDocument(job_id="j2", number="", title="Ring")
        text = text_of(papers.hand_over(from_job.hand_over_from(bare, "2026-11-25", done=())))

        assert "not settled" in text
        assert "How sure: not reckoned." in text
