"""Where jobs, kit, round sheets and the log are kept: SQLite in the data folder, or PostgreSQL by its address.

>>> import tempfile
>>> with tempfile.TemporaryDirectory() as folder:
...     store = open_store(folder)
...     store.jobs()
...     store.close()
()
"""

from ringwright.job.archive import ArchiveFault
from ringwright.store.health import Finding
from ringwright.store.opening import open_store
from ringwright.store.refusals import (
    BackupFault,
    EventClash,
    JobExists,
    Missing,
    SchemaTooNew,
    SheetClash,
    Stale,
    StoreRefusal,
    UnknownSheet,
)
from ringwright.store.store import JobLine, Store

__all__ = [
    "ArchiveFault",
    "BackupFault",
    "EventClash",
    "Finding",
    "JobExists",
    "JobLine",
    "Missing",
    "SchemaTooNew",
    "SheetClash",
    "Stale",
    "Store",
    "StoreRefusal",
    "UnknownSheet",
    "open_store",
]
