"""Folders broken for what stands twice, is worded badly, is unsafe or does not fit."""

# ruff: noqa: E501 - rows of the files' own format stand on one line, as in the knowledge itself

from __future__ import annotations

from collections.abc import Mapping

from lint.broken_kit import (
    ASK_PRESSURE,
    ASK_SMELL,
    GAUGE,
    INSPECT,
    MEASURE,
    PUMP,
    SMELL,
    STOP,
    STRAINER,
    copied,
    effect,
    question,
    row,
)
from lint.lint_kit import SOUND, swapped

TRIED = "checks/test-gauge.yaml"

BROKEN: Mapping[str, tuple[Mapping[str, str | None], str]] = {
    "TWICE-01": (
        {
            GAUGE: swapped(
                GAUGE,
                (
                    "distorts:\n",
                    "produces:\n  - {effect: metering-pressure, is: low, at: its-engine, how-often: half}\ndistorts:\n",
                ),
            )
        },
        "causes/pressure-gauge-low",
    ),
    "TWICE-02": (
        {
            "effects/needle.yaml": effect("needle", "engine", "reading: metering-pressure\n"),
            "questions/needle.yaml": question("needle", "needle", "engine", "stages: [run-up]\n"),
        },
        "effects/needle",
    ),
    "TWICE-03": (
        {
            "effects/hum.yaml": effect("hum", "aeroplane"),
            "questions/hum.yaml": question("hum", "hum", "aeroplane").replace(
                "Is the thing of the test there now?", "Is fuel smelt anywhere now?"
            ),
        },
        "questions/hum",
    ),
    "TWICE-04": (
        {
            "effects/vapour.yaml": effect("vapour", "aeroplane"),
            PUMP: row("{effect: vapour, is: there, at: aeroplane, how-often: sometimes}"),
        },
        "effects/vapour",
    ),
    "ALIKE-01": (
        {
            "causes/filters/strainer-full.yaml": copied(
                STRAINER, "strainer-plugged", "strainer-full"
            )
        },
        "causes/strainer-full + causes/strainer-plugged",
    ),
    "ALIKE-02": (
        {
            "causes/filters/tank-dirty.yaml": swapped(
                PUMP,
                ("cause: engine-pump-worn", "cause: tank-dirty"),
                ("part-kind: engine-pump", "part-kind: tank"),
                (
                    "  - {effect: metering-pressure, is: low, at: its-engine, when: {booster: off}, how-often: often}\n"
                    "  - {effect: engine-running, is: stops, at: its-engine, how-often: sometimes}\n",
                    "",
                ),
                (
                    "{check: pump-output, result: weak}",
                    "{check: inspect-strainer, result: plugged, at: its-strainer}",
                ),
            )
        },
        "causes/tank-dirty",
    ),
    "TEXT-01": (
        {GAUGE: swapped(GAUGE, ("Renew the gauge.", "Renew the gauge as required."))},
        "causes/pressure-gauge-low",
    ),
    "TEXT-02": (
        {ASK_SMELL: swapped(ASK_SMELL, ("why: It stops the job before a spark does.\n", ""))},
        "questions/fuel-smell",
    ),
    "TEXT-03": (
        {ASK_SMELL: swapped(ASK_SMELL, ("sources: [common-practice]\n", ""))},
        "questions/fuel-smell",
    ),
    "TEXT-04": (
        {
            SMELL: swapped(
                SMELL,
                ("Vapour travels far from where it leaks.", "Smell of fuel about the aeroplane."),
            )
        },
        "effects/smell",
    ),
    "SHARED-01": (
        {
            STRAINER: swapped(
                STRAINER,
                (
                    "Run in the state of the report.",
                    "Run at the power of the report, on the tank of the report, and look.",
                ),
            ),
            GAUGE: swapped(
                GAUGE,
                (
                    "Run in the state of the report.",
                    "Run at the power of the report, on the tank of the report, and look.",
                ),
            ),
        },
        "causes/strainer-plugged",
    ),
    "SHARED-02": ({"checks/look.yaml": copied(INSPECT, "inspect-strainer", "look")}, "checks/look"),
    "SHARED-03": (
        {"steps.yaml": "steps:\n  - {step: look-again, text: Look again.}\n"},
        "steps/look-again",
    ),
    "WORD-01": (
        {GAUGE: swapped(GAUGE, ("Renew the gauge.", f"Renew {'one and ' * 10}the gauge."))},
        "causes/pressure-gauge-low",
    ),
    "WORD-02": (
        {GAUGE: swapped(GAUGE, ("Renew the gauge.", "Renew it. " * 7))},
        "causes/pressure-gauge-low",
    ),
    "WORD-03": (
        {GAUGE: swapped(GAUGE, ("Renew the gauge.", "The gauge is renewed."))},
        "causes/pressure-gauge-low",
    ),
    "WORD-04": (
        {GAUGE: swapped(GAUGE, ("Renew the gauge.", "Renew the gauge, which should be new."))},
        "causes/pressure-gauge-low",
    ),
    "WORD-05": (
        {GAUGE: swapped(GAUGE, ("Renew the gauge.", "Renew the gauge. Never tap it."))},
        "causes/pressure-gauge-low",
    ),
    "WORD-06": (
        {GAUGE: swapped(GAUGE, ("Renew the gauge.", "Renew the gauge if it is wrong."))},
        "causes/pressure-gauge-low",
    ),
    "SAFE-01": (
        {INSPECT: swapped(INSPECT, ("power: off", "power: on"))},
        "checks/inspect-strainer",
    ),
    "SAFE-02": (
        {
            INSPECT: swapped(
                INSPECT,
                ("line-pressure: none", "line-pressure: normal"),
                ("Refit, lock", "Tighten the union, lock"),
            )
        },
        "checks/inspect-strainer",
    ),
    "SAFE-03": (
        {INSPECT: swapped(INSPECT, ("aim: See", "aim: Use compressed air and see"))},
        "checks/inspect-strainer",
    ),
    "SAFE-04": (
        {INSPECT: swapped(INSPECT, ("engine: stopped and cold", "engine: running"))},
        "checks/inspect-strainer",
    ),
    "SAFE-05": (
        {INSPECT: swapped(INSPECT, ("engine: stopped and cold", "engine: any"))},
        "checks/inspect-strainer",
    ),
    "SAFE-06": (
        {
            ASK_PRESSURE: swapped(
                ASK_PRESSURE, ("hazards: [running-engine]", "hazards: [open-fuel-part]")
            )
        },
        "questions/fuel-pressure",
    ),
    "SAFE-07": (
        {STOP: swapped(STOP, ("Stop the engine. Leave all switches alone.", "Look at the tank."))},
        "symptoms/smell-stop",
    ),
    "SAFE-08": (
        {TRIED: swapped(TRIED, ("hazards: [open-fuel-part]", "hazards: [running-engine]"))},
        "causes/pressure-gauge-low",
    ),
    "SAFE-09": (
        {GAUGE: swapped(GAUGE, ("Renew the gauge.", "Wash the gauge with petrol."))},
        "causes/pressure-gauge-low",
    ),
    "MEND-01": (
        {GAUGE: swapped(GAUGE, ("rectify:", "pattern: only hot\nrectify:"))},
        "causes/pressure-gauge-low",
    ),
    "MEND-02": (
        {GAUGE: swapped(GAUGE, ("Run in the state of the report.", "Look at the gauge again."))},
        "causes/pressure-gauge-low",
    ),
    "MEND-03": (
        {GAUGE: swapped(GAUGE, ("Renew the gauge.", "Adjust the gauge."))},
        "causes/pressure-gauge-low",
    ),
    "MEND-04": (
        {TRIED: swapped(TRIED, ("Refit, lock and leak-check by", "Refit and lock it by"))},
        "causes/pressure-gauge-low",
    ),
    "SAFE-10": (
        {INSPECT: SOUND[INSPECT] + "tools: [vacuum gauge]\n"},
        "checks/inspect-strainer",
    ),
    "SHARED-04": (
        {
            INSPECT: SOUND[INSPECT] + "tools: [can]\n",
            MEASURE: SOUND[MEASURE] + "tools: [bonded can]\n",
        },
        "checks/pump-output",
    ),
    "SHARED-05": (
        {MEASURE: SOUND[MEASURE] + "access-minutes: 5\n"},
        "checks/pump-output",
    ),
    "FIT-01": (
        {MEASURE: swapped(MEASURE, ("aim: See", "aim: With the cross-feed open, see"))},
        "checks/pump-output",
    ),
    "FIT-02": (
        {MEASURE: swapped(MEASURE, ("aim: See", "aim: Hold it against the other engine and see"))},
        "checks/pump-output",
    ),
    "FIT-03": (
        {
            "effects/hum.yaml": effect("hum", "engine"),
            "questions/hum.yaml": question("hum", "hum", "engine", "instruments: [flow-meter]\n"),
            PUMP: row("{effect: hum, is: there, at: its-engine, how-often: half}"),
        },
        "questions/hum",
    ),
    "FIT-04": (
        {ASK_PRESSURE: swapped(ASK_PRESSURE, ("high: above the", "high: above the cross-feed"))},
        "questions/fuel-pressure",
    ),
    "WAIVE-01": (
        {
            "lint-waivers.yaml": "waivers:\n  - {code: RULE-02, item: symptoms/smell-stop, reason: It was let stand once and is long since mended.}\n"
        },
        "symptoms/smell-stop",
    ),
}
"""Code -> (changes to the sound files, item named)."""
