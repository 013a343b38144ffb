"""``diagnose interview review``: a second person, draft by draft, with all that bears on it."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from functools import cached_property
from pathlib import Path

from diagnose.capture.accepting import (
    accept,
    base_of,
    check_target,
    reviewed_text,
)
from diagnose.capture.drafting import Draft
from diagnose.capture.folder import Folder, read_folder, stale
from diagnose.capture.moves import invented_cases
from diagnose.capture.overlay import ONE_WORD, Laid, digest, is_in, laid_over
from diagnose.capture.record import Interview, folder
from diagnose.cli.interview.evidence import (
    Linted,
    differ_lines,
    move_lines,
    present_lines,
    words_said,
)
from diagnose.cli.interview.opening import initials_but
from diagnose.cli.interview.printable import reworded
from diagnose.cli.job.talk import Paused, Talk, pause
from diagnose.cli.room import wrap
from diagnose.errors import KnowledgeError, UsageError
from diagnose.grammar import number_of
from diagnose.job.answers import nothing
from diagnose.job.keeping.log import Event
from diagnose.knowledge_files import case_folders, load_library
from diagnose.model import Case, Layout, Library

REWORD = "reworded"
VERDICTS = {
    "accept": "accepted", "send back": "sent-back", "refuse": "refused", "later": "",
    "reword": REWORD,
}  # fmt: skip
CHOICES = "accept, reword, send back, refuse, or later"
HELP = """\
  accept      it goes into your folder        reword   say one of its texts in other words
  send back   he is to be asked again; why    refuse   it is not to be drafted so; why
  later       leave it undecided              pause    leave; what was decided is kept"""


def review(root: Path, name: str, drafts: Path, into: Path) -> None:
    """Go through the drafts in the folder ``drafts`` and write what is accepted into ``into``."""
    interview = Interview.find_whole(folder(), name)
    made = read_folder(drafts)
    if made.interview != name:
        raise UsageError(f"the drafts in '{drafts}' are of interview {made.interview}.")
    check_target(into, root)
    talk = Talk()
    talk.commands = {
        "help": lambda _: talk.say(HELP),
        "?": lambda _: talk.say(HELP),
        "pause": pause,
    }
    try:
        # what was made of it is reviewed by a second person
        taken = {str(interview.log.events[0]["by"]).upper(): "gave the interview"}
        by = talk.ask("Reviewer's initials?", initials_but(taken))
        _Review(talk, root, interview, made, into, by).run()
    except Paused:
        talk.say("Left. What was decided is kept; the same command goes on.")


class _Review:
    """One sitting of a reviewer."""

    def __init__(
        self, talk: Talk, root: Path, interview: Interview, made: Folder, into: Path, by: str
    ) -> None:
        self.talk, self.root, self.interview, self.made = talk, root, interview, made
        self.into, self.by = into, by
        self.linted = Linted()

    @cached_property
    def _cases(self) -> list[tuple[Case, Layout]]:
        """Return the invented cases, read once; a draft takes nothing away that they speak of."""
        return invented_cases(case_folders(self.root), self.root, load_library(self.root))

    def run(self) -> None:
        """Go through every draft that has no verdict as it stands."""
        waiting = [d for d in self.made.drafts if self._waits(d)]
        for k, draft in enumerate(waiting, start=1):
            self.talk.say(
                ["", f"=== draft {k} of {len(waiting)}: {draft.id}.yaml, {draft.kind} ==="]
            )
            self._one(draft)
        verdicts = self.interview.verdicts()
        for d in self.made.drafts:
            found = verdicts.get(d.id)
            said = str(found["verdict"]) if found else "not decided"
            if found and found["digest"] != digest(d.text):
                said = f"not decided as it stands; {said} in another wording"
            self.talk.say(f"  {d.id}: {said}")
        self._what_next(verdicts)
        if self.made.left:
            left = number_of(len(self.made.left), "answer")
            self.talk.say(f"Left open: {left}, in drafts.yaml.")

    def _what_next(self, verdicts: Mapping[str, Event]) -> None:
        """Say what becomes of what was accepted, and of what was sent back."""
        if any(v["verdict"] == "accepted" for v in verdicts.values()):
            self.talk.say(
                f"Accepted drafts are in {self.into}. Use it with: "
                f"diagnose --knowledge {self.into} job new"
            )
            self.talk.say(f"Prove it with: diagnose --knowledge {self.into} lint")
        if any(v["verdict"] == "sent-back" for v in verdicts.values()):
            again = f"diagnose interview resume {self.interview.name}"
            self.talk.say(f"Sent back: ask him anew with '{again}' ('correct N'), then draft")
            self.talk.say(f"again: diagnose interview draft {self.interview.name} --out NEW-DIR")

    def _waits(self, draft: Draft) -> bool:
        """Return whether ``draft`` has no verdict as it stands, or was accepted into elsewhere."""
        last = self.interview.verdicts().get(draft.id)
        if last is None or last["digest"] != digest(draft.text):
            return True
        return last["verdict"] == "accepted" and not is_in(self.into, draft)

    def _one(self, draft: Draft) -> None:
        base = base_of(self.into, self.root)
        laid = laid_over(base, [draft], self.made.sources, str(self.made.path))
        before = self.interview.verdicts().get(draft.id)
        if before is not None:
            self.talk.say(
                wrap(f"Before: {before['verdict']} by {before['by']}. {before['reason']}")
            )
        self._show(draft, base)
        why_not = stale(self.made, draft, base)
        after: Library | None = None
        try:
            after = laid.library()
        except KnowledgeError as error:
            self.talk.say("It cannot be loaded:")
            self.talk.say([f"  {p}" for p in error.problems])
            why_not = why_not or "it cannot be loaded"
        if after is not None:
            broken = self.linted.added(base, load_library(base).edition, laid)
            self.talk.say("Lint, with the draft laid over the knowledge:")
            self.talk.say([f"  {line}" for line in broken] or ["  clean"])
            if broken:
                why_not = why_not or "lint finds what was not there before"
            now = load_library(base)
            self.talk.say(move_lines(self._cases, base, now, after, draft, self.made))
        if self._decide(draft, laid, why_not):
            if after is None:
                self.talk.say("  It cannot be loaded; mend the file by hand.")
                return
            where = self.made.drafts.index(draft)
            self.made = reworded(
                self.talk, self.interview, self.made, draft, load_library(base), after, self.by
            )
            self._one(self.made.drafts[where])

    def _show(self, draft: Draft, base: Path) -> None:
        talk = self.talk
        talk.say("Said, word for word:")
        talk.say(words_said(self.interview, draft.entries))
        file = base / f"{draft.id}.yaml"
        if file.is_file():
            old = file.read_text(encoding="utf-8")
            talk.say("Against what the knowledge says now (- now, + with it):")
            changes = difflib.unified_diff(
                old.splitlines(), draft.text.splitlines(), lineterm="", n=1
            )
            talk.say([f"  {line}" for line in list(changes)[2:]])
        else:
            talk.say("New in the knowledge:")
            talk.say([f"  {line}" for line in draft.text.splitlines()])
            talk.say(present_lines(load_library(base), draft))
        talk.say(differ_lines(self.interview, draft))

    def _decide(self, draft: Draft, laid: Laid, why_not: str) -> bool:
        """Ask for the verdict and keep it; return whether it is to be said in other words first."""
        talk = self.talk
        if why_not:
            file = self.made.path / f"{draft.id}.yaml"
            talk.say(
                wrap(f"It is not written: {why_not}. Reword it, send it back, refuse it, or leave "
                     f"it: mended by hand in {file}, it is shown again.")
            )  # fmt: skip

        def read(text: str) -> str:
            word = text.lower().strip()
            meant = [verdict for name, verdict in VERDICTS.items() if word in (name, name[0])]
            if not meant:
                said = f"'{text}': " if text else ""
                raise UsageError(f"{said}type {CHOICES}.")
            if meant == ["accepted"] and why_not:
                raise UsageError(
                    f"it cannot be accepted: {why_not}. Reword it, send it back or refuse it."
                )
            return meant[0]

        verdict = talk.ask(f"{CHOICES}:", read)
        if not verdict or verdict == REWORD:
            return bool(verdict)
        reason = talk.ask(
            "Why? (a sentence)" if verdict != "accepted" else "Remark (Enter: none)",
            _sentence if verdict != "accepted" else str,
        )
        licensed = ""
        if verdict == "accepted":
            licensed = self._licence(draft)
            if licensed and draft.kind != "changed cause":
                text = reviewed_text(draft.text, self.by, date.today().isoformat())
                draft = replace(draft, text=text)
                laid = laid_over(base_of(self.into, self.root), [draft], self.made.sources)
            for path in accept(laid, self.made, self.into, self.root):
                talk.say(f"  written: {path}")
        digested = next(d for d in self.made.drafts if d.id == draft.id).text
        more = {"licence": licensed} if licensed else {}
        self.interview.log.append(
            "reviewed",
            draft=draft.id,
            digest=digest(digested),
            verdict=verdict,
            by=self.by,
            reason=reason,
            into=str(self.into.name),
            licensed=bool(licensed),
            **more,
        )
        return False

    def _licence(self, draft: Draft) -> str:
        """Return the licence under which it is reviewed, '' where it stays UNREVIEWED."""
        talk = self.talk
        if draft.id.startswith(ONE_WORD):
            return ""
        text = talk.ask(
            "Reviewed as a licensed person? Type the licence; Enter: no, it stays UNREVIEWED:",
            _licence_typed,
        )
        if text and draft.kind == "changed cause":
            stays = "The file itself stays a draft: the rest of it was not reviewed with it."
            talk.say(wrap(f"Kept in the record. {stays}", "  "))
        return text


def _licence_typed(text: str) -> str:
    """Return the licence typed, '' for none; a bare yes names none, and nothing is reviewed by it.

    A licence has a number; without one 'none needed' would make a draft reviewed.
    """
    if nothing(text) or text in ("-", "n"):
        return ""
    if not any(c.isdigit() for c in text):
        raise UsageError(f"'{text}' is no licence; type it with its number, or Enter for none.")
    return text


def _sentence(text: str) -> str:
    if len(text.split()) < 3:
        raise UsageError("say in a sentence why; who drafts it anew goes by it.")
    return text
