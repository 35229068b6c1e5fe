"""The message catalogue and its loader.

Every sentence a person reads passes `_` (said now, in the language of the moment) or is marked with `N_` (kept in
English as data, said later). English is the source language and needs no file; another language is a compiled gettext
catalogue ``words/LANG/LC_MESSAGES/ringwright.mo``.
"""

from __future__ import annotations

import gettext
from contextvars import ContextVar
from functools import cache
from importlib.resources import files

_language: ContextVar[str] = ContextVar("ringwright_language", default="en")


@cache
def _catalogue(language: str) -> gettext.NullTranslations:
    return gettext.translation("ringwright", str(files("ringwright.words")), languages=[language], fallback=True)


def speak(language: str) -> None:
    """Choose the language of this request or command ("en", or one that has a catalogue)."""
    _language.set(language)


def _(message: str, /, **values: object) -> str:
    """Say a message now; ``{name}`` places are filled from the keyword values.

    >>> _("Tooth {tooth} is next.", tooth=58)
    'Tooth 58 is next.'
    """
    said = _catalogue(_language.get()).gettext(message)
    return said.format(**values) if values else said


def ngettext_(one: str, many: str, n: int, /, **values: object) -> str:
    """Say a message that counts; ``{n}`` is filled with the number.

    >>> ngettext_("{n} tooth to go", "{n} teeth to go", 70)
    '70 teeth to go'
    """
    return _catalogue(_language.get()).ngettext(one, many, n).format(n=n, **values)


def N_(message: str, /) -> str:
    """Mark a message for the catalogue without saying it yet."""
    return message
