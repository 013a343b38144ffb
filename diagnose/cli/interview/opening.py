"""Opening an interview: consent first, then who speaks, then the first question."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

from diagnose.capture.asking import Ground
from diagnose.capture.record import Interview, folder
from diagnose.cli.interview.differing import seed_lines
from diagnose.cli.interview.read_back import read_back_with
from diagnose.cli.interview.session import Session
from diagnose.cli.job.start import ask_layout
from diagnose.cli.job.talk import Again, Paused, Talk, in_words
from diagnose.cli.loading import bench_at, layout_at, library_at
from diagnose.cli.room import wrap
from diagnose.counted import whole_number
from diagnose.errors import UsageError
from diagnose.knowledge_files.seeds import read_seeds

CONSENT = (
    "What is said is kept word for word with role and initials, no name. Drafts of rules are made "
    "of it; a second person reviews them. It can be stopped at any time."
)
_MOST_INITIALS = 4
_LONGEST_TRADE = 60


def start(root: Path, layout: str, of: str = "") -> None:
    """Begin an interview, or a blind one on the frequency questions of the interview ``of``."""
    talk = Talk()
    place = folder()
    first = Interview.find_whole(place, of) if of else None
    if layout:
        layout_at(root, layout)  # a layout that is none is told before anything is asked
    try:
        opened = _opened(talk, root, layout, first)
    except Paused:
        talk.say("Nothing is kept.")
        return
    if not opened:
        talk.say("Without consent nothing is kept.")
        return
    interview = Interview.open(place, date.today().isoformat(), **opened)
    talk.say(f"Interview {interview.name}. Every answer is on disk before the next question.")
    talk.say("Enter leaves a question out; 'cannot say', 'back', 'said', 'pause', 'help'.")
    go_on(root, interview)


def _opened(talk: Talk, root: Path, layout: str, first: Interview | None) -> dict[str, str]:
    """Return what is agreed and known before the first question; {} without consent."""
    talk.say(wrap(CONSENT))
    if not talk.yes("Does the expert agree?"):
        return {}
    opened = {"form": "interview", "consent": "yes, asked before anything was kept"}
    if first is not None:
        told = first.log.events[0]
        opened |= {"form": "blind", "answers": first.name, "layout": str(told["layout"])}
    else:
        opened["layout"] = layout or ask_layout(talk, root)
    taken = {str(first.log.events[0]["by"]): "gave the interview"} if first is not None else {}
    asks: tuple[tuple[str, str, Callable[[], Callable[[str], str]]], ...] = (
        ("interviewer", "Interviewer's initials?", lambda: initials_but(taken)),
        (
            "by",
            "Expert's initials?",
            lambda: initials_but({**taken, said["interviewer"]: "asks the questions"}),
        ),
        ("role", "Trade, as 'licensed engineer, retired'?", lambda: _trade),
        ("years", "Years at it?", lambda: _years),
        (
            "kinds",
            "On what kinds of fuel system (no types, no names)?",
            lambda: in_words("the kinds of system"),
        ),
    )
    said: dict[str, str] = {}
    going_back = Talk({"back": _back})
    while len(said) < len(asks):
        key, prompt, reader = asks[len(said)]
        try:
            said[key] = going_back.ask(prompt, reader())
        except Again:
            if said:
                said.popitem()
    opened |= said
    opened["edition"] = library_at(root).edition
    return opened


def _back(_: str) -> None:
    """Ask the question before this one again; nothing is kept before the last is answered."""
    raise Again


def go_on(root: Path, interview: Interview) -> None:
    """Ask what is left, and say what comes after it."""
    opened = interview.log.events[0]
    library = library_at(root)
    bench = bench_at(root, str(opened["layout"]))
    first = Interview.find(folder(), interview.of).told() if interview.of else None
    (first or interview.told()).must_fit(library)
    ground = Ground(bench, read_seeds(root, library), first)
    talk = Talk()
    if opened["edition"] != library.edition:
        talk.say(f"Begun with knowledge {opened['edition']}, now {library.edition}.")
    session = Session(interview, ground, read_back_with(root, interview, ground))
    if session.run():
        talk.say(["", "Nothing is left to ask. 'diagnose interview show' prints it word for word."])
        talk.say(seed_lines(interview, ground.seeds))
        after = (
            f"diagnose interview differ {interview.of}"
            if interview.of
            else f"diagnose interview draft {interview.name} --out DIR"
        )
        talk.say(f"Next: {after}")


def initials_but(taken: dict[str, str]) -> Callable[[str], str]:
    """Return what reads initials that are not those of somebody else here."""

    def read(text: str) -> str:
        found = "".join(c for c in text if c.isalpha()).upper()
        if not 2 <= len(found) <= _MOST_INITIALS or " " in text.strip():
            raise UsageError(f"'{text}' are no initials; type two to four letters, no name.")
        if found in taken:
            raise UsageError(f"{found} {taken[found]}; another person is needed here.")
        return found

    return read


def _trade(text: str) -> str:
    """Return a trade as it stands behind the initials in every draft: no story."""
    if len(text) > _LONGEST_TRADE:
        raise UsageError("that is more than a trade; say it in a few words, the story comes next.")
    return in_words("the trade")(text)


def _years(text: str) -> str:
    if not 0 < (whole_number(text) or 0) < 90:
        raise UsageError(f"'{text}' is no number of years; type it in figures, as 35.")
    return text
