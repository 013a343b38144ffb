"""The rule book of one library on one layout: everything that does not depend on findings.

Both the engine and the plain evaluator read it, so it holds definitions only: which places a
symptom is asked at, the literals and where they look, the ways of each symptom, and the rows that
can become evidence.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from diagnose.errors import KnowledgeError, Origin, Problem, UsageError
from diagnose.model import AEROPLANE, CauseAt, Layout, Library, Literal, Produces, literals_of
from diagnose.rules.conditions import (
    Atom,
    AtomKey,
    TooManyWaysError,
    atoms_of,
    key_of,
    problems_in,
    strata,
    ways,
)

ITSELF = "itself"

SURE = 1.0 - 1e-9
"""A relation that holds in all unstated settings, up to rounding of their weights."""

MOST = 0.5
"""A place is asked for when it is related at least this much of the best related one."""

FEED = frozenset({"tank", "crossfeed"})
"""Settings that decide which part feeds which."""

Settings = tuple[tuple[str, str], ...]
"""Known run-state settings, sorted."""


class Relations(Protocol):
    """What the rules ask of the layout; ``diagnose.places.Places`` answers it."""

    def related(self, part: str, relation: str, state: Mapping[str, str]) -> Mapping[str, float]:
        """Return place -> share of the unstated settings in which the relation holds."""

    def shares(
        self, row: Produces, cause_parts: Iterable[str], place: str, known: Mapping[str, str]
    ) -> Sequence[float]:
        """Return how much of the unstated settings ``row`` reaches ``place`` in, from each part."""

    def cause_instances(self, library: Library) -> Sequence[CauseAt]:
        """Return every cause at every part of the layout that can have it."""

    def is_instrument_of(self, part: str, place: str) -> bool:
        """Return whether ``part`` belongs to the indication of ``place``."""


@dataclass(frozen=True)
class Way:
    """One rule: when all ``wants`` are known, ``symptom`` is known to be ``shows``.

    ``wants`` are (index of the atom in the book, side, the atom as written here).
    """

    symptom: str
    shows: bool
    number: int
    origin: Origin
    wants: tuple[tuple[int, bool, Atom], ...]


@dataclass(frozen=True)
class Row:
    """A ``produces`` row or an instrument table that can become evidence.

    ``on`` is the effect for a row and the question for a table; ``row`` is None for a table.
    """

    cause: str
    on: str
    row: Produces | None
    origin: Origin


class Book:
    """Definitions compiled from a library and a layout.

    Nothing but its memory of answered questions (``named`` and the private ones) changes later.
    """

    def __init__(self, library: Library, layout: Layout, places: Relations) -> None:
        """Check and index the symptoms and rows of ``library``.

        Raises:
            KnowledgeError: With every problem found: unknown names, loops, too many ways.
        """
        self.library = library
        self.layout = layout
        self.relations = places
        problems = problems_in(library)
        if problems:
            raise KnowledgeError(problems)
        self.strata = strata(library.symptoms)
        self.level = {name: k for k, layer in enumerate(self.strata) for name in layer}
        self.spots = {s.id: self.places_of(s.at) for s in library.symptoms.values()}
        self.atoms: list[Atom] = []
        self._number: dict[AtomKey, int] = {}
        self._by_id: dict[int, int] = {}
        self.atom_spots: list[tuple[str, ...]] = []
        self.ways = self._all_ways()
        self.signs_read: dict[tuple[bool, str], list[int]] = {}
        self.symptoms_read: dict[str, list[int]] = {}
        self.used_by: list[list[str]] = []
        self._index_atoms()
        self.parts_with: dict[str, list[str]] = {}
        for instance in places.cause_instances(library):
            self.parts_with.setdefault(instance.cause, []).append(instance.at)
        self.rows = self._all_rows()
        self.ways_of: dict[str, list[int]] = {name: [] for name in library.symptoms}
        for number, way in enumerate(self.ways):
            self.ways_of[way.symptom].append(number)
        self.rows_on: dict[tuple[bool, str], list[int]] = {}
        for number, row in enumerate(self.rows):
            self.rows_on.setdefault((row.row is None, row.on), []).append(number)
        self._shares: dict[tuple[str, str, Settings], Mapping[str, float]] = {}
        self._asked: dict[tuple[int, str], tuple[str, ...]] = {}
        self.named: dict[tuple[str, str, Settings], tuple[CauseAt, ...]] = {}
        self._reached: dict[tuple[int, str, Settings], tuple[CauseAt, ...]] = {}
        self._try_relations()

    def places_of(self, kinds: Sequence[str]) -> tuple[str, ...]:
        """Return the places of the given kinds, in the order of the layout."""
        found = [p.id for p in self.layout.parts.values() if p.kind in kinds]
        if AEROPLANE in kinds and AEROPLANE not in found:
            found.append(AEROPLANE)
        return tuple(found)

    # ------------------------------------------------------------------ compiling

    def _all_ways(self) -> tuple[Way, ...]:
        out: list[Way] = []
        problems: list[Problem] = []
        for name in (n for layer in self.strata for n in layer):
            symptom = self.library.symptoms[name]
            for shows in (True, False):
                try:
                    found = ways(symptom.when, shows)
                except TooManyWaysError:
                    text = f"symptom '{name}' has too many alternatives. Split it into several."
                    problems.append(Problem(symptom.origin, text))
                    break
                for number, way in enumerate(found):
                    wants = tuple((self._atom(lit), side, lit) for lit, side in way)
                    out.append(Way(name, shows, number, symptom.origin, wants))
        if problems:
            raise KnowledgeError(problems)
        return tuple(out)

    def number_of(self, atom: Atom) -> int:
        """Return the number of ``atom``: the same for the same test, wherever written."""
        # The library keeps its conditions alive, so an id stands for one of them.
        number = self._by_id.get(id(atom))
        return self._number[key_of(atom)] if number is None else number

    def literal(self, number: int) -> Literal:
        """Return the literal with this number."""
        atom = self.atoms[number]
        assert isinstance(atom, Literal)  # the caller has tested it, or asks for its place
        return atom

    def _atom(self, atom: Atom) -> int:
        return self._number.setdefault(key_of(atom), len(self._number))

    def _index_atoms(self) -> None:
        """Number every atom, and every literal within one, and note what each rests on."""
        spots: dict[int, dict[str, None]] = {}
        first: dict[int, Atom] = {}
        users: dict[int, list[str]] = {}
        for symptom in self.library.symptoms.values():
            tested = list(atoms_of(symptom.when))
            for atom in (*tested, *literals_of(symptom.when)):
                number = self._atom(atom)
                self._by_id[id(atom)] = number
                first.setdefault(number, atom)
                spots.setdefault(number, {}).update(dict.fromkeys(self.spots[symptom.id]))
            for number in dict.fromkeys(self._by_id[id(atom)] for atom in tested):
                users.setdefault(number, []).append(symptom.id)
        for number in range(len(self._number)):
            atom = first[number]
            self.atoms.append(atom)
            self.atom_spots.append(tuple(spots[number]))
            self.used_by.append(users.get(number, []))
            if number not in users:
                continue  # looked at only within a run state
            for literal in literals_of(atom):
                if literal.kind == "symptom":
                    read_by = self.symptoms_read.setdefault(literal.name, [])
                else:
                    read_by = self.signs_read.setdefault(self.asked_of(literal), [])
                if number not in read_by:
                    read_by.append(number)

    def asked_of(self, literal: Literal) -> tuple[bool, str]:
        """Return (is it a check, its id) for a sign literal; a question goes first."""
        return (literal.name not in self.library.questions, literal.name)

    def _all_rows(self) -> tuple[Row, ...]:
        out: list[Row] = []
        for name in sorted(self.library.causes):
            if name not in self.parts_with:
                continue
            cause = self.library.causes[name]
            for row in cause.produces:
                # A row that says 'normal' adds nothing net of background: no evidence in itself.
                if row.value in self.library.effects[row.effect].values[1:]:
                    out.append(Row(name, row.effect, row, row.origin))
            for table in cause.distorts:
                out.append(Row(name, table.question, None, table.origin))
        return tuple(out)

    def _try_relations(self) -> None:
        """Ask for every literal's places now, so that an unknown relation is found at load."""
        problems = []
        for number, spots in enumerate(self.atom_spots):
            atom = self.atoms[number]
            for place in spots if isinstance(atom, Literal) else ():
                try:
                    self.asked_places(number, place)
                except UsageError as error:
                    problems.append(Problem(atom.origin, f"{error}."))
        if problems:
            raise KnowledgeError(problems)

    # ------------------------------------------------------------------ where literals look

    def related(self, place: str, relation: str, known: Settings) -> Mapping[str, float]:
        """Return the places related to ``place``, remembered per question asked."""
        if relation == ITSELF:
            return {place: 1.0}
        key = (place, relation, known)
        found = self._shares.get(key)
        if found is None:
            found = dict(self.relations.related(place, relation, dict(known)))
            self._shares[key] = found
        return found

    def spots_near(self, number: int, place: str) -> tuple[str, ...]:
        """Return the places whose rules may look at ``place`` through atom ``number``."""
        if all(literal.at == ITSELF for literal in literals_of(self.atoms[number])):
            return (place,) if place in self.atom_spots[number] else ()
        return self.atom_spots[number]

    def asked_places(self, number: int, place: str) -> tuple[str, ...]:
        """Return the places that must be known before literal ``number`` can be ruled out.

        Those related in the literal's own state, at least half as much as the best related one:
        a place that is related only in a rare setting need not be looked at first.  Of places where
        the sign cannot be told nothing is asked: a gauge on the bus makes no sound.
        """
        key = (number, place)
        found = self._asked.get(key)
        if found is None:
            literal = self.literal(number)
            related = self.related(place, literal.at, self.own_state(number))
            told = self._places_told(literal)
            shares = {q: s for q, s in related.items() if q in told}
            least = MOST * max(shares.values(), default=0.0)
            found = tuple(sorted(q for q, s in shares.items() if s > 0.0 and s >= least))
            self._asked[key] = found
        return found

    def _places_told(self, literal: Literal) -> tuple[str, ...]:
        if literal.kind == "symptom":
            return self.spots[literal.name]
        library = self.library
        return self.places_of(
            (library.checks.get(literal.name) or library.questions[literal.name]).at
        )

    def own_state(self, number: int) -> Settings:
        """Return the settings that literal ``number`` itself fixes to one value."""
        state = self.literal(number).state
        return tuple(sorted((d, v[0]) for d, v in state.items() if len(v) == 1))

    def bears(self, number: int, place: str, other: str, known: Settings) -> tuple[bool, bool]:
        """Return (counts, surely counts) for a sign at ``other`` in the settings ``known``.

        It surely counts when the relation holds whatever was left unstated.  When it may or may
        not hold, the sign still counts towards 'all of them' if the way the fuel is fed cannot
        change it.
        """
        literal = self.literal(number)
        share = self.related(place, literal.at, known).get(other, 0.0)
        if share >= SURE:
            return True, True
        return share > 0.0 and self._free_of_feed(literal), False

    def _free_of_feed(self, literal: Literal) -> bool:
        question = self.library.questions.get(literal.name) if literal.kind == "sign" else None
        if question is None:
            return True
        return not FEED & set(self.library.effects[question.reads].depends_on)

    # ------------------------------------------------------------------ evidence

    def reached(self, row: int, place: str, known: Settings) -> tuple[CauseAt, ...]:
        """Return the causes for which row ``row`` speaks of a sign at ``place`` in ``known``."""
        key = (row, place, known)
        found = self._reached.get(key)
        if found is None:
            item = self.rows[row]
            parts = self.parts_with[item.cause]
            shares: Sequence[float]
            if item.row is None:
                shares = [self.relations.is_instrument_of(part, place) for part in parts]
            else:
                shares = self.relations.shares(item.row, parts, place, dict(known))
            found = tuple(
                CauseAt(item.cause, part)
                for part, share in zip(parts, shares, strict=True)
                if share > 0.0
            )
            self._reached[key] = found
        return found
