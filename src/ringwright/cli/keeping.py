"""``ringwright backup``, ``restore`` and ``doctor``."""

from __future__ import annotations

import argparse
import platform
import sys
from pathlib import Path

from ringwright.store import StoreRefusal, open_store
from ringwright.store.place import data_place
from ringwright.words import _


def backup(asked: argparse.Namespace) -> int:
    """One file with everything in it, made while the app may be running."""
    try:
        with open_store(data_place(asked.data), create=False) as store:
            written = store.backup(Path(asked.file))
    except (StoreRefusal, OSError) as fault:
        return _refused(fault)
    print(_("Everything is copied into {file}.", file=written))
    return 0


def restore(asked: argparse.Namespace) -> int:
    """Put a backup back; what stood there is kept beside it."""
    try:
        with open_store(data_place(asked.data)) as store:
            kept = store.restore(Path(asked.file))
    except (StoreRefusal, OSError) as fault:
        return _refused(fault)
    print(_("{file} is put back.", file=asked.file))
    if kept is not None:
        print(_("What stood there before is kept as {file}.", file=kept))
    return 0


def doctor(asked: argparse.Namespace) -> int:
    """Look at the data and the machine; exit status 0 when all is sound."""
    place = data_place(asked.data)
    print(_("Data: {place}", place=place))
    print(_("Python {version} on {system}", version=platform.python_version(), system=platform.platform()))
    try:
        with open_store(place, create=False) as store:
            findings = store.check()
    except (StoreRefusal, OSError) as fault:
        return _refused(fault)
    for finding in findings:
        print(f"{_('sound') if finding.ok else _('NOT SOUND'):10} {finding.code}: {finding.detail}")
    return 0 if all(finding.ok for finding in findings) else 2


def _refused(fault: Exception) -> int:
    print(_("Nothing was changed: {why}.", why=fault), file=sys.stderr)
    return 2
