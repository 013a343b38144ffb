"""What tests of jobs share: the tiny layout, compiled once."""

from __future__ import annotations

import pytest
from job.job_kit import tiny_bench

from diagnose.job.diagnosis import Bench


@pytest.fixture(scope="session")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    """Return the tiny layout on the tiny library."""
    return tiny_bench(tmp_path_factory.mktemp("tiny"))
