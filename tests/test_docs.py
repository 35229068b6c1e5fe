"""What the docs show is true: code runs, command lines are understood, links lead somewhere."""

from __future__ import annotations

import doctest
import io
import json
import re
import shlex
from pathlib import Path

import pytest

from ringwright import cli

ROOT = Path(__file__).resolve().parent.parent
PAGES = [ROOT / "README.md", ROOT / "CONTRIBUTING.md", *sorted((ROOT / "docs").rglob("*.md"))]
FENCED = re.compile(r"(?m)^```(\w*)\n(.*?)^```", re.DOTALL)


def _name(path):
    return str(path.relative_to(ROOT))


def _text(path):
    return path.read_text(encoding="utf-8")


def _python(path):
    return [(n, code) for n, (kind, code) in enumerate(FENCED.findall(_text(path)), 1) if kind in ("python", "pycon")]


@pytest.mark.parametrize("path", [p for p in PAGES if _python(p)], ids=_name)
def test_the_code_of_a_page_runs(path):
    shared = {"__name__": "page"}
    for number, code in _python(path):
        place = f"{_name(path)}, block {number}"
        if ">>>" not in code:
            exec(compile(code, place, "exec"), shared)
            continue
        said = io.StringIO()
        test = doctest.DocTestParser().get_doctest(code, shared, place, _name(path), 0)
        runner = doctest.DocTestRunner(optionflags=doctest.ELLIPSIS | doctest.NORMALIZE_WHITESPACE)
        runner.run(test, out=said.write, clear_globs=False)
        shared.update(test.globs)
        assert runner.failures == 0, said.getvalue()


def test_there_is_code_to_run():
    assert sum(len(_python(path)) for path in PAGES) >= 4


# --- command lines ---------------------------------------------------------------------------------------------------


def _only_named(span):
    """Whether running text only calls a command by its name, without what it works on."""
    words = span.split()
    return len(words) == 2 and words[1] in cli._COMMANDS


def _lines(text):
    """Lines of shell blocks and of indented blocks, and commands in running text, without their remarks."""
    shell = "\n".join(code for kind, code in FENCED.findall(text) if kind in ("sh", "console", "bash"))
    rest = FENCED.sub("", text)
    indented = "\n".join(line[4:] for line in rest.splitlines() if line.startswith("    "))
    spans = "\n".join(s for s in re.findall(r"`(ringwright(?: [^`\n]+)?)`", rest) if not _only_named(s))
    for line in f"{shell}\n{indented}\n{spans}".splitlines():
        for part in re.split(r"\s\|\s|&&", re.sub(r"\s+#.*", "", line.removeprefix("$ "))):
            if part.strip() == "ringwright" or part.strip().startswith("ringwright "):
                yield part.strip()


def _words(line):
    """The arguments of a command line, places to be filled given a value."""
    words = []
    for word in shlex.split(line)[1:]:
        if word in ("<", ">", "2>"):
            break
        words.append("8427" if word == "N" else word)
    return [w for w in words if w not in ("...", "…")]


SHOWN = [(_name(path), line) for path in PAGES for line in dict.fromkeys(_lines(_text(path)))]


@pytest.mark.parametrize(("page", "line"), SHOWN)
def test_a_command_line_is_understood(page, line):
    words = _words(line)
    if not any(word in cli._COMMANDS for word in words) and "--version" not in words:
        words = ["serve", *words]

    asked = cli._parser().parse_args(words)

    assert asked.command in cli._COMMANDS
    if asked.command == "reckon" and asked.name and asked.name != "NAME":
        from ringwright import reckon

        assert asked.name in reckon.names()


def test_there_are_command_lines():
    assert len(SHOWN) >= 6
    assert ("README.md", "ringwright verify") in SHOWN


@pytest.mark.parametrize("line", ["ringwright polish 3", "ringwright divide", "ringwright divide 127 --colour red"])
def test_a_wrong_command_line_is_seen(line, capsys):
    with pytest.raises(SystemExit):
        cli._parser().parse_args(_words(line))
    assert "usage" in capsys.readouterr().err


def test_commands_are_found_in_every_kind_of_block():
    text = "With `ringwright backup` or\n`ringwright gear 9`.\n\n    ringwright divide 9  # nine\n\n"
    text += "```sh\necho 1 | ringwright reckon gear\n```\n"

    assert list(_lines(text)) == ["ringwright reckon gear", "ringwright divide 9", "ringwright gear 9"]


def _without_the_app():
    section = _text(ROOT / "README.md").partition("## Without the app\n")[2].partition("\n## ")[0]
    return [re.sub(r"\s+#.*", "", line[4:]) for line in section.splitlines() if line.startswith("    ")]


def test_the_section_without_the_app_is_there():
    assert len(_without_the_app()) >= 3


@pytest.mark.parametrize("line", _without_the_app())
def test_what_the_readme_runs_without_the_app_runs(line, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    fed, pipe, command = line.partition(" | ") if " | " in line else ("", "", line)
    if pipe:
        sent = shlex.split(fed)[1]
        bytes_in = io.TextIOWrapper(io.BytesIO(sent.encode()), encoding="utf-8")
        monkeypatch.setattr("sys.stdin", bytes_in)
    words = _words(command)

    assert cli.main(words, serve=lambda _asked: pytest.fail("the app is not asked for")) == 0

    said = capsys.readouterr().out
    if words[0] == "divide":
        assert "1. " in said
    elif words[0] == "reckon":
        assert json.loads(said)["reference_diameter_mm"] == 635
    elif words[0] == "demo":
        assert list((tmp_path / words[1]).iterdir())
    else:
        assert said.strip()


# --- links -----------------------------------------------------------------------------------------------------------

_LINK = re.compile(r"!?\[[^\]]*\]\(([^)\s]+)\)")


def _anchors(text):
    heads = re.findall(r"(?m)^#+ (.+)$", FENCED.sub("", text))
    return {re.sub(r"[^\w\- ]", "", head.strip().lower()).replace(" ", "-") for head in heads}


def _broken(path, text):
    for target in _LINK.findall(FENCED.sub("", text)):
        if re.match(r"[a-z]+:", target):
            continue
        file, _, anchor = target.partition("#")
        there = (path.parent / file).resolve() if file else path
        if not there.exists() or (
            anchor and there.suffix == ".md" and anchor not in _anchors(text if there == path else _text(there))
        ):
            yield target


@pytest.mark.parametrize("path", PAGES, ids=_name)
def test_links_lead_somewhere(path):
    assert list(_broken(path, _text(path))) == []


def test_a_broken_link_is_seen():
    page = ROOT / "README.md"

    assert list(_broken(page, "[a](docs/nowhere.md) [b](#no-such-head) [c](LICENSE)\n# Head\n[d](#head)")) == [
        "docs/nowhere.md",
        "#no-such-head",
    ]


def test_no_address_of_one_machine_in_a_link():
    assert [(p, t) for p in PAGES for t in _LINK.findall(_text(p)) if t.startswith(("/", "file:"))] == []
