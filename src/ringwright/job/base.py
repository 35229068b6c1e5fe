"""What the records of a job share."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Kept(BaseModel):
    """A record that is kept: unknown fields refused, frozen, no infinities; lists are tuples."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)
