"""Names and small pieces of the sound files, for the changes that break them."""

from __future__ import annotations

from lint.lint_kit import SOUND, swapped

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
        "heard: {none: [it is gone], there: [it came]}\n"
        f"why: It is asked because a test asks it.\n{more}sources: [common-practice]\n"
    )


def row(text: str, cause: str = PUMP) -> str:
    """Return the text of a cause with one more row."""
    return swapped(cause, ("produces:\n", f"produces:\n  - {text}\n"))


def copied(name: str, old: str, new: str) -> str:
    """Return a file under another id."""
    return SOUND[name].replace(f": {old}\n", f": {new}\n", 1)


THERE = "{effect: hum, is: there, at: aeroplane, how-often: half}"
