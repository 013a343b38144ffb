"""An exercise file to a frozen ``SetExercise``: names held against knowledge and layout."""

from __future__ import annotations

from pathlib import Path

from diagnose.errors import CaseError
from diagnose.knowledge_files.cases import CaseReader, node_of
from diagnose.knowledge_files.fields import Fields
from diagnose.knowledge_files.gather import Gather
from diagnose.knowledge_files.reader import Node
from diagnose.model import GRADES, CauseAt, Layout, Library, SetExercise

MOST_HANDS = 9


def load_exercise(path: Path, library: Library, layout: Layout) -> SetExercise:
    """Load one exercise file; ``layout`` must be the one it names.

    Raises:
        CaseError: With every problem found, each with file, line and column.
    """
    gather = Gather()
    node = node_of(path, gather)
    found = None if node is None else _ExerciseReader(library, layout, gather).exercise(node)
    if gather.problems or found is None:
        raise CaseError(gather.problems)
    return found


def is_exercise(path: Path) -> bool:
    """Return whether a file is meant as an exercise: it has that key, or cannot be read at all."""
    node = node_of(path, Gather())
    return node is None or Fields(node, Gather(), "exercise").has("exercise")


class _ExerciseReader(CaseReader):
    """Reads one exercise; findings and cause are written as in a case."""

    def exercise(self, node: Node) -> SetExercise:
        """Read the whole file."""
        fields = Fields(node, self.gather, "exercise")
        name = fields.id("exercise")
        hidden = fields.node("fault", required=True)
        cause = self.cause(hidden) if hidden is not None else CauseAt("", "")
        if hidden is not None and not cause.cause:
            text = "an exercise hides a cause of the knowledge; write '{cause: <id>, at: <part>}'"
            self.gather.add(hidden.origin, text)
        told = tuple(self.finding(one) for one in fields.tables("told", "a finding"))
        for f in told:
            if f.one_of_places or f.one_of or not f.value:
                text = "the aeroplane shows what is told; name one part and one answer"
                self.gather.add(f.origin, text)
        hands, may_run, tools = self._at_hand(fields)
        return fields.build(
            SetExercise,
            id=name,
            title=fields.text("title"),
            layout=self.layout_named(fields),
            cause=cause,
            grade=str(fields.choice("severity", GRADES, required=True)),
            reported=fields.text("reported", required=True),
            told=told,
            seed=fields.whole("seed", default=1, high=1e9),
            hands=hands,
            may_run=may_run,
            tools=tools,
            invented=fields.flag("invented"),
            notes=fields.text("notes"),
            cause_origin=hidden.origin if hidden is not None else node.origin,
        )

    def _at_hand(self, fields: Fields) -> tuple[int, bool, tuple[str, ...] | None]:
        """Read people, whether an engine may be run, and tools; all there is where not said."""
        table = fields.table("at-hand")
        if table is None:
            return 2, True, None
        hands = table.whole("hands", default=2, low=1)
        if hands > MOST_HANDS:
            text = f"'hands' is how many people there are, at most {MOST_HANDS}"
            self.gather.add(table.where("hands"), text)
        may_run = table.flag("run") if table.has("run") else True
        known = {t for q in self.library.questions.values() for t in q.tools}
        known |= {t for c in self.library.checks.values() for t in c.tools}
        tools = None
        if table.has("tools"):
            tools = tuple(str(t) for t in table.choices("tools", known, what="tool"))
        table.finish()
        return hands, may_run, tools
