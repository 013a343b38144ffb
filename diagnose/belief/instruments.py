"""What an instrument shows of an effect, sound or with a fault of its own."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from diagnose.belief.hypotheses import CEILING, Floats
from diagnose.model import GRADES, CauseAt, Distorts, Library, Question, Shown
from diagnose.signs import Sign

if TYPE_CHECKING:  # the belief asks places, it does not know pipes
    from diagnose.places import Places

Known = Mapping[str, str]
ANYHOW: Known = MappingProxyType({})
"""No run-state setting stated: what is not stated counts by its weights."""


class Instruments:
    """P(class shown | value of the effect) of every question, at a place and in a run state."""

    def __init__(
        self,
        library: Library,
        places: Places,
        at: Mapping[str, Sequence[int]],
        instances: Sequence[CauseAt],
        known: Collection[int],
    ) -> None:
        """Index the ``distorts`` rows of the causes on the layout.

        ``at``: cause -> numbers of its instances.  ``known``: numbers of the defects that are
        there whatever else is.
        """
        self._library, self._places = library, places
        self._at, self._instances, self._known = at, instances, known
        self._rows: dict[str, list[tuple[str, Distorts]]] = {}
        for cause in library.causes.values():
            for row in cause.distorts if cause.id in at else ():
                self._rows.setdefault(row.question, []).append((cause.id, row))
        self._shown: dict[tuple[object, ...], Floats] = {}
        self._bent: dict[tuple[object, ...], dict[int, Floats]] = {}

    def shown(self, question: Question, place: str, known: Known = ANYHOW) -> Floats:
        """Return P(class | effect value) at ``place``, shape (V, C), by values and classes.

        Where a known defect distorts the instrument in the run state ``known``, it is what that
        instrument shows.
        """
        key = self._key(question.id, place, known)
        found = self._shown.get(key)
        if found is None:
            values = self._library.effects[question.reads].values
            rows = [[question.shows[v].get(c, 0.0) for c in question.classes] for v in values]
            found = np.array(rows)
            for i, turn in self._turns(question.id, place, known):
                if i in self._known:
                    mean = np.tensordot(self._severity(i), turn, 1)
                    found = found @ (CEILING * mean + (1.0 - CEILING) * np.eye(len(mean)))
            self._shown[key] = found
        return found

    def bending(self, sign: Sign) -> dict[int, Floats]:
        """Return P(shown class | grade, value), (3, V, C), by instrument cause on ``sign``."""
        return {} if sign.check else self.bent(sign.question, sign.place, sign.settings())

    def bent(self, question: str, place: str, known: Known) -> dict[int, Floats]:
        """Return P(shown class | grade, value), (3, V, C), by instrument fault on the question.

        How far a fault has gone is the same in every run state, so what it shows in one speaks of
        what it shows in the next.  ``known``: the run state as far as it is stated.
        """
        if question not in self._rows:
            return {}
        key = self._key(question, place, known)
        found = self._bent.get(key)
        if found is None:
            base = self.shown(self._library.questions[question], place, known)
            turns = self._turns(question, place, known)
            found = self._bent[key] = {i: base @ t for i, t in turns if i not in self._known}
        return found

    def _key(self, question: str, place: str, known: Known) -> tuple[object, ...]:
        """Return what of ``known`` matters to how the answer is bent, with question and place."""
        rows = self._rows.get(question, ())
        matters = sorted({d for _, row in rows for d in row.when} & known.keys())
        return (question, place, *((d, known[d]) for d in matters))

    def _turns(self, question: str, place: str, known: Known) -> Iterator[tuple[int, Floats]]:
        """Yield each instrument cause on the question at ``place`` with its tables, (3, C, C).

        Rows of one cause for several run states share what was not stated; where none fits, the
        instrument shows what a sound one would.
        """
        classes = list(self._library.questions[question].classes)
        sound = np.eye(len(classes))
        turned: dict[str, Floats] = {}
        for cause, row in self._rows.get(question, ()):
            turn = np.array([_turn(row.at_grade(grade), classes) for grade in GRADES])
            share = self._places.weight(row.when, known)
            turned[cause] = turned.get(cause, sound) + share * (turn - sound)
        for cause, turn in turned.items():
            for i in self._at[cause]:
                if self._places.is_instrument_of(self._instances[i].at, place):
                    yield i, turn

    def _severity(self, i: int) -> Floats:
        severity = self._library.causes[self._instances[i].cause].severity
        return np.array([severity[grade] for grade in GRADES])


def _turn(shows: Shown, classes: Sequence[str]) -> Floats:
    """Return ``shows`` as a table (C, C), sound class by class shown."""
    turn: Floats = np.eye(len(classes))
    for k, c in enumerate(classes):
        if c in shows:
            turn[k] = [shows[c].get(d, 0.0) for d in classes]
    return turn
