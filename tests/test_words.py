"""Every sentence stands in the catalogue's template, whole and fillable, and no template speaks past the catalogue."""

from __future__ import annotations

import io
import re
import string
import subprocess
import sys
from importlib import util
from pathlib import Path

import pytest
from babel.messages.pofile import read_po

ROOT = Path(__file__).resolve().parent.parent
TEMPLATES = sorted((ROOT / "src" / "ringwright").rglob("templates/**/*.html"))
SCRIPTS = sorted((ROOT / "web" / "client" / "src").rglob("*.ts"))
MODULES = sorted((ROOT / "src" / "ringwright").rglob("*.py"))
#: Names, units and scales, the same in every language.
NO_WORDS = {"Ringwright", "mm", "in", "deg", "HB", "HRC", "HV", "HLD"}


def _words_tool():
    spec = util.spec_from_file_location("words_tool", ROOT / "tools" / "words.py")
    tool = util.module_from_spec(spec)
    spec.loader.exec_module(tool)
    return tool


def _messages(path):
    with path.open("rb") as file:
        catalogue = read_po(file)
    found = set()
    for message in catalogue:
        found.update(message.id if isinstance(message.id, tuple) else [message.id])
    return found - {""}


@pytest.fixture(scope="module")
def template():
    return _messages(ROOT / "src" / "ringwright" / "words" / "ringwright.pot")


def test_the_template_is_what_the_sources_say_today(template, tmp_path):
    out = tmp_path / "again.pot"
    subprocess.run([sys.executable, "tools/words.py", str(out)], cwd=ROOT, check=True, capture_output=True)
    again = _messages(out)

    assert sorted(again - template) == [], "said in the sources, not in the template: run `make words`"
    assert sorted(template - again) == [], "in the template, said nowhere: run `make words`"


def _said_in_python(path):
    """Plain texts in one pair of quotes after _( or N_(, found by pattern and not by the extractor."""
    text = re.sub(r"(?m)^ *(>>>|\.\.\.).*$", "", path.read_text(encoding="utf-8"))
    yield from re.findall(r"""(?<![\w.])N?_\(\s*"([^"\\\n]+)"\s*[,)]""", text)


def test_each_python_sentence_is_in_the_template(template):
    said = {text for path in MODULES for text in _said_in_python(path)}

    assert len(said) > 500
    assert sorted(said - template) == []


def test_each_sentence_of_the_browser_is_in_the_template(template):
    said = set()
    for path in SCRIPTS:
        said.update(re.findall(r'(?<!\w)_\("((?:[^"\\\n]|\\.)+)"\s*[,)]', path.read_text(encoding="utf-8")))

    assert len(said) > 50
    assert sorted(text for text in said if "\\" not in text and text not in template) == []


def test_each_sentence_of_a_page_is_in_the_template(template):
    said = set()
    for path in TEMPLATES:
        for double, single in re.findall(
            r"""(?<!\w)_\((?:"([^"\\]+)"|'([^'\\]+)')\s*[,)]""", path.read_text(encoding="utf-8")
        ):
            said.add(double or single)

    assert len(said) > 100
    assert sorted(said - template) == []


def test_the_python_extractor_sees_into_other_calls_and_choices():
    module = 'a = f"<b>{escape(_("stops"))}</b>"\nb = _(said.get(z, N_("Beside it")))\nc = _("on" if up else "off")\n'
    module = module.replace('f"<b>{escape(_("stops"))}</b>"', "f\"<b>{escape(_('stops'))}</b>\"")
    found = [one[2] for one in _words_tool().python(io.BytesIO(module.encode()), {}, (), {})]

    assert sorted(found) == ["Beside it", "off", "on", "stops"]


@pytest.mark.parametrize("module", ['_(f"Tooth {n}")', '_("Tooth " + n)', '_("Tooth %s" % n)'])
def test_a_sentence_put_together_in_python_is_refused(module):
    with pytest.raises(ValueError, match="line 1"):
        list(_words_tool().python(io.BytesIO(module.encode()), {}, (), {}))


