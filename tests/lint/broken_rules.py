"""Folders broken for what the loader refuses and for the rules."""

# ruff: noqa: E501 - rows of the files' own format stand on one line, as in the knowledge itself

from __future__ import annotations

from collections.abc import Mapping

from lint.broken_kit import (
    ASK_PRESSURE,
    ASK_SMELL,
    INSPECT,
    PUMP,
    RESTORES,
    SMELL_ROW,
    STOP,
    copied,
    rule,
)
from lint.lint_kit import SOUND, swapped

BROKEN: Mapping[str, tuple[Mapping[str, str | None], str]] = {
    "LOAD-01": (
        {ASK_SMELL: swapped(ASK_SMELL, ("reads: smell", "reads: smel"))},
        "questions/fuel-smell",
    ),
    "LOAD-02": (
        {
            "questions/engine-behaviour.yaml": swapped(
                "questions/engine-behaviour.yaml", ("well: .96", "well: .95")
            )
        },
        "questions/engine-behaviour",
    ),
    "LOAD-03": (
        {STOP: swapped(STOP, ("sources: [common-practice]\n", ""))},
        "symptoms/smell-stop",
    ),
    "LOAD-04": (
        {INSPECT: swapped(INSPECT, (", ventilation: open air", ""))},
        "checks/inspect-strainer",
    ),
    "LOAD-05": ({INSPECT: SOUND[INSPECT] + "steps: [Open the bowl.]\n"}, "checks/inspect-strainer"),
    "LOAD-06": (
        {
            "symptoms/a.yaml": rule("a", "engine", "{symptom: b}", "warns: Look."),
            "symptoms/b.yaml": rule("b", "engine", "{symptom: a}", "warns: Look."),
        },
        "symptoms/a",
    ),
    "LOAD-07": (
        {
            RESTORES: swapped(
                RESTORES,
                ("speaks-against: [pressure", "speaks-against: [strainer-plugged, pressure"),
            )
        },
        "symptoms/booster-restores",
    ),
    "LOAD-08": (
        {
            "symptoms/a.yaml": rule(
                "a",
                "engine",
                "{all-in-one-state: [{symptom: booster-restores}, {sign: fuel-pressure, is: low}]}",
                "warns: Look.",
            ),
        },
        "symptoms/a",
    ),
    "LOAD-09": ({"effects/stray.yml": "effect: stray\n"}, "effects/stray.yml"),
    "RULE-01": (
        {
            "symptoms/a.yaml": rule(
                "a", "cabin", "{sign: fuel-smell, is: fuel, at: aeroplane}", "warns: Look."
            )
        },
        "symptoms/a",
    ),
    "RULE-02": (
        {
            "symptoms/a.yaml": rule(
                "a", "aeroplane", "{sign: fuel-smell, is: fuel}", "status: draft"
            )
        },
        "symptoms/a",
    ),
    "RULE-03": (
        {ASK_PRESSURE: swapped(ASK_PRESSURE, ("minutes: 1", "needs: {booster: off}\nminutes: 1"))},
        "symptoms/booster-restores",
    ),
    "RULE-04": (
        {
            "symptoms/a.yaml": rule(
                "a",
                "aeroplane",
                "{all: [{symptom: b}, {not: {sign: fuel-smell, is: fuel}}]}",
                "warns: Look.",
            ),
            "symptoms/b.yaml": rule(
                "b", "aeroplane", "{sign: fuel-smell, is: fuel}", "warns: Look again."
            ),
        },
        "symptoms/a",
    ),
    "RULE-05": (
        {
            "symptoms/a.yaml": rule(
                "a",
                "aeroplane",
                "{any: [{sign: fuel-smell, is: none}, {all: [{sign: fuel-smell, is: fuel}, {not: {sign: fuel-smell, is: fuel}}]}]}",
                "warns: Look.",
            )
        },
        "symptoms/a",
    ),
    "RULE-06": ({PUMP: swapped(PUMP, (SMELL_ROW, ""))}, "symptoms/smell-stop"),
    "RULE-07": (
        {
            "symptoms/a.yaml": rule(
                "a",
                "bus",
                "{sign: fuel-smell, is: fuel, at: aeroplane}",
                "points-to: [strainer-plugged]",
            )
        },
        "symptoms/a",
    ),
    "RULE-08": ({"symptoms/z.yaml": copied(STOP, "smell-stop", "z")}, "symptoms/z"),
    "RULE-09": (
        {
            "symptoms/a.yaml": rule(
                "a",
                "engine",
                "{all: [{sign: fuel-pressure, is: low, state: {booster: off}},"
                " {sign: fuel-pressure, is: [normal, high], state: {booster: on}}, {sign: engine-behaviour, is: fades}]}",
                "points-to: [pressure-gauge-low]",
            )
        },
        "symptoms/a",
    ),
    "RULE-10": (
        {
            "symptoms/a.yaml": rule(
                "a",
                "engine",
                "{sign: engine-behaviour, is: fades}",
                "points-to: [pressure-gauge-low]",
            )
        },
        "symptoms/a",
    ),
    "RULE-11": (
        {
            "symptoms/a.yaml": rule(
                "a",
                "engine",
                "{sign: fuel-pressure, is: low, state: {booster: off}}",
                "speaks-against: [engine-pump-worn]",
            )
        },
        "symptoms/a",
    ),
}
"""Code -> (changes to the sound files, item named)."""
