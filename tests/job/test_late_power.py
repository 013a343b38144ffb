"""Power that a check puts on only once the part is closed again."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench

from diagnose.job.gates import need_of_check

SINGLE = "low-wing-single"


@pytest.mark.parametrize(
    "check",
    ["swap-contents-gauges", "swap-pressure-gauges", "bleed-and-repeat", "check-gauge-line"],
)
def test_what_is_read_with_power_on_after_the_part_was_open_asks_the_gates(check: str) -> None:
    """Power that comes only at the end of a check is power all the same."""
    known = bench(SINGLE).library.checks[check]
    assert need_of_check(known) == "power"
    assert "no-leak-before-power" in known.hazards
