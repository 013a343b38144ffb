"""The nodes of a decision chart turned into numbered steps, the likelier branch first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from diagnose.chart.nodes import Node
from diagnose.chart.start import from_symptom
from diagnose.chart.tree import ChartStep, Danger, Kind, Meaning, Seldom, Suspect, Way
from diagnose.job.diagnosis import Bench
from diagnose.job.gates import need_of, need_of_check
from diagnose.model import CauseAt

MEANT = 3
"""Failure modes named for one result of a check that lists send to."""


def numbered(bench: Bench, root: Node, rest: Sequence[Suspect]) -> tuple[ChartStep, ...]:
    """Return the steps of the chart grown from ``root``.

    First the tree, then the ``rest`` (checks in the order that holds at the start), the hand-over,
    what to do about a danger, and the checks that lists send to.
    """
    return _Numbering(bench, root, rest).steps()


def dangers(bench: Bench) -> tuple[Danger, ...]:
    """Return the dangers for which the rules stop a job on this layout, alike ones together.

    What nothing on the layout can show, as a return where there is none, is no danger of it.
    """
    found: dict[str, list[str]] = {}
    for symptom, places in bench.plain.book.spots.items():
        known = bench.library.symptoms[symptom]
        if known.stops and any(from_symptom(bench, symptom, at) for at in places):
            found.setdefault(known.stops, []).append(known.title)
    return tuple(Danger(tuple(titles), do) for do, titles in found.items())


class _Numbering:
    def __init__(self, bench: Bench, root: Node, rest: Sequence[Suspect]) -> None:
        self.bench = bench
        self.root = root
        self.known = root.known  # by which the meanings of a result are ordered
        self.rest = rest
        self.number: dict[int, int] = {}  # node -> its step
        self.seldom: dict[int, int] = {}  # node -> the step of its seldom answers
        self.parent: dict[int, Node] = {}
        self.order: list[tuple[Node, bool]] = []
        self._visit(root)
        self.other = len(self.order) + 1
        self.last = self.other + 1
        # a check is told once for all the places lists send to
        self.places: dict[str, dict[str, None]] = {}
        for check, at in self._wanted():
            self.places.setdefault(check, {})[at] = None
        self.stop = self.last + 1
        self.settle = {check: self.stop + k for k, check in enumerate(self.places, 1)}

    def _wanted(self) -> Iterator[tuple[str, str]]:
        for node, _ in self.order:
            if not node.grown:
                yield from ((s.check, at) for s in node.suspects for at in s.at)
            yield from (s.settle for s in node.seldom if s.settle)
        yield from ((s.check, at) for s in self.rest for at in s.at)

    def _visit(self, node: Node) -> None:
        self.order.append((node, False))
        self.number[id(node)] = len(self.order)
        for _, _, kid in sorted(node.kids, key=lambda k: -k[2].mass):
            self.parent[id(kid)] = node
            self._visit(kid)
        if not node.seldom:
            return
        if not node.rest.grown:  # one step for all that is not on the way
            self.seldom[id(node)] = self.number[id(node.rest)]
            return
        self.order.append((node, True))
        self.seldom[id(node)] = len(self.order)

    def steps(self) -> tuple[ChartStep, ...]:
        out = []
        for k, (node, few) in enumerate(self.order, 1):
            if few:
                out.append(self._few(k, node, node.rest))
            elif node.grown:
                out.append(self._action(k, node))
            elif node.cause is not None:
                out.append(self._found(k, node))
            else:
                out.append(self._suspects(k, node))
        out.append(
            ChartStep(
                self.other, "rest", 0.0, suspects=self._numbered(self.rest), otherwise=self.last
            )
        )
        out.append(ChartStep(self.last, "hand-over", 0.0, otherwise=1))
        told = dangers(self.bench)
        out.append(ChartStep(self.stop, "stop", 0.0, dangers=told, otherwise=self.last))
        return (*out, *(self._settle(k, check) for check, k in self.settle.items()))

    def _action(self, number: int, node: Node) -> ChartStep:
        assert node.choice is not None
        action = node.choice.action
        ways = [Way((v,), self.number[id(kid)], share) for v, share, kid in node.kids[:-1]]
        if node.seldom:
            values = tuple(s.value for s in node.seldom)
            ways.append(Way(values, self.seldom[id(node)], node.seldom_share))
        ways.append(Way(("",), self.number[id(node.rest)], 0.0))
        kind: Kind = "look" if node.choice.looks else "run" if action.is_run else "reading"
        return ChartStep(
            number,
            "check" if action.is_check else kind,
            node.mass,
            tuple(ways),
            readings=action.readings,
            asks=action.readings[0] if action.readings else None,
            check=action.check,
            at=action.at,
            minutes=action.minutes,
            need="" if node.choice.looks else need_of(self.bench, action),
            stops=node.stops,
            warns=node.warns,
            danger=self.stop,
        )

    def _found(self, number: int, node: Node) -> ChartStep:
        otherwise = self.other
        if id(node) in self.parent:  # 'nothing found' of the same check, else as if not checked
            parent = self.parent[id(node)]
            first = parent.kids[0][2]
            otherwise = self.number[id(parent.rest if first is node else first)]
        return ChartStep(
            number,
            "found",
            node.mass,
            cause=node.cause,
            check=node.by,
            stops=node.stops,
            warns=node.warns,
            otherwise=otherwise,
            covered=1.0,
        )

    def _numbered(self, listed: Sequence[Suspect]) -> tuple[Suspect, ...]:
        return tuple(replace(s, step=self.settle[s.check]) for s in listed)

    def _covered(self, node: Node) -> float:
        """Return the belief at ``node`` in what its checks and those of the rest can find.

        Beliefs of causes that may be there together add up to more than one: it is their share.
        """
        listed = {c for s in (*node.suspects, *self.rest) for c, _ in s.causes}
        return sum(node.known.get(c, 0.0) for c in listed) / sum(node.known.values())

    def _suspects(self, number: int, node: Node) -> ChartStep:
        parent = self.parent.get(id(node))
        not_checked = parent is not None and parent.rest is node
        step = ChartStep(
            number,
            "suspects",
            0.0 if not_checked else node.mass,
            suspects=self._numbered(node.suspects),
            stops=node.stops,
            warns=node.warns,
            # a danger met on the way is worked first: the rest was ordered without any
            otherwise=self.last if node.stops and not self.root.stops else self.other,
            covered=self._covered(node),
        )
        if parent is None or self.seldom.get(id(parent)) != number:
            return step
        few = self._few(number, parent, node)
        # those of seldom answers come here as well; 'not checked' is no share of the reports
        return replace(
            step, mass=few.mass, seldom=few.seldom, seldom_of=few.seldom_of, check=few.check
        )

    def _few(self, number: int, node: Node, rest: Node) -> ChartStep:
        """Return the terminal of the seldom answers of ``node``."""
        assert node.choice is not None
        action = node.choice.action
        of = (action.check, action.at)
        if action.readings:
            of = (action.readings[0].question, action.readings[0].place)
        return ChartStep(
            number,
            "suspects",
            node.mass * node.seldom_share,
            seldom=tuple(replace(s, step=self._step_of(s)) for s in node.seldom),
            seldom_of=of,
            check=action.check,
            otherwise=self.number[id(rest)],
            covered=self._covered(rest),
        )

    def _step_of(self, s: Seldom) -> int:
        return self.settle[s.settle[0]] if s.settle else self.last

    def _settle(self, number: int, check: str) -> ChartStep:
        """Return a check with what each of its results means at the places it is sent to."""
        library, places = self.bench.library, self.bench.places
        by: dict[str, dict[str, list[CauseAt]]] = {}
        for cause in sorted(self.bench.net.instances, key=lambda c: -self.known.get(c, 0.0)):
            for c in library.causes[cause.cause].checks:
                here = places.related(cause.at, c.at, {}) if c.check == check else ()
                if any(at in here for at in self.places[check]):
                    by.setdefault(c.result, {}).setdefault(cause.cause, []).append(cause)
        meanings = tuple(
            Meaning(result, tuple(c for same in list(modes.values())[:MEANT] for c in same))
            for result, modes in by.items()
        )
        return ChartStep(
            number,
            "settle",
            0.0,
            check=check,
            places=tuple(self.places[check]),
            need=need_of_check(library.checks[check]),
            meanings=meanings,
            danger=self.stop,
            otherwise=self.last,
        )
