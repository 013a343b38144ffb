"""A tiny invented knowledge folder, layout and case, written to disk for tests of any layer.

    root = write_tiny(tmp_path)                       # tmp_path/knowledge, tmp_path/cases
    library = tiny_library(tmp_path)                  # the loaded Library
    layout = tiny_layout(tmp_path)                    # low wing, two tanks, one engine
    write_tiny(tmp_path, {"effects/smell.yaml": None, "causes/pump/x.yaml": "..."})

``None`` deletes a file, text replaces or adds one.  Paths starting ``cases/`` lie beside the
knowledge folder, all others in it.
"""

# ruff: noqa: E501 - rows of the files' own format stand on one line, as in the knowledge itself

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from diagnose.knowledge_files import load_case, load_layout, load_library
from diagnose.model import Case, Layout, Library

WORDS = """\
how-often: {never: .02, rarely: .10, sometimes: .30, half: .50, often: .70, very-often: .90, always: .98}
how-common: {very common: .2, common: .03, uncommon: .003, rare: .0003, very rare: .00003}
trust: {measured: 1, read: .95, seen: .95, told: .8, assumed: .4}
work-lift: 10
fuelling-lift: 3
common-weight: 1
shares: {not-fuel: .10, not-in-the-knowledge: .05, no-fault: .05}
unstated:
  power: {none: .10, cranking: .05, low: .20, mid: .35, high: .30}
  booster: {off: .6, on: .4}
  crossfeed: {shut: .95, open: .05}
  heat: {cool: .8, hot: .2}
  attitude: {level: .85, disturbed: .15}
  level: {full: .2, part: .7, low: .1}
trade:
  - {word: quit, means: engine stopped, finding: engine-behaviour, value: stops}
  - {word: gascolator, means: main strainer with a bowl, place: strainer}
"""

SOURCES = """\
sources:
  - {source: handbook-one, title: an invented handbook, kind: handbook, cite: invented}
"""

PRESSURE = """\
effect: metering-pressure
title: fuel pressure at the carburettor inlet
at: engine
values: [normal, low, high]
background: {low: .005, high: .001}
depends-on: [power, booster, tank]
reading: metering-pressure
because: Everything between tank and carburettor shows here.
sources: [common-practice]
"""

RUNNING = """\
effect: engine-running
title: how the engine runs
at: engine
values: [well, fades, stops]
background: {fades: .02, stops: .02}
depends-on: [power, booster, tank]
because: What people report.
sources: [common-practice]
"""

SMELL = """\
effect: smell
title: smell of fuel about the aeroplane
at: aeroplane
values: [none, fuel]
background: {fuel: .02}
because: Vapour travels.
sources: [common-practice]
"""

ASK_PRESSURE = """\
question: fuel-pressure
title: fuel pressure gauge
ask: What does the fuel pressure gauge read?
how: Hold the setting for half a minute and read.
why: A fall and a rise come from different parts.
reads: metering-pressure
at: engine
instruments: [pressure-gauge]
answers: {low: below the band, normal: in the band, high: above the band}
shows: clear
unit: pressure
cut: fuel-pressure
stages: [idle, run-up, cruise]
needs: {booster: off}
minutes: 1
hazards: [running-engine]
sources: [common-practice]
"""

ASK_BEHAVIOUR = """\
question: engine-behaviour
title: how the engine behaves
ask: What did the engine do?
reads: engine-running
at: engine
answers: {well: ran well, fades: faded, stops: stopped}
shows:
  well: {well: .96, fades: .02, stops: .02}
  fades: {well: .04, fades: .90, stops: .06}
  stops: {well: .02, fades: .08, stops: .90}
opening: yes
"""

ASK_SMELL = """\
question: fuel-smell
title: smell of fuel
ask: Is fuel smelt anywhere?
reads: smell
at: aeroplane
answers: {none: no smell, fuel: smell of fuel}
shows: fair
opening: yes
perishable: cooling
gate: none
"""

RESTORES = """\
symptom: booster-restores
title: the booster brings the pressure back
at: engine
true-when:
  all:
    - {sign: fuel-pressure, is: low, state: {booster: off}}
    - {sign: fuel-pressure, is: [normal, high], state: {booster: on}}
because: A weak pump and a half-blocked strainer both recover with the booster on.
points-to: [engine-pump-worn, strainer-plugged]
speaks-against: [pressure-gauge-low]
sources: [common-practice]
"""

DANGER = """\
symptom: smell-stop
title: fuel smelt with the engine starved
at: aeroplane
true-when:
  any:
    - {sign: fuel-smell, is: fuel}
    - all:
        - {symptom: booster-restores, at: same-bus}
        - not: {sign: fuel-smell, is: none}
because: Vapour and a hot engine do not go together.
stops: Stop the engine. Leave all switches alone.
sources: [common-practice]
"""

