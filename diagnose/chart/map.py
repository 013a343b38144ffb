"""The tree of a decision chart as one drawing: where every answer leads, at a glance.

It is the map, not the work: cautions, how and close-out stand in the steps on paper.
"""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from xml.sax.saxutils import escape

from diagnose.by_key import by_key
from diagnose.chart.labels import labels
from diagnose.chart.tree import Chart, ChartStep, Way
from diagnose.job.diagnosis import Bench
from diagnose.job.wording import cause_words
from diagnose.paper import svg
from diagnose.paper.words import shown

WIDE, ACROSS, DOWN = 190.0, 330.0, 15.0
LETTERS = 34
_TOP = 66.0


def tree_map(bench: Bench, chart: Chart) -> str:
    """Return the map of ``chart`` as SVG: steps from left to right, an answer on every line."""
    made = _Map(bench, chart)
    bottom = made.draw(1, 0, _TOP)
    title = shown(f"Map of the decision chart: {chart.start.title}")
    head = [
        svg.text(12, 18, " | ".join([*labels(bench.library, bench.layout), "page 1 of 1"])),
        svg.text(12, 38, title, "font-size='15' font-weight='bold'"),
        svg.text(12, 54, "Work from the numbered steps on paper: the cautions, how it is done and "
                         "the close-out stand there."),
    ]  # fmt: skip
    width = ACROSS * made.deepest + WIDE + 40
    told = " ".join(made.told)
    return svg.document(max(width, 900.0), bottom + 20, title, told, [*head, *made.inside])


class _Map:
    def __init__(self, bench: Bench, chart: Chart) -> None:
        self.bench = bench
        self.chart = chart
        self.inside: list[str] = []
        self.told: list[str] = []
        self.drawn: set[int] = set()
        self.deepest = 0

    def draw(self, number: int, depth: int, top: float) -> float:
        """Draw a step and all after it from ``top`` down; return where the next may begin."""
        step = self.chart.step(number)
        self.drawn.add(number)
        self.deepest = max(self.deepest, depth)
        lines = textwrap.wrap(f"{number}  {self._name(step)}", LETTERS)
        x, tall = 14 + ACROSS * depth, 12.0 * len(lines) + 8
        self.inside.append(_box(x, top, tall, lines, step.terminal))
        below = top
        for way in _once(step.ways):
            answers = self._answers(step, way)
            self.told.append(f"Step {number}, {answers}: step {way.to}.")
            if way.to in self.drawn:
                self._line(x, top, below, f"{answers} \u2192 {way.to}", None)
                below += 13.0 * len(textwrap.wrap(answers, 24)) + DOWN
                continue
            # the words stand on their line: many lines of them need room above it
            start = below + max(0.0, 12.0 * (len(textwrap.wrap(answers, 24)) - 1) - DOWN / 2)
            below = self.draw(way.to, depth + 1, start) + DOWN
            self._line(x, top, start, answers, x + ACROSS)
        return max(below - DOWN if step.ways else below, top + tall)

    def _line(self, x: float, top: float, at: float, words: str, to: float | None) -> None:
        right, y = x + WIDE, at + 11
        middle = right + 10
        end = to if to is not None else middle + 6
        self.inside.append(
            f"<path d='M{right:.1f},{top + 11:.1f} H{middle:.1f} V{y:.1f} H{end:.1f}' fill='none' "
            "stroke='black'/>"
        )
        if to is not None:
            self.inside.append(f"<polygon points='{end:.1f},{y:.1f} {end - 8:.1f},{y - 4:.1f} "
                               f"{end - 8:.1f},{y + 4:.1f}' fill='black'/>")  # fmt: skip
        halo = "font-size='10' stroke='white' stroke-width='3' paint-order='stroke' fill='black'"
        lines = textwrap.wrap(words, 24)
        for k, line in enumerate(lines, 1):
            self.inside.append(svg.text(middle + 4, y - 3 - 12 * (len(lines) - k), line, halo))

    def _answers(self, step: ChartStep, way: Way) -> str:
        library = self.bench.library
        if step.check:
            labels_of = library.checks[step.check].results
        else:
            assert step.asks is not None
            labels_of = library.questions[step.asks.question].classes
        return " / ".join(labels_of[v] if v else "not checked" for v in way.values)

    def _name(self, step: ChartStep) -> str:
        library, label = self.bench.library, self.bench.places.label
        if step.kind == "check":
            return f"CHECK {library.checks[step.check].title}, {label(step.at)}"
        if step.cause is not None:
            return f"FOUND {cause_words(self.bench, step.cause)}"
        if step.kind == "hand-over":
            return "NOT ISOLATED: hand over"
        if step.kind in ("suspects", "rest"):
            if step.seldom and not step.suspects:
                return "SELDOM ANSWERS"
            return "CHECKS in order: steps " + ", ".join(str(s.step) for s in step.suspects)
        assert step.asks is not None
        q = library.questions[step.asks.question]
        run = f"RUN, {len(step.readings)} readings: " if step.kind == "run" else ""
        return f"{run}{q.title}, {label(step.asks.place)}"


def _once(ways: Sequence[Way]) -> list[Way]:
    """Return the ways, those to the same step together."""
    to = by_key((w.to, w) for w in ways)
    return [Way(tuple(v for w in ws for v in w.values), n, sum(w.share for w in ws))
            for n, ws in to.items()]  # fmt: skip


def _box(x: float, y: float, tall: float, lines: Sequence[str], end: bool) -> str:
    weight = 2.2 if end else 1.0
    out = [
        f"<g><rect x='{x:.1f}' y='{y:.1f}' width='{WIDE:.0f}' height='{tall:.0f}' fill='white' "
        f"stroke='black' stroke-width='{weight}'/><title>{escape(' '.join(lines))}</title>"
    ]
    out += [svg.text(x + 6, y + 14 + 12 * k, words, "font-size='10.5'")
            for k, words in enumerate(lines)]  # fmt: skip
    return "".join(out) + "</g>"
