"""Inference in any small discrete network by summing its whole joint table: slow, plain, exact."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

Row = Callable[..., Mapping[str, float]]
"""Values of the parents, in order -> value -> probability."""


@dataclass(frozen=True)
class Node:
    """One variable: its values, its parents and its table."""

    name: str
    values: tuple[str, ...]
    parents: tuple[str, ...]
    row: Row


def posterior(
    nodes: Sequence[Node], query: str, evidence: Mapping[str, str]
) -> Mapping[str, float]:
    """Return P(query | evidence); ``nodes`` in topological order."""
    target = next(n for n in nodes if n.name == query)
    mass = dict.fromkeys(target.values, 0.0)
    free = [n.values if n.name not in evidence else (evidence[n.name],) for n in nodes]
    for values in product(*free):
        world = {n.name: v for n, v in zip(nodes, values, strict=True)}
        p = 1.0
        for n in nodes:
            p *= n.row(*(world[q] for q in n.parents))[world[n.name]]
            if p == 0.0:
                break
        mass[world[query]] += p
    total = sum(mass.values())
    return {v: m / total for v, m in mass.items()}
