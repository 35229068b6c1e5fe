"""What the store refuses; each with a stable code, the words come from the catalogue at the edge."""

from __future__ import annotations


class StoreRefusal(Exception):
    """The store did nothing, and nothing was harmed; ``code`` is stable, ``str()`` says it in English."""

    code = "store_refused"


class Missing(StoreRefusal):
    """There is no such job, round or sheet."""

    code = "not_here"


class Stale(StoreRefusal):
    """Somebody saved in between; ``now`` is the version that stands."""

    code = "stale"

    def __init__(self, what: str, seen: int, now: int) -> None:
        super().__init__(f"{what}: version {seen} was shown, but {now} stands")
        self.seen, self.now = seen, now


class JobExists(StoreRefusal):
    """A job of that id is here already."""

    code = "job_exists"


class UnknownSheet(StoreRefusal):
    """An event names a round sheet that this store does not hold, or one of another round."""

    code = "unknown_sheet"


class SheetClash(StoreRefusal):
    """That revision of the round is frozen already, with other contents."""

    code = "sheet_clash"


class EventClash(StoreRefusal):
    """An event of that id is in the log already, with other contents."""

    code = "event_clash"


class SchemaTooNew(StoreRefusal):
    """The data were written by a newer version of the program; nothing was touched."""

    code = "data_too_new"


class BackupFault(StoreRefusal):
    """A backup that cannot be made or taken back; nothing was changed."""

    code = "backup_fault"
