"""Which answers of a step get a step of their own."""

from __future__ import annotations

from diagnose.belief import UNKNOWN
from diagnose.chart.nodes import Choice, Node
from diagnose.chart.tree import Seldom
from diagnose.planner import Action, Situation


def node(mass: float, stops: tuple[str, ...] = ()) -> Node:
    """Return a state of knowledge that ``mass`` of all reports come to."""
    return Node((), Situation(), mass, 0, stops=stops)


def branched(check: str, **kids: Node) -> Node:
    """Return a node whose answers are branched where a tenth of all reports give them."""
    shares = {value: kid.mass for value, kid in kids.items()}
    seldom = {value: Seldom(value, UNKNOWN, False) for value in kids}
    made = node(1.0)
    made.choice = Choice(Action(check=check), shares, False, dict(kids), seldom, node(0.02))
    made.branch(0.1)
    return made


def test_danger_has_a_step_however_seldom_and_so_has_nothing_found() -> None:
    """What would hurt somebody is not gathered with what comes seldom."""
    danger = node(0.01, ("leave it alone",))
    made = branched("look", nothing=node(0.04), bad=node(0.9), worse=danger, odd=node(0.05))
    assert [value for value, _, _ in made.kids] == ["nothing", "bad", "worse", ""]
    assert [s.value for s in made.seldom] == ["odd"]
    assert made.rest.mass == 0.02


def test_the_first_answer_of_a_reading_is_gathered_like_any_other() -> None:
    """Only a check has a 'nothing found'."""
    made = branched("", normal=node(0.04), low=node(0.96))
    assert [value for value, _, _ in made.kids] == ["low", ""]


def test_where_no_answer_is_often_enough_the_node_stays_an_end() -> None:
    """Danger alone makes no step of what nobody would come to."""
    made = branched("look", nothing=node(0.05), bad=node(0.04, ("leave it alone",)))
    assert not made.grown
