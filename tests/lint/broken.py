"""For each code, one change to the sound files that makes lint find it, and the item it names."""

# ruff: noqa: E501 - rows of the files' own format stand on one line, as in the knowledge itself

from __future__ import annotations

from collections.abc import Mapping

from lint.lint_kit import SOUND, swapped
from tiny_library import SOURCES

PRESSURE, RUNNING, SMELL = (
    f"effects/{e}.yaml" for e in ("metering-pressure", "engine-running", "smell")
)
ASK_PRESSURE, ASK_SMELL = "questions/fuel-pressure.yaml", "questions/fuel-smell.yaml"
RESTORES, STOP = "symptoms/booster-restores.yaml", "symptoms/smell-stop.yaml"
STRAINER = "causes/filters/strainer-plugged.yaml"
PUMP = "causes/pump/engine-pump-worn.yaml"
GAUGE = "causes/indication/pressure-gauge-low.yaml"
INSPECT, MEASURE = "checks/inspect-strainer.yaml", "checks/pump-output.yaml"
HAZARD = "hazards/running-engine.yaml"

SMELL_ROW = "  - {effect: smell, is: fuel, at: aeroplane, how-often: sometimes}\n"
STATE = "{engine: stopped and cold, power: off, line-pressure: none, ventilation: open air}"


def rule(name: str, at: str, when: str, says: str) -> str:
    """Return a symptom."""
    return (
        f"symptom: {name}\ntitle: a rule made for a test\nat: {at}\ntrue-when: {when}\n"
        f"because: It is made for a test and says so.\n{says}\nsources: [common-practice]\n"
    )


def effect(name: str, at: str, more: str = "") -> str:
    """Return an effect that is there or not."""
    return (
        f"effect: {name}\ntitle: a thing made for a test\nat: {at}\nvalues: [none, there]\n"
        f"background: {{there: .01}}\n{more}because: It is made for this test alone.\n"
        "sources: [common-practice]\n"
    )


def question(name: str, reads: str, at: str, more: str = "") -> str:
    """Return a question that asks for it."""
    return (
        f"question: {name}\ntitle: asked in a test\nask: Is the thing of the test there now?\n"
        f"reads: {reads}\nat: {at}\nanswers: {{none: not there, there: it is there}}\nshows: fair\n"
        f"why: It is asked because a test asks it.\n{more}sources: [common-practice]\n"
    )


def row(text: str, cause: str = PUMP) -> str:
    """Return the text of a cause with one more row."""
    return swapped(cause, ("produces:\n", f"produces:\n  - {text}\n"))


def copied(name: str, old: str, new: str) -> str:
    """Return a file under another id."""
    return SOUND[name].replace(f": {old}\n", f": {new}\n", 1)


THERE = "{effect: hum, is: there, at: aeroplane, how-often: half}"

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
    "WAIVE-01": (
        {
            "lint-waivers.yaml": "waivers:\n  - {code: RULE-02, item: symptoms/smell-stop, reason: It was let stand once and is long since mended.}\n"
        },
        "symptoms/smell-stop",
    ),
}
"""Code -> (changes to the sound files, item named).  The model's codes have tests of their own."""
