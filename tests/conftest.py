"""What holds for every test: a home of its own, and examples that no slow machine makes fail."""

from __future__ import annotations

from itertools import count
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

settings.register_profile("suite", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("suite")

_NUMBER = count(1)


@pytest.fixture(autouse=True)
def home(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Keep jobs, exercises and aeroplanes of each test in a folder of its own, made when used."""
    own = tmp_path_factory.getbasetemp() / "homes" / str(next(_NUMBER))
    monkeypatch.setenv("DIAGNOSE_HOME", str(own))
    return own
