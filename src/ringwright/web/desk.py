"""Getting at the jobs: the store behind a request, a job with its version, and saving it again."""

from __future__ import annotations

from typing import Any

from fastapi import Request

from ringwright.job.document import JobDocument
from ringwright.store import Store


def store_of(request: Request) -> Store:
    """The store that the app was made over."""
    store: Store = request.app.state.store
    return store


def job_of(request: Request, job_id: str) -> tuple[JobDocument, int]:
    """The job and its version; `ringwright.store.Missing` when there is none."""
    return store_of(request).job(job_id)


def keep(request: Request, job: JobDocument, seen_version: int, **changed: Any) -> None:
    """Save the job with parts replaced, checked anew; `Stale` when somebody saved in between.

    >>> old = JobDocument(job_id="a", number="1", title="Ring")
    >>> changed_job(old, urgent=True).urgent
    True
    """
    store_of(request).save_job(changed_job(job, **changed), seen_version)


def changed_job(job: JobDocument, **changed: Any) -> JobDocument:
    """The job with parts replaced, validated."""
    whole = {name: getattr(job, name) for name in JobDocument.model_fields}
    return JobDocument.model_validate({**whole, **changed})


def tooth_asked(request: Request) -> int | None:
    """The tooth that the address asks for (?tooth=83)."""
    asked = request.query_params.get("tooth", "")
    return int(asked) if asked.isdecimal() and len(asked) < 5 else None
