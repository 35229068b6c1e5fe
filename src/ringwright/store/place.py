"""Where the data stands on this machine."""

from __future__ import annotations

import os


def data_place(asked: str | None) -> str:
    """The folder or address named, else the setting RINGWRIGHT_DATA, else the user's data folder."""
    if asked:
        return asked
    if os.environ.get("RINGWRIGHT_DATA"):
        return os.environ["RINGWRIGHT_DATA"]
    from platformdirs import user_data_dir

    return user_data_dir("ringwright", appauthor=False)