def _said(script):
    return [found[2] for found in _words_tool().typescript(io.BytesIO(script.encode()), {}, (), {})]


def test_the_browser_extractor_sees_past_types_and_patterns():
    script = (
        "export function _(message: string): string { return message; }\n"
        'const it = (a: Map<string, number>): boolean => /"/.test(_("Tooth {n} done.", { n: `${a}` }));\n'
        'say(_("Long " +\n  "sentence."));'
    )

    assert _said(script) == ["Tooth {n} done.", "Long sentence."]


@pytest.mark.parametrize("script", ["say(_(message));", "say(_(`Tooth ${n}`));", 'say(_("Tooth " + n));'])
def test_a_sentence_that_cannot_be_extracted_is_refused(script):
    with pytest.raises(ValueError, match="line 1"):
        _said(script)


def _unfillable(message):
    """Why a message's places cannot be filled, or nothing."""
    try:
        names = [name for _, name, _, _ in string.Formatter().parse(message) if name is not None]
    except ValueError as fault:
        return str(fault)
    wrong = [name for name in names if not re.fullmatch(r"[a-z][a-z0-9_]*", name, re.IGNORECASE)]
    return f"places {wrong}" if wrong else ""


def test_every_place_in_every_message_can_be_filled(template):
    assert {message: _unfillable(message) for message in template if _unfillable(message)} == {}


@pytest.mark.parametrize("broken", ["{tooth", "tooth}", "{}", "{0}", "{a b}", "{ring.teeth}"])
def test_a_broken_place_is_seen(broken):
    assert _unfillable(f"Tooth {broken} is next.")


def _bare(text):
    """Words between tags that pass no expression, with their line."""
    for pattern in (
        r"\{#.*?#\}",
        r"\{%-?\s*block width\s*-?%\}.*?\{%-?\s*endblock",  # the inside of a class attribute
        r"\{\{.*?\}\}",
        r"\{%.*?%\}",
        r"<!--.*?-->",
        r"<(script|style)\b.*?</\1>",
        r'[\w-]+="[^"<>]*"(?=[^<>]*(?:<|$))(?![^<>]*>)',  # an attribute that a macro makes
    ):
        text = re.sub(pattern, lambda found: " " + "\n" * found[0].count("\n"), text, flags=re.DOTALL)
    for piece in re.finditer(r"(?:^|>)([^<>]*)(?=<|$)", text):
        words = set(re.findall(r"[^\W\d_]{2,}", re.sub(r"&\w+;", " ", piece[1]))) - NO_WORDS
        if words:
            yield text.count("\n", 0, piece.start()) + 1, sorted(words)


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda p: p.name)
def test_no_page_speaks_past_the_catalogue(path):
    assert list(_bare(path.read_text(encoding="utf-8"))) == []


@pytest.mark.parametrize(
    "page",
    [
        "<p>Tooth next</p>",
        "Tooth <b>{{ n }}</b>",
        "<p>{{ n }} teeth to go</p>",
        "<p>{% if a %}Stop{% endif %}</p>",
        "<i>{# a remark #}Stop",
    ],
)
def test_a_bare_word_is_seen(page):
    assert list(_bare(page))


@pytest.mark.parametrize(
    "page",
    ['<p>{{ _("Tooth {n} next", n=3) }} 58°</p>', "<td>– · &nbsp;</td>", "{# a remark #}<p>{{ n }}</p>", "<td>mm</td>"],
)
def test_what_passes_the_catalogue_is_let_be(page):
    assert not list(_bare(page))


def test_spoken_attributes_pass_the_catalogue():
    spoken = re.compile(r"\b(?:alt|title|placeholder|aria-label|aria-description)=\"([^\"]*)\"")
    bare = [
        (path.name, said)
        for path in TEMPLATES
        for said in spoken.findall(path.read_text(encoding="utf-8"))
        if re.search(r"[^\W\d_]{2,}", re.sub(r"\{\{.*?\}\}|\{%.*?%\}", "", said))
    ]

    assert bare == []
