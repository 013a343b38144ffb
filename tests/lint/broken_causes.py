"""Folders broken for rows, causes and what nothing uses."""

# ruff: noqa: E501 - rows of the files' own format stand on one line, as in the knowledge itself

from __future__ import annotations

from collections.abc import Mapping

from lint.broken_kit import (
    ASK_PRESSURE,
    HAZARD,
    INSPECT,
    PUMP,
    SMELL,
    SMELL_ROW,
    STRAINER,
    THERE,
    copied,
    effect,
    question,
    row,
)
from lint.lint_kit import SOUND, swapped
from tiny_library import SOURCES

BROKEN: Mapping[str, tuple[Mapping[str, str | None], str]] = {
    "ROW-01": (
        {
            PUMP: row(
                "{effect: metering-pressure, is: low, at: its-engine, when: {power: high}, how-often: rarely}"
            )
        },
        "causes/engine-pump-worn",
    ),
    "ROW-02": ({PUMP: row(SMELL_ROW.strip().removeprefix("- "))}, "causes/engine-pump-worn"),
    "ROW-03": (
        {
            STRAINER: row(
                "{effect: engine-running, is: stops, at: its-engine, how-often: {severe: often}}",
                STRAINER,
            )
        },
        "causes/strainer-plugged",
    ),
    "ROW-04": ({SMELL: swapped(SMELL, ("fuel: .02", "fuel: .4"))}, "causes/engine-pump-worn"),
    "ROW-05": (
        {
            SMELL: swapped(SMELL, ("fuel: .02", "fuel: .001")),
            STRAINER: row("{effect: smell, is: fuel, at: aeroplane, how-often: never}", STRAINER),
        },
        "causes/strainer-plugged",
    ),
    "ROW-06": (
        {PUMP: row("{effect: engine-running, is: fades, at: other-engines, how-often: half}")},
        "causes/engine-pump-worn",
    ),
    "CAUSE-01": (
        {STRAINER: swapped(STRAINER, ("feed: pumped", "feed: gravity"))},
        "causes/strainer-plugged",
    ),
    "CAUSE-02": (
        {INSPECT: SOUND[INSPECT] + 'only-if: {several-engine: "yes"}\n'},
        "causes/strainer-plugged",
    ),
    "CAUSE-04": (
        {STRAINER: swapped(STRAINER, ("fires-on: [tiny-1]", "fires-on: []"))},
        "causes/strainer-plugged",
    ),
    "CAUSE-05": (
        {STRAINER: swapped(STRAINER, ("fires-on: [tiny-1]", "settled-on: [tiny-2]"))},
        "causes/strainer-plugged",
    ),
    "CAUSE-03": (
        {
            "effects/hum.yaml": effect("hum", "aeroplane"),
            "causes/pump/hums.yaml": swapped(
                PUMP,
                ("cause: engine-pump-worn", "cause: hums"),
                (
                    "{effect: metering-pressure, is: low, at: its-engine, when: {booster: off}, how-often: often}",
                    THERE,
                ),
                (
                    "  - {effect: engine-running, is: stops, at: its-engine, how-often: sometimes}\n"
                    + SMELL_ROW,
                    "",
                ),
            ),
        },
        "causes/hums",
    ),
    "USE-01": (
        {
            "effects/hum.yaml": effect("hum", "aeroplane"),
            "questions/hum.yaml": question("hum", "hum", "aeroplane"),
        },
        "questions/hum",
    ),
    "USE-09": (
        {ASK_PRESSURE: swapped(ASK_PRESSURE, (", high: [over the band]", ""))},
        "questions/fuel-pressure",
    ),
    "USE-02": (
        {
            ASK_PRESSURE: swapped(
                ASK_PRESSURE, ("stages: [idle, run-up, cruise]", "stages: [refuelling]")
            )
        },
        "questions/fuel-pressure",
    ),
    "USE-03": ({"effects/hum.yaml": effect("hum", "aeroplane"), PUMP: row(THERE)}, "effects/hum"),
    "USE-04": ({PUMP: swapped(PUMP, (SMELL_ROW, ""))}, "effects/smell"),
    "USE-05": ({"checks/idle.yaml": copied(INSPECT, "inspect-strainer", "idle")}, "checks/idle"),
    "USE-06": (
        {INSPECT: swapped(INSPECT, ("plugged: dirt}", "plugged: dirt, torn: torn}"))},
        "checks/inspect-strainer",
    ),
    "USE-07": ({"hazards/idle.yaml": copied(HAZARD, "running-engine", "idle")}, "hazards/idle"),
    "USE-08": (
        {
            "sources.yaml": SOURCES
            + "  - {source: handbook-two, title: another, kind: handbook, cite: invented}\n"
        },
        "sources/handbook-two",
    ),
}
"""Code -> (changes to the sound files, item named)."""
