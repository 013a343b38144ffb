"""Checks in full behind the fault-finding table: what each result means, and the remedy there.

The remedy of a cause stands once, at the check by which the table settles it; another check that
finds it sends there.  The cautions stand once, on a sheet of their own that goes along to the
aeroplane; each check names those that are read before it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from diagnose.by_key import by_key
from diagnose.chart.checks import (
    LEAK_CHECK,
    before_mending,
    first_read,
    how_checked,
    how_long,
    known_before,
    needs_to_prove,
)
from diagnose.chart.labels import cautions, printable
from diagnose.chart.table import FaultTable
from diagnose.job.diagnosis import Bench
from diagnose.job.elsewhere import as_fitted
from diagnose.job.gates import need_of_check
from diagnose.job.wording import hazards_of_mending
from diagnose.model import Cause, CauseAt
from diagnose.paper.blocks import Block, Para, Part, page_of, reference

SMALL, LARGE = 0.87, 1.2
"""Sizes of the letters of the table with its checks, and of the cautions that go along."""

CUT = 10.0
"""A subject or a check lower than this is not cut [mm]."""


@dataclass(frozen=True)
class CheckSheets:
    """The checks that a table names, numbered in the order in which they are printed.

    number: of each check.  home: the check at which the remedy of a cause stands, '' where none
    settles it.  card: the number of the card of every cause.
    """

    number: Mapping[str, int]
    home: Mapping[str, str]
    card: Mapping[str, int]

    @property
    def cautions_at(self) -> int:
        """Return the number of the block of cautions."""
        return len(self.number) + 1

    def cautions(self, bench: Bench) -> Block:
        """Return all cautions and lists that the checks and remedies ask for."""
        checks = [bench.library.checks[c] for c in self.number]
        mended = [bench.library.causes[c] for c in self.home]
        hazards = [h for c in checks for h in c.hazards]
        hazards += [h for c in mended for h in hazards_of_mending(bench, c)]
        needs = (*map(need_of_check, checks), *needs_to_prove(mended))
        head = Para("Cautions and lists: take this sheet along to every check", "head")
        told = Para("Each check names those that are read before it, and those that are read "
                    "before anything is mended and before that is proved.")  # fmt: skip
        paras = (head, told, *cautions(bench, hazards), *known_before(bench, needs))
        return Block(paras, self.cautions_at, heavy=True, scale=LARGE)

    def blocks(self, bench: Bench) -> tuple[Block, ...]:
        """Return every check in full."""
        each = [self._block(bench, check) for check in self.number]
        unsettled = [
            Para(f"{self._titled(bench, cause)} {_remedy(bench, cause)}", "answer", "\u25a1")
            for cause, check in self.home.items()
            if not check
        ]
        if unsettled:
            head = Para("No check here settles these: hand over, with what mends them", "head")
            again = (Para("No check here settles these, continued", "head"),)
            careful = self._careful(bench, "", ())
            paras = printable((head, *careful, *unsettled))
            each.append(Block(paras, about=self.cautions_at, again=again, scale=SMALL))
        return tuple(each)

    def over(self, here: Sequence[Part]) -> tuple[Block, ...]:
        """Return what stands over the checks of one sheet."""
        if not any(p.about for p in here):
            return ()
        said = Para(f"BEFORE EACH CHECK read what it names of the cautions and lists on page "
                    f"{page_of(self.cautions_at)}; take that sheet along.", "warn")  # fmt: skip
        return (Block((said,), heavy=True),)

    def _mended_at(self, bench: Bench, check: str) -> list[Cause]:
        """Return the causes whose remedy stands at ``check``."""
        return [bench.library.causes[c] for c, at in self.home.items() if at == check]

    def _block(self, bench: Bench, check_id: str) -> Block:
        """Return one check: cautions first, what each result means, close-out."""
        check, number = bench.library.checks[check_id], self.number[check_id]
        careful = self._careful(bench, check_id, check.hazards)
        paras = [Para(f"{number}  {check.title} ({how_long(check)})", "head")]
        paras += first_read(bench, check.hazards, need_of_check(check), "")
        paras += _run_in(how_checked(check))
        first, *others = check.results
        found = _found_by(bench, check_id)
        if first not in found:
            clear = f"{check.results[first]}: next cause of the line"
            paras.append(Para(clear, "answer", "\u25a1"))
        paras += careful
        told: set[str] = set()
        for causes, results in by_key((causes, r) for r, causes in found.items()).items():
            means = " ".join(self._means(bench, c, check_id, c in told) for c in causes)
            told.update(causes)
            said = "; or ".join(check.results[r] for r in results)
            paras.append(Para(f"{said}: {means}", "answer", "\u25a1"))
        silent = "; or ".join(check.results[r] for r in others if r not in found)
        if silent:
            paras.append(Para(f"{silent}: write it down; go on", "answer", "\u25a1"))
        paras.append(Para(f"Close-out: {check.close_out or LEAK_CHECK}"))
        again = (Para(f"{number}, continued", "head"), *careful)
        return Block(printable(paras), number, number, again=again, scale=SMALL, whole=CUT)

    def _careful(self, bench: Bench, check: str, read: Collection[str]) -> tuple[Para, ...]:
        """Return what is minded before what is found at ``check`` is mended, but for ``read``."""
        mended = self._mended_at(bench, check)
        hazards = dict.fromkeys(h for c in mended for h in hazards_of_mending(bench, c))
        more = [h for h in hazards if h not in read]
        return tuple(before_mending(bench, more, needs_to_prove(mended), ""))

    def _means(self, bench: Bench, cause: str, check: str, told: bool) -> str:
        title = self._titled(bench, cause)
        home = self.home.get(cause)
        if told:
            return f"{title} As above."
        if home == check:
            return f"{title} {_remedy(bench, cause)}"
        return f"{title} Remedy at {reference(self.number[home])}." if home else title

    def _titled(self, bench: Bench, cause: str) -> str:
        return f"{bench.library.causes[cause].title.upper()} (card {self.card[cause]})."


def _remedy(bench: Bench, cause: str) -> str:
    return as_fitted(bench, CauseAt(cause, bench.parts_of(cause)[0])).rectify


def check_sheets(bench: Bench, table: FaultTable, card: Mapping[str, int]) -> CheckSheets:
    """Return the checks that ``table`` names, those with like cautions next to each other."""
    home: dict[str, str] = {}
    for entry in (*table.findings, *table.symptoms):
        for c in entry.causes:
            if not home.get(c.cause):
                home[c.cause] = c.check
    used = {c.check for e in (*table.findings, *table.symptoms) for c in e.causes if c.check}
    checks = bench.library.checks
    order = sorted(used, key=lambda c: (need_of_check(checks[c]), sorted(checks[c].hazards), c))
    return CheckSheets({check: k for k, check in enumerate(order, 1)}, home, card)


def _run_in(paras: Iterable[Para]) -> Iterator[Para]:
    """Yield ``paras``, plain ones that follow each other as one."""
    plain: list[str] = []
    for p in paras:
        if not p.kind:
            plain.append(p.text)
            continue
        if plain:
            yield Para(" ".join(plain))
        plain = []
        yield p
    if plain:
        yield Para(" ".join(plain))


def _found_by(bench: Bench, check: str) -> Mapping[str, tuple[str, ...]]:
    """Return the causes of this layout that each result of ``check`` confirms."""
    here = dict.fromkeys(c.cause for c in bench.net.instances)
    found = by_key(
        (k.result, cause)
        for cause in here
        for k in bench.library.causes[cause].checks
        if k.check == check
    )
    return {r: tuple(found[r]) for r in bench.library.checks[check].results if r in found}
