"""Fixtures of the job's tests."""

from __future__ import annotations

from job_folder import job

__all__ = ["job"]
