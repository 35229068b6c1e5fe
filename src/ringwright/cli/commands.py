"""What each command does."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path

from ringwright.words import _


def reckon(asked: argparse.Namespace) -> int:
    """``ringwright reckon NAME [FILE|-]``."""
    from ringwright import reckon as operations
    from ringwright.reckon import faces

    if asked.list:
        print("\n".join(operations.names()))
        return 0
    if asked.name is None:
        print(_("Which operation? ringwright reckon --list names them."), file=sys.stderr)
        return 2
    if asked.schema and asked.name in operations.REGISTRY:
        print(json.dumps(faces.schema(asked.name), indent=1))
        return 0
    if asked.name not in operations.REGISTRY:
        raw = b""
    elif asked.file == "-":
        raw = sys.stdin.buffer.read()
    else:
        try:
            raw = Path(asked.file).read_bytes()
        except OSError as fault:
            print(_("Cannot read {file}: {why}.", file=asked.file, why=fault.strerror), file=sys.stderr)
            return 2
    status, body = faces.answer(asked.name, raw)
    print(json.dumps(body, indent=1, ensure_ascii=False))
    return 0 if status == 200 else 2


def verify(asked: argparse.Namespace) -> int:
    """``ringwright verify``: exit status 0 only when every published value comes out as expected."""
    from ringwright import tables
    from ringwright.reckon import proofs

    good = known = 0
    bad = []
    for proof in proofs.prove():
        case = proof.case
        good += proof.agrees
        known += bool(case.wrong_in_print)
        if not proof.as_expected:
            bad.append(proof)
        if asked.all or not proof.as_expected:
            given = ", ".join(f"{k}={v}" for k, v in case.inputs.items())
            if proof.agrees:
                verdict = _("agrees")
            elif case.wrong_in_print:
                verdict = _("known: {why}", why=case.wrong_in_print)
            else:
                verdict = _("DIFFERS")
            title = tables.sources()[case.source].title
            print(
                _(
                    "{check}({given}): print {printed}, here {got}: {verdict} [{title}]",
                    check=case.check,
                    given=given,
                    printed=case.printed,
                    got=proof.got,
                    verdict=verdict,
                    title=title,
                )
            )
    print(
        _(
            "{good} published values agree, {known} known to be wrong in print, {bad} not as expected.",
            good=good,
            known=known,
            bad=len(bad),
        )
    )
    return 0 if not bad else 2


def divide(asked: argparse.Namespace) -> int:
    """``ringwright divide 127``."""
    from ringwright.cli import friendly

    return friendly.divide(asked)


def gear(asked: argparse.Namespace) -> int:
    """``ringwright gear 127 --module-mm 5``."""
    from ringwright.cli import friendly

    return friendly.gear(asked)


def mesh(asked: argparse.Namespace) -> int:
    """``ringwright mesh 127 20 --module-mm 5``."""
    from ringwright.cli import friendly

    return friendly.mesh(asked)


def tolerance(asked: argparse.Namespace) -> int:
    """``ringwright tolerance 127 --module-mm 5 --grade 9``."""
    from ringwright.cli import friendly

    return friendly.tolerance(asked)


def backup(asked: argparse.Namespace) -> int:
    """``ringwright backup FILE``."""
    from ringwright.cli import keeping

    return keeping.backup(asked)


def restore(asked: argparse.Namespace) -> int:
    """``ringwright restore FILE``."""
    from ringwright.cli import keeping

    return keeping.restore(asked)


def doctor(asked: argparse.Namespace) -> int:
    """``ringwright doctor``."""
    from ringwright.cli import keeping

    return keeping.doctor(asked)


def demo(asked: argparse.Namespace) -> int:
    """``ringwright demo DIR``."""
    from ringwright.cli.demo import run

    return run(asked)
