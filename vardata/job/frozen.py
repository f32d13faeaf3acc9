"""What every table of a file a user writes has in common: no unknown keys, never changed."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Model(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)  # job.keytexts reads the texts
