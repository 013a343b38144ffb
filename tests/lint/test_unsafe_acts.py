"""What an expert may tell of and nobody may be told to do, caught by its words."""

from __future__ import annotations

import pytest

from diagnose.lint.unsafe_acts import unsafe_act


@pytest.mark.parametrize(
    "told",
    [
        "Slacken the inlet union with the booster on to bleed the air.",
        "crack the inlet union with the engine running and see if it spurts",
        "have her running and crack the union a half turn",
        "with the booster on, undo the gauge line",
        "pull the line off and crank the engine, fuel should spurt",
        "take the strainer out and run it without",
        "run her up with the leak and watch where it comes",
        "hold a match to the vent and see if it flares",
        "look in the tank with a lead lamp",
        "suck it through by mouth",
        "taste it",
        "blow the line out with shop air",
        "bridge the fuse and try it",
        "flash the wire to earth and watch the lamp",
        "swing the prop with the switches on",
        "wash the bowl out with petrol",
    ],
)
def test_an_unsafe_act_is_told_in_whatever_words_it_is_said(told: str) -> None:
    """Fire, spray, poison and moving propellers, as people tell of them."""
    assert unsafe_act(told)


@pytest.mark.parametrize(
    "told",
    [
        "Do not crack the union with the engine running.",
        "Never use a match or a lead lamp.",
        "Stop the engine, bleed the line, then undo the union.",
        "Renew the gasket; power off, line drained.",
        "Run it with the line closed and leak-checked.",
        "The engine ran rough with the booster on.",
    ],
)
def test_what_is_forbidden_or_done_safely_is_let_stand(told: str) -> None:
    """A caution names the act that it forbids."""
    assert not unsafe_act(told)