STRAINER = """\
cause: strainer-plugged
title: main strainer element plugged
part-kind: strainer
only-if: {feed: pumped}
mode: plugged (PLU)
how-common: common
because: Dirt settles on the element until take-off flow no longer passes.
produces:
  - {effect: metering-pressure, is: low, at: its-engine, when: {power: high, booster: off}, how-often: {half: often, severe: always}}
  - {effect: engine-running, is: fades, at: its-engine, when: {power: [mid, high]}, how-often: {severe: very often}}
after-work: [strainer, aeroplane]
look-alikes: [{cause: engine-pump-worn, told-apart-by: the strainer element is clean}]
checks: [{check: inspect-strainer, result: plugged, chance: .95}]
rectify: Clean the element by the approved data.
model: {change: blocked, slight: .5, half: .8, severe: .97}
provenance: {said-by: project draft, on: 2026-11-25, how: common practice, confidence: low}
sources: [common-practice]
"""

PUMP = """\
cause: engine-pump-worn
title: engine-driven pump worn
part-kind: engine-pump
how-common: uncommon
because: Worn vanes let fuel slip back.
severity: {half: .5, severe: .5}
produces:
  - {effect: metering-pressure, is: low, at: its-engine, when: {booster: off}, how-often: often}
look-alikes: [{cause: strainer-plugged, told-apart-by: the strainer element is plugged}]
checks: [{check: pump-output, result: weak}]
provenance: {said-by: project draft, on: 2026-11-25, how: common practice}
sources: [{id: handbook-one, part: chapter 4, gives: the mechanism}]
"""

GAUGE = """\
cause: pressure-gauge-low
title: fuel pressure gauge reads low
part-kind: pressure-gauge
how-common: uncommon
because: The capsule has taken a set.
distorts:
  - question: fuel-pressure
    shows: {normal: {low: .8, normal: .2}, high: {normal: .7, high: .3}}
look-alikes: [{cause: strainer-plugged, told-apart-by: a test gauge reads low as well}]
checks: [{check: test-gauge, result: wrong, at: itself}]
provenance: {said-by: project draft, on: 2026-11-25, how: common practice}
sources: [common-practice]
"""

_CHECK = """\
check: {id}
title: {title}
at: {at}
results: {results}
aim: {aim}
minutes: {minutes}
aeroplane: {{engine: stopped and cold, power: off, line-pressure: none, ventilation: open air}}
access: cowling
hazards: [open-fuel-part]
close-out: Refit, lock and leak-check by the approved data.
sources: [common-practice]
"""

OPEN_PART = """\
hazard: open-fuel-part
title: Open fuel part
level: warning
text: Keep power off. Keep an extinguisher at hand.
sources: [common-practice]
"""

RUNNING_ENGINE = """\
hazard: running-engine
title: Running engine
level: warning
text: Keep clear of the propeller.
sources: [common-practice]
"""

LAYOUT = """\
layout: tiny-single
title: Tiny low-wing single
invented: yes
notes: Invented for tests.
traits: {feed: pumped, carburettor: float}
parts:
  - {part: left-tank, kind: tank, name: left tank, side: port, capacity: 18 imp gal, unusable: 1.5 imp gal, height: 0.1 m, depth: 0.22 m}
  - {part: left-cap, kind: filler-cap, of: left-tank, name: left filler cap, bore: 58 mm}
  - {part: right-tank, kind: tank, name: right tank, side: starboard, capacity: 20 US gal, unusable: 5 l, height: 0.1 m, depth: 0.22 m}
  - {part: selector, kind: selector-cock, name: fuel selector, height: 0.15 m, positions: {left: [[left, out]], right: [[right, out]], off: []}, normal: left}
  - {part: strainer, kind: strainer, of: engine, name: main strainer, height: 0.15 m, flow-factor: 60 imp gal/h}
  - {part: booster, kind: booster-pump, of: engine, name: electric fuel pump, bus: main-bus, height: 0.18 m, shutoff: 6.5 psi, rated-flow: 28 imp gal/h}
  - {part: engine-pump, kind: engine-pump, of: engine, name: engine-driven pump, height: 0.5 m, displacement: 26 imp gal/h, relief: 5.5 psi}
  - {part: carburettor, kind: float-carburettor, of: engine, name: carburettor, height: 0.42 m, burn-take-off: 12.5 imp gal/h, burn-cruise: 7.5 imp gal/h, burn-run-up: 5.5 imp gal/h, burn-idle: 1.5 imp gal/h}
  - {part: pressure-gauge, kind: pressure-gauge, of: engine, name: fuel pressure gauge, full-scale: 10 psi}
  - {part: engine, kind: engine, name: engine, power-take-off: 160 bhp, speed-take-off: 2700 rpm}
  - {part: main-bus, kind: bus, name: main bus, voltage: 14 V}
lines:
  - {line: left-feed, from: left-tank, to: selector.left, bore: 9.5 mm, length: 1.8 m, loss: 3}
  - {line: right-feed, from: right-tank, to: selector.right, bore: 3/8 in, length: 1.8 m, loss: 3}
  - {line: to-strainer, from: selector.out, to: strainer, bore: 9.5 mm, length: 0.1 m, loss: 1}
  - {line: to-booster, from: strainer, to: booster, bore: 9.5 mm, length: 0.2 m, loss: 1}
  - {line: to-pump, from: booster, to: engine-pump, bore: 8 mm, length: 0.6 m, loss: 2}
  - {line: to-carburettor, from: engine-pump, to: carburettor, bore: 8 mm, length: 0.4 m, loss: 2}
  - {line: to-engine, from: carburettor, to: engine, bore: 8 mm, length: 0.05 m, loss: 0}
limits:
  fuel-pressure: {low: 3 psi, high: 8 psi, reference: invented for this layout}
run-states:
  - {state: static, title: Static, stage: static, settings: {power: none, booster: off}, minutes: 2}
  - {state: run-up-off, title: "Run-up, booster off", stage: run-up, settings: {booster: off}, minutes: 2, start-minutes: 15, engine-running: yes, needs: [chocks, fire guard]}
  - {state: run-up-right, title: Run-up on the right tank, stage: run-up, settings: {booster: off, tank: right-tank}, minutes: 3, start-minutes: 15, engine-running: yes}
"""

