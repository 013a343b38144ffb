"""What a failure mode alone gives, row by row, for its card: how often, by severity and state."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from diagnose.job.diagnosis import Bench
from diagnose.model import GRADES, Cause, Produces
from diagnose.paper.blocks import Para


def gives(bench: Bench, cause: Cause) -> Iterator[list[Para]]:
    """Yield blocks of what the mode alone gives, an effect after the other."""
    head = [Para("What it gives, alone (how often, by severity)", "sub")]
    by: dict[tuple[str, str], dict[str, list[Produces]]] = {}
    for row in filter(lambda r: _shows_here(bench, cause, r), cause.produces):
        by.setdefault((row.effect, row.at), {}).setdefault(row.value, []).append(row)
    for (effect, at), values in by.items():
        title = bench.library.effects[effect].title
        told = "; ".join(
            f"{_value_words(bench, effect, value)} "
            f"({'; '.join(_row(r) for r in _of_one_state(rows))})"
            for value, rows in values.items()
        )
        head.append(Para(f"{title}, {where(at)}: {told}", "item", "\u2022"))
    if len(head) > 1:
        half = (len(head) + 1) // 2 if len(head) > 10 else len(head)
        yield head[:half]
        if head[half:]:
            yield head[half:]
    shows = []
    for d in cause.distorts:
        q = bench.library.questions[d.question]
        state = f" ({d.conditions()})" if d.when else ""
        by_class: dict[str, list[str]] = {}
        for grade, table in d.tables():
            for sound, shown_as in table.items():
                rates = [(q.classes[c], 100 * p) for c, p in shown_as.items() if p >= 0.05]
                likely = ", ".join(f"{name} {p:.0f} %" for name, p in rates)
                said_of = f"{_GRADE_WORDS.get(grade, '')} {likely}".strip()
                by_class.setdefault(sound, []).append(said_of)
        for sound, rates_of in by_class.items():
            said = f"{q.title}{state}: truly '{q.classes[sound]}', shown {'; '.join(rates_of)}"
            shows.append(Para(said, "item", "\u2022"))
    if shows:
        yield [Para("What the instrument shows then", "sub"), *shows]


def _shows_here(bench: Bench, cause: Cause, row: Produces) -> bool:
    """Return whether the row holds for a part of this layout, and something on it reads it."""
    places = bench.places
    parts = [p for p in places.parts_of_kind(cause.part_kinds) if places.allows(cause, p)]
    return any(places.reach(row, p, {}) for p in parts) and any(
        q.reads == row.effect and places.allows(q, at)
        for q in bench.library.questions.values()
        for at in places.parts_of_kind(q.at)
    )


def _value_words(bench: Bench, effect: str, value: str) -> str:
    """Return a value as the answer that tells it reads, where it is called as the answer is.

    A 'yes' answers its question, and may be a 'no' to the title of the effect.
    """
    for q in bench.library.questions.values():
        said = q.classes.get(value, "").partition(": ")[0] if q.reads == effect else ""
        if said and said.split(",")[0] not in ("yes", "no"):
            return said
    return value.replace("-", " ")


def _of_one_state(rows: Iterable[Produces]) -> Iterator[Produces]:
    """Yield ``rows``, those of the same state as one: of each grade the likeliest counts there."""
    same: dict[frozenset[tuple[str, object]], list[Produces]] = {}
    for row in rows:
        held = frozenset({**row.when, **row.only_if}.items())
        same.setdefault(held, []).append(row)
    for alike in same.values():
        most = {g: max(alike, key=lambda r: r.how_often.get(g, -1.0)) for g in GRADES}
        most = {g: r for g, r in most.items() if g in r.how_often}
        yield replace(
            alike[0],
            how_often={g: r.how_often[g] for g, r in most.items()},
            said={g: r.said.get(g, "") for g, r in most.items()},
        )


def _row(row: Produces) -> str:
    rates = {g: _often(row.said.get(g, ""), p) for g, p in row.how_often.items()}
    if len({*rates.values()}) == 1 and len(rates) == len(GRADES):
        often = next(iter(rates.values()))
    else:
        often = ", ".join(f"{_GRADE_WORDS[g]} {w}" for g, w in rates.items())
    when = row.conditions()
    return f"{often} [{when}]" if when else often


_GRADE_WORDS = {"slight": "slight:", "half": "half-grown:", "severe": "severe:"}
_OFTEN_WORDS = {"half": "half the time"}


def _often(said: str, chance: float) -> str:
    """Return a frequency as people say it: the expert's word, or how many of a hundred."""
    word = said.replace("-", " ")
    return _OFTEN_WORDS.get(word, word) if word[:1].isalpha() else f"{100 * chance:.0f} %"


def where(relation: str) -> str:
    """Return a relation in words, as seen from the part that fails."""
    return "there" if relation == "itself" else relation.replace("-", " ")
