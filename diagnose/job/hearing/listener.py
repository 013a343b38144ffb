"""Takes a report clause by clause and keeps what one clause lends to those after it."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import replace

from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.bare_gauge import CONTENTS, of_which_gauge
from diagnose.job.hearing.clauses import FILLERS, Clause
from diagnose.job.hearing.contrast import came_right, in_vain, says_only_in_vain
from diagnose.job.hearing.figures_told import figures_said, read_in
from diagnose.job.hearing.gauge_and_stick import SideBySide, by_the_gauge, comes_out_of_it
from diagnose.job.hearing.heard_clause import heard_in
from diagnose.job.hearing.of_an_engine import IMPLIED, begins, is_of_a_run
from diagnose.job.hearing.others_told import of_others
from diagnose.job.hearing.said_with_it import with_what_they_say_more
from diagnose.job.hearing.same_there import same_there
from diagnose.job.hearing.standing import Standing
from diagnose.job.hearing.the_others import told_of_others
from diagnose.job.hearing.told_once import told_once
from diagnose.job.hearing.told_state import stage_of, state_of
from diagnose.job.hearing.trouble import (
    GAUGE_THEN,
    OF_IT,
    ONSET,
    RAN_WELL,
    is_amiss,
    is_leak_that_stopped,
    is_onset,
    may_be_amiss,
    tells_standing,
    usual,
)
from diagnose.job.hearing.two_names import named_late, only_a_name, only_names, said_of_both
from diagnose.job.hearing.vocabulary import Suggestion, Vocabulary
from diagnose.job.hearing.what_fed import WhatFed, is_change, without_feeding, without_goal
from diagnose.job.hearing.whereabouts import Named, Where

SELECTOR = "selector"
"""What a tank fed through, where it adds nothing: 'selector on right'."""
DIPPED = "tank-dipped"
"""What tells of a tank by the stick, never by its gauge."""
BY_STICK = {1: "reads-high", 0: "agree", -1: "reads-low"}
"""The classes of ``CONTENTS`` by which shows more, the gauge or the stick."""


class Listener:
    """Takes a report clause by clause and keeps what one clause lends to those after it."""

    def __init__(self, bench: Bench, left_out: Collection[str] = ()) -> None:
        self._left_out = left_out
        self.where = Where(bench)
        self.unclear: set[str] = set()  # stands in a sentence that names a place, if not surely
        self._bench = bench
        self._fed = WhatFed(self.where)
        self._standing = Standing(bench)
        self.silent: list[Clause] = []
        self._half_heard: list[Clause] = []  # no more than what they name, or a level
        self._out: list[Suggestion] = []
        self._last: list[int] = []  # found in the last clause that told of something amiss
        self._amiss: tuple[str, ...] = ()  # the questions of which something amiss was told
        self._of_amiss: tuple[Named, ...] = ()  # the places of the last of it
        self._hanging: Clause | None = None  # 'flow' of 'flow and pressure normal'
        self._levels = SideBySide()
        self._held: list[str] = []  # the words of a gauge and a stick held against each other
        self._sentence = -1
        self._before: tuple[Named, ...] = ()  # named last, in whatever sentence
        self._after: dict[str, tuple[Named, ...]] = {}  # phrase without a place -> named before it
        self._listed: tuple[Named, ...] = ()  # 'no. 1' of 'no. 1 and no. 2 low'
        self._told = range(0)  # what the last clause that told something did
        self._just_told = range(0)  # the same, whatever sentence it was in
        self._only_of_it: list[tuple[Clause, range]] = []  # clauses that told of the trouble alone
        self._end_sentence()

    def _end_sentence(self) -> None:
        self._spread_over_the_list()
        self._named: tuple[Named, ...] = ()
        self._told_of: tuple[Named, ...] = ()  # what was named where something was told last
        self._on_it = False  # whether what is named stood behind an 'on'
        self._and_there = False  # whether the last clause was but one more place: 'and no. 2'
        self._subjects: frozenset[str] = frozenset()
        self._begun = len(self._out)  # where what this sentence told begins
        self._fed.end_sentence()

    def _spread_over_the_list(self) -> None:
        """Say what was told last of the places listed behind it too: 'low on no. 1 and no. 2'."""
        for k in self._told if self._listed else ():
            s = self._out[k]
            more = self.where.of(s.question, self._listed)
            if s.places and not s.one_of_places:
                self._out[k] = replace(s, places=tuple(dict.fromkeys((*s.places, *more))))
                if is_amiss(self._bench, s):
                    self._of_amiss = tuple(dict.fromkeys((*self._of_amiss, *self._listed)))
        self._listed, self._told = (), range(0)

    @property
    def gauge_for_nothing(self) -> bool:
        """Return whether it was told what a gauge showed then, and of no trouble of an engine."""
        return IMPLIED not in self._amiss and any(s.question == GAUGE_THEN for s in self._out)

    def take(self, whole: Clause) -> None:
        """Hear one clause."""
        clause, others = told_of_others(whole)
        if clause.sentence != self._sentence:
            self._sentence = clause.sentence
            self._end_sentence()
        elif self._and_there and not clause.joined:
            if self._told:  # 'nil on no. 1 and no. 2, 8 psi on no. 3'
                self._named = tuple(dict.fromkeys((*self._told_of, *self._listed)))
            self._spread_over_the_list()
        here = self._place(clause)
        if others is None and self._told_again(clause, here):
            return
        said = self._heard(self._without_what_fed(clause), here)
        said = self._with_figures(said, clause)
        said = [s for s in said if self._may_be(s, said, clause)]
        if self._amiss and others is None:
            said, clause = self._of_what_was_amiss(said, clause, here)
        before = len(self._out)
        self._keep(said, clause)
        if said:
            self._told = self._just_told = range(before, len(self._out))
            if all(s.question in OF_IT or s.question == GAUGE_THEN for s in said):
                self._only_of_it.append((whole, self._told))
        # 'idle was fine' takes no others with it, nor does 'as power went up'
        if any(is_amiss(self._bench, s) and s.question not in OF_IT for s in said):
            self._last = list(range(before, len(self._out)))
        a_level = self._compare(clause)
        changed = is_change(clause.text)
        if changed and all(s.question == ONSET for s in said):
            self._fed.put_on(clause)
        if not said and others is None and not says_only_in_vain(clause):
            if not (a_level or changed or self._levels.asks_for_a_level):
                self._lend_what_fed(clause)
            if not self._levels.asks_for_a_level:
                (self._half_heard if a_level else self.silent).append(whole)
        elif only_a_name(said, clause):
            self._half_heard.append(whole)
        if others is not None:
            self._out += of_others(self._bench, self._out, self._last, others)
            self._last = []

    def _told_again(self, clause: Clause, here: tuple[Named, ...]) -> bool:
        """Keep what was told last of the part a clause says 'same' of; return whether it does."""
        last = [self._out[k] for k in self._just_told]
        again = same_there(self._bench, self.where, clause, here, last)
        if again:
            self._just_told = self._told = range(len(self._out), len(self._out) + len(again))
            self._out += again
        return bool(again)

    def _of_what_was_amiss(
        self, said: list[Suggestion], clause: Clause, here: tuple[Named, ...]
    ) -> tuple[list[Suggestion], Clause]:
        """Return what a clause says that goes on about what was amiss before, and that clause."""
        rest = self.where.without(without_feeding(clause.rest), here)
        left = replace(clause, rest=rest)
        if not any(s.value or s.negated for s in said):
            well = came_right(self._bench, left, self._amiss)
            worse, tried = self._in_vain(left) if not well else ([], clause)
            return (well or worse or said), (tried if worse else clause)
        if says_only_in_vain(left):
            worse, tried = self._in_vain(left)
            return worse, (tried if worse else clause)
        engine = bool({"engine", "engines"}.intersection(clause.text.split()))
        if here and not engine and all(self._may_be_of_what_was_amiss(s) for s in said):
            return came_right(self._bench, left, self._amiss) or said, clause
        return said, clause

    def _may_be_of_what_was_amiss(self, s: Suggestion) -> bool:
        """Return whether 'well' of an engine hardly named may be said of the instrument amiss.

        'Pressure low on no. 3, which runs well; nos. 1 and 2 steady'.
        """
        read = self._amiss[-1] in Vocabulary.of(self._bench).read
        engine = s.question == IMPLIED and IMPLIED not in self._amiss
        return read and engine and s.value == usual(self._bench, s)

    def _without_what_fed(self, clause: Clause) -> Clause:
        """Hold the tank a clause says fed, and blank it where the clause speaks of an engine."""
        self._fed.take(clause, self.where.of(IMPLIED, self._named or self._of_amiss))
        # 'faded on left, fine on the right tank' goes on about the engine
        of_engine = (
            self._amiss
            or is_of_a_run(clause)
            or begins(clause, Vocabulary.of(self._bench)) is not None
        )
        if self._subjects or of_engine:
            return replace(clause, rest=without_feeding(clause.rest))
        return clause

    def _lend_what_fed(self, clause: Clause) -> None:
        """Lend the tank of a clause that tells nothing else to what was told just before it.

        'Engine cut on base leg, right tank selected', or '... Right tank was selected.'
        """
        rest = without_feeding(clause.rest)
        fed = self._fed.settings
        if not fed or rest == clause.rest or not set(rest.split()) <= FILLERS | {SELECTOR}:
            return
        for k in range(self._begun, len(self._out)) or self._last:
            s = self._out[k]
            if s.question and "tank" not in s.state.settings:
                settings = {**s.state.settings, **fed}
                state = state_of(self._bench, s.question, s.state.stage, settings)
                self._out[k] = replace(s, state=state)

    def _heard(self, clause: Clause, here: tuple[Named, ...]) -> list[Suggestion]:
        """Return what the words of a clause say, of a name left hanging before it as well."""
        vocabulary = Vocabulary.of(self._bench)
        before, self._hanging = self._hanging, clause if only_names(clause, vocabulary) else None
        names = self.where.names(clause.text, here)
        said, subjects = heard_in(clause, vocabulary, self._subjects, names, self._left_out)
        not_meant = [(s.question, s.phrase) for s in said if not self._may_be(s, said, clause)]
        if not_meant:  # what overlaps it is heard then
            heard = clause, vocabulary, self._subjects, names, self._left_out, not_meant
            said, subjects = heard_in(*heard)
        self._subjects = subjects
        also = said_of_both(before, clause, vocabulary) if before else None
        if also:
            more, subjects = heard_in(also, vocabulary, frozenset(), {}, self._left_out)
            said, self._subjects = [*more, *said], self._subjects | subjects
        said = self._of_the_name_added(said, clause)
        self._standing.take(said, clause)
        said = [self._standing.as_read(s, clause) for s in said]
        self._subjects = frozenset(self._standing.twin(q, clause) for q in self._subjects)
        self.unclear |= {s.phrase for s in said if self._named}
        return said

    def _of_the_name_added(self, said: list[Suggestion], clause: Clause) -> list[Suggestion]:
        """Return what the clause before, of which nothing was heard, says of a name in this one."""
        vocabulary = Vocabulary.of(self._bench)
        if not self.silent or any(s.value for s in said):
            return said
        whole = named_late(self.silent[-1], clause, vocabulary)
        late = heard_in(whole, vocabulary, frozenset(), {}, self._left_out)[0] if whole else []
        if not any(s.value for s in late):
            return said
        self.silent.pop()
        return late

    def _with_figures(self, said: list[Suggestion], clause: Clause) -> list[Suggestion]:
        """Return what was said with the figures read; the bare name of what was read goes."""
        classed = {s.question for s in said if s.value}
        subjects = {
            self._standing.twin(q, clause) for q in read_in(self._bench, clause, self._subjects)
        }
        figures = figures_said(self._bench, clause, subjects, classed)
        read = {f.question for f in figures}
        return [s for s in said if s.value or s.negated or s.question not in read] + figures

    def _place(self, clause: Clause) -> tuple[Named, ...]:
        """Return the places a clause names, and hold them for those after it."""
        meant = without_goal(clause.text)
        here = self.where.named(meant)
        fed = self.where.named(without_feeding(meant))
        # 'no. 1 pressure low on port middle, ok on port inner' goes on about no. 1
        # 'selected inner, both ran sweet' goes on about the engines told of before
        # 'nil on no. 1, 8 psi on no. 3' goes from gauge to gauge
        # 'pump silent.  Pressure nil on no. 1' leaves the pump for the gauge
        goes_on = self._named or (self._of_amiss and self._amiss_of_engine())
        if here and (fed or not goes_on or self._from_gauge_to_gauge()):
            self._on_it = self._on_it if clause.joined and self._is_all(clause, here) else not fed
            self._named = here
            if clause.joined:
                self._named = tuple(dict.fromkeys((*self._listed, *here)))
        self._before = here or self._before
        is_all = bool(here) and self._is_all(clause, here)
        self._listed = self._named if is_all else ()
        self._and_there = is_all and clause.joined
        return here

    def _is_all(self, clause: Clause, here: tuple[Named, ...]) -> bool:
        """Return whether a clause tells nothing but places, or those and a run state behind 'and'.

        'Low on no. 1 and no. 2 at the run-up'.
        """
        if self.where.is_all(clause.text, here):
            return True
        left = self.where.without(clause.rest, here).split()
        return clause.joined and clause.own and set(left) <= FILLERS

    def _amiss_of_engine(self) -> bool:
        """Return whether anything amiss so far is asked of an engine, and not of a pump or tank."""
        questions = self._bench.library.questions
        return any("engine" in questions[q].at for q in self._amiss)

    def _from_gauge_to_gauge(self) -> bool:
        """Return whether what was told last was read off a gauge named behind an 'on'."""
        last = [self._out[k] for k in self._just_told]
        read = Vocabulary.of(self._bench).read.keys() - {IMPLIED}
        return self._on_it and bool(last) and all(s.question in read for s in last)

    def _may_be(self, s: Suggestion, said: Iterable[Suggestion], clause: Clause) -> bool:
        """Return whether what asks about the trouble can be told by such a clause."""
        no_stick = by_the_gauge(clause.text, s.phrase) or comes_out_of_it(clause.text, s.phrase)
        if s.question == DIPPED and no_stick:
            return False  # 'gauge showed the right tank half full' was not dipped
        if s.question == RAN_WELL and self._is_no_running(clause):
            return False
        if IMPLIED not in self._amiss and is_leak_that_stopped(s, clause.text, self._amiss):
            return False
        well = any(
            x.value == usual(self._bench, x) for x in said if x.question in (IMPLIED, *self._amiss)
        )
        if s.question in OF_IT and well and self._amiss:  # 'recovered when the nose went down'
            return False
        return s.question != ONSET or is_onset(s, clause.text, after=bool(self._amiss))

    def _is_no_running(self, clause: Clause) -> bool:
        """Return whether a time is that of standing, or runs from a change told after another."""
        told = any(s.question == RAN_WELL and s.value for s in self._out)
        onset = any(s.question == ONSET for s in self._out[self._begun :])
        return tells_standing(clause.text) or (told and onset)

    def _keep(self, said: list[Suggestion], clause: Clause) -> None:
        """Keep what a clause said, each with its place and its state."""
        named = self._named
        if not named and said and {s.question for s in said} <= {*self._amiss}:
            named = self._of_amiss  # 'port engine surged.  Steady with the pump on'
        vocabulary, tanks = Vocabulary.of(self._bench), self.where.of(CONTENTS, named)
        said = [of_which_gauge(s, clause.text, vocabulary, tanks, self._out) for s in said]
        if all(s.question == IMPLIED for s in said):
            self._fed.of_the_tank_named(self.where.named(clause.text))
        settings = {**self._fed.settings, **self._standing.settings(clause)}
        self._told_of = named if said else self._told_of
        if not named:
            self._after |= {s.phrase: self._before for s in said}
        standing = replace(clause, stage=self._standing.stage(clause))
        for s in said:
            amiss = is_amiss(self._bench, s) or may_be_amiss(s)
            if amiss and s.question not in OF_IT:
                self._amiss, self._of_amiss = (*self._amiss, s.question), named
            one_of = self.where.one_of(s.question, clause.text)
            places = () if one_of else s.places or self.where.of(s.question, named)
            stage = stage_of(self._bench, s.question, standing) or s.state.stage
            fed = self._fed.of_side(settings, places, clause)
            state = state_of(self._bench, s.question, stage, fed)
            among = () if places or one_of else self.where.among(s.question, named)
            kept = replace(s, state=state, places=places, one_of_places=one_of, among=among)
            self._out.append(kept)

    def _in_vain(self, clause: Clause) -> tuple[list[Suggestion], Clause]:
        """Return what was amiss last as it stayed in what was tried in vain, and that clause."""
        found = in_vain(clause, self._fed.settings)
        if found is None:
            return [], clause
        words, tried = found
        library, out = self._bench.library, []
        for s in (self._out[k] for k in self._last):
            matters = library.effect_of(s.question).depends_on
            if s.question not in OF_IT and not {*tried, "power"}.isdisjoint(matters):
                out.append(replace(s, phrase=words, others_normal=False))
        return out, replace(clause, settings=tried)

    def _compare(self, clause: Clause) -> bool:
        """Hold a gauge and a stick told in this sentence or the last against each other.

        Return whether the clause told a level.
        """
        a_level, compared = self._levels.take(clause)
        asked = self._bench.library.questions.get(CONTENTS)
        for more, words in compared if asked else ():
            places = self.where.of(CONTENTS, self._named)
            self._held += words.split(", ")
            if asked and not any(
                s.question == CONTENTS and s.value and s.places == places for s in self._out
            ):
                value = BY_STICK[more]
                self._out.append(
                    Suggestion(words, asked.classes[value], CONTENTS, value, places=places)
                )
        return a_level

    def beside(self, s: Suggestion, places: tuple[str, ...]) -> tuple[str, ...]:
        """Return ``places`` unless what was named last before ``s`` lies on another side.

        'Left gauge stuck. No. 2 faded. Hiss at the cap': the only tank named is not the one meant.
        """
        parts = self._bench.layout.parts
        before = self._after.get(s.phrase, ())
        engines = self.where.of(IMPLIED, before)
        last = {parts[p].side for p in (*engines, *(p for n in before for p in n.parts))} - {""}
        here = {parts[p].side for p in places} - {""}
        return () if last and here and last.isdisjoint(here) else places

    def said_once(self) -> Iterable[Suggestion]:
        """Return all that was heard, each once, without what speaks of a trouble nobody told."""
        self._end_sentence()
        once = told_once(self._bench, self._out, self._amiss)
        said = tuple(with_what_they_say_more(self._bench, once))
        # 'after 20 minutes' tells nothing where no trouble was heard: its clause is not understood
        for_nothing = [
            c for c, told in self._only_of_it if not any(self._out[k] in said for k in told)
        ]
        for c in (*for_nothing, *self._half_heard):
            if c not in self.silent and not any(held in c.text for held in self._held):
                self.silent.append(c)
        return said