CASE = """\
case: tiny-1
source: invented
layout: tiny-single
title: Strainer after repainting
family: filters
invented: yes
reported: Power faded at take-off.
before: [{work: repainted, at: airframe}]
findings:
  - {finding: engine-behaviour, at: engine, value: fades, state: {stage: take-off, tank: left-tank}, known-by: told}
  - {finding: fuel-pressure, value: 2.5 psi, state: {stage: run-up, booster: off}, known-by: read, after: booster off}
  - {finding: fuel-smell, value: not checked}
examination:
  - {check: inspect-strainer, at: strainer, result: plugged}
cause: {cause: strainer-plugged, at: strainer}
also-accept: []
notes: Invented for tests.
"""


def _check(id: str, title: str, at: str, results: str) -> str:
    aim = f"See whether the {at} is at fault"
    return _CHECK.format(id=id, title=title, at=at, results=results, aim=aim, minutes=20)


FILES: Mapping[str, str] = {
    "words.yaml": WORDS,
    "sources.yaml": SOURCES,
    "effects/metering-pressure.yaml": PRESSURE,
    "effects/engine-running.yaml": RUNNING,
    "effects/smell.yaml": SMELL,
    "questions/fuel-pressure.yaml": ASK_PRESSURE,
    "questions/engine-behaviour.yaml": ASK_BEHAVIOUR,
    "questions/fuel-smell.yaml": ASK_SMELL,
    "symptoms/booster-restores.yaml": RESTORES,
    "symptoms/smell-stop.yaml": DANGER,
    "causes/filters/strainer-plugged.yaml": STRAINER,
    "causes/pump/engine-pump-worn.yaml": PUMP,
    "causes/indication/pressure-gauge-low.yaml": GAUGE,
    "checks/inspect-strainer.yaml": _check(
        "inspect-strainer", "Look at the element", "strainer", "{clean: nothing, plugged: dirt}"
    ),
    "checks/pump-output.yaml": _check(
        "pump-output", "Measure the pump", "engine-pump", "{sound: enough, weak: too little}"
    ),
    "checks/test-gauge.yaml": _check(
        "test-gauge", "Compare with a test gauge", "pressure-gauge", "{right: agrees, wrong: apart}"
    ),
    "hazards/open-fuel-part.yaml": OPEN_PART,
    "hazards/running-engine.yaml": RUNNING_ENGINE,
    "layouts/tiny-single.yaml": LAYOUT,
    "cases/tiny-1.yaml": CASE,
}
"""Path -> text of every file of the tiny folder."""


def write_tiny(folder: Path, changes: Mapping[str, str | bytes | None] | None = None) -> Path:
    """Write the tiny files with ``changes`` under ``folder``; return the knowledge folder."""
    root = folder / "knowledge"
    for name, text in {**FILES, **(changes or {})}.items():
        path = folder / name if name.startswith("cases/") else root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        if text is None:
            path.unlink(missing_ok=True)
        else:
            path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return root


def tiny_library(folder: Path, changes: Mapping[str, str | bytes | None] | None = None) -> Library:
    """Write and load the tiny library, without a cache."""
    return load_library(write_tiny(folder, changes), use_cache=False)


def tiny_layout(folder: Path, changes: Mapping[str, str | bytes | None] | None = None) -> Layout:
    """Write and load the tiny layout."""
    return load_layout(write_tiny(folder, changes) / "layouts" / "tiny-single.yaml")


def tiny_case(folder: Path, changes: Mapping[str, str | bytes | None] | None = None) -> Case:
    """Write and load the tiny case against the tiny library and layout."""
    library, layout = tiny_library(folder, changes), tiny_layout(folder, changes)
    return load_case(folder / "cases" / "tiny-1.yaml", library, layout)
