"""Map: keep what was measured on the ring itself."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from ringwright.job.document import Map
from ringwright.reckon import phrases
from ringwright.reckon.base import Problems
from ringwright.web import mapping, measured
from ringwright.web.desk import job_of, keep
from ringwright.web.forms import Sent, shown_again_by
from ringwright.web.pages import go, unit_of

router = APIRouter(include_in_schema=False, prefix="/jobs/{job_id}/map")


@router.post("/measured", dependencies=[shown_again_by(mapping.page)])
def measured_ring(request: Request, job_id: str, form: Sent) -> Response:
    """Run-out, pitches and what a weld drew in; everything empty takes it off again."""
    job, _version = job_of(request, job_id)
    teeth = mapping.teeth_of(job)
    if teeth is None:
        raise Problems([phrases.problem("teeth_not_counted", "", {})])
    found = measured.read(form, teeth, unit_of(request))
    stage = {name: getattr(job.map, name) for name in Map.model_fields}
    keep(request, job, form.seen_version, map=Map.model_validate({**stage, "measured": found}))
    return go(f"/jobs/{job_id}/map#measured")
