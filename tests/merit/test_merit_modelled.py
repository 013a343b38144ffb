"""Jobs drawn from the fuel-system model: other aeroplanes, other damage, noise; and the command."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from diagnosis.shipped import bench
from session_kit import as_json, run

from diagnose.merit.modelled import model_lot, rank_lot
from diagnose.merit.unlike import severity_at, unlike
from diagnose.model import Physical
from diagnose.signs import normal_class

SMALL = "header-biplane"


def test_damage_lies_between_the_grades_and_on_them_at_no_offset() -> None:
    """Half a step from 'half' towards 'severe' halves what is left open in ratio."""
    blocked = Physical("blocked", {"slight": 0.5, "half": 0.8, "severe": 0.95})
    assert severity_at(blocked, 1, 0.0) == pytest.approx(0.8)
    assert severity_at(blocked, 1, 0.5) == pytest.approx(1.0 - (0.2 * 0.05) ** 0.5)
    assert severity_at(blocked, 2, 0.5) == pytest.approx(0.95)  # nothing beyond severe
    output = Physical("output", {"half": 0.4, "severe": 0.1})
    assert severity_at(output, 1, 0.5) == pytest.approx(0.2)
    assert severity_at(output, 0, 0.2) is None


def test_another_aeroplane_differs_in_its_lines_and_keeps_its_parts() -> None:
    """The same layout, other figures; limits and connections stay."""
    layout = bench(SMALL).layout
    other = unlike(layout, np.random.default_rng(1))
    assert [x.id for x in other.lines] == [x.id for x in layout.lines]
    assert all(a.bore != b.bore for a, b in zip(other.lines, layout.lines, strict=True))
    assert other.limits == layout.limits
    assert set(other.parts) == set(layout.parts)


def test_jobs_from_the_model_report_what_is_wrong_and_repeat_with_the_seed() -> None:
    """One to four findings, none of them normal; the true cause has a physical form."""
    b = bench(SMALL)
    lot, again = model_lot(b, 25, 3), model_lot(b, 25, 3)
    assert len(lot.jobs) == 25
    assert lot == again
    assert lot.jobs != model_lot(b, 25, 4).jobs
    for job in lot.jobs:
        assert b.library.causes[job.cause.cause].physical is not None
        assert 1 <= len(job.reported) <= 4
        for f in job.reported:
            q = b.library.questions[f.question]
            assert f.value != normal_class(q, b.library)
    got: Any = rank_lot(b, lot)
    assert got["report"]["jobs"] == got["after_questions"]["jobs"] == 25
    drawable = got["after_questions_among_drawable"]
    assert drawable["jobs"] == 25
    # the truth is among them, so leaving the others out can only bring it forward
    assert drawable["top3"] >= got["after_questions"]["top3"]
    assert drawable["log_score"] < got["after_questions"]["log_score"]


def test_the_command_prints_every_figure_as_json() -> None:
    """One object, schema version first; the parts an outsider is told of are there."""
    body = as_json("merit", SMALL, "--jobs", "2", "--model-jobs", "3")
    (one,) = body["layouts"]
    assert one["layout"] == SMALL
    assert one["knowledge_edition"]
    assert one["jobs_from_the_knowledge"]["report"]["jobs"] == 2
    assert one["jobs_from_the_model"]["report"]["jobs"] == 3
    assert {"isolation", "families", "minutes", "words_off_by_one"} <= set(one)


def test_the_command_says_unreviewed_and_can_leave_the_jobs_out() -> None:
    """Without jobs only what can be counted is printed; the page says what nobody has reviewed."""
    result = run("merit", SMALL, "--jobs", "0", "--model-jobs", "0")
    assert result.exit_code == 0
    assert "UNREVIEWED" in result.stdout
    assert "INVENTED" in result.stdout
    assert "Fault isolation" in result.stdout
    assert "Drawn jobs" not in result.stdout


def test_a_layout_that_is_not_there_is_named_in_one_line() -> None:
    """Usage error, exit code 2, with the nearest known layout."""
    from diagnose.errors import UsageError

    result = run("merit", "header-biplan")
    assert isinstance(result.exception, UsageError)
    assert "header-biplane" in str(result.exception)
