"""A case file to a frozen ``Case``: names held against knowledge and layout, figures cut."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Final

from diagnose.errors import CaseError, Origin, UsageError
from diagnose.in_places import held_ways
from diagnose.knowledge_files.case_answers import (
    WORDS_LISTED,
    Told,
    result_told,
    value_told,
)
from diagnose.knowledge_files.case_places import part_at, parts_at
from diagnose.knowledge_files.fields import Fields, build, number, scalar
from diagnose.knowledge_files.gather import Gather, Text, shorten
from diagnose.knowledge_files.reader import Node, Scalar, Sequence
from diagnose.knowledge_files.schema.common import SUM_TOLERANCE, settings
from diagnose.knowledge_files.vocabulary import PART_KINDS
from diagnose.knowledge_files.whole_file import read_file, tree
from diagnose.model import (
    AEROPLANE,
    KNOWN_BY,
    STAGES,
    TANKS,
    Case,
    CauseAt,
    Finding,
    Layout,
    Library,
    State,
    Work,
)
from diagnose.places import joint_positions

NOT_IN_THE_KNOWLEDGE: Final = "not-in-the-knowledge"
_INTERVENTION: Final = re.compile(r"(?:drain|refuel|rectif|replac)", re.IGNORECASE)
_FILED_AS: Final = MappingProxyType({"filter-contamination": "contamination"})
"""Families as published occurrences are filed -> as the knowledge calls them."""
_CASE_ID: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,59}")


INVENTED: Final = "invented"
"""Folder of the jobs that were written for the library."""
FOLDERS: Final = (INVENTED, "model", "interviews")
"""Folders of cases beside those of the top: invented, drawn with the model, told by experts."""

JUDGED: Final = "judged"
"""Folder of reports that were only judged: nobody looked, so they prove and teach nothing."""


def list_cases(*roots: Path) -> Mapping[str, Path]:
    """Return file stem -> file for every case of ``roots`` and their case folders, in order.

    A case of a later root takes the place of one of its name in an earlier.

    Raises:
        CaseError: If two folders of one root hold a file of one name; a case is known by it.
    """
    return {stem: file for root in roots for stem, file in _cases_in(root).items()}


def _cases_in(root: Path) -> dict[str, Path]:
    out: dict[str, Path] = {}
    gather = Gather()
    places = (root, *(root / name for name in FOLDERS))
    for path in (file for place in places for file in sorted(place.glob("[!.]*.yaml"))):
        if path.stem in out:
            text = f"there is another '{path.name}' in '{out[path.stem].parent}'; rename one"
            gather.add(Origin(str(path)), text)
        out.setdefault(path.stem, path)
    gather.check(CaseError)
    return out


def list_judged(root: Path) -> tuple[Path, ...]:
    """Return the files of the judged reports of ``root``, in order."""
    return tuple(sorted((root / JUDGED).glob("[!.]*.yaml")))


def list_told(root: Path) -> tuple[Path, ...]:
    """Return the files of ``root`` whose reports may be learned from: judged ones, and invented."""
    return (*list_judged(root), *sorted((root / INVENTED).glob("[!.]*.yaml")))


def layout_of_case(path: Path, what: str = "case") -> Text:
    """Return the layout a case, or another file of the kind ``what``, names, and where it does.

    A layout file that lies beside the case under that name is returned as its path: whoever writes
    a layout of their own tries it with cases of their own.

    Raises:
        CaseError: If the file cannot be read or names no layout.
    """
    gather = Gather()
    node = node_of(path, gather)
    if node is None:
        raise CaseError(gather.problems)
    name = Fields(node, gather, what).id("layout")
    gather.check(CaseError)
    beside = path.parent / f"{name}.yaml"
    return Text(str(beside), name.origin) if beside.is_file() else name


def load_case(path: Path, library: Library, layout: Layout) -> Case:
    """Load one case file; ``layout`` must be the one it names.

    Figures are in SI with their class by the layout's limit, places are part ids.

    Raises:
        CaseError: With every problem found, each with file, line and column.
    """
    gather = Gather()
    node = node_of(path, gather)
    case = None if node is None else CaseReader(library, layout, gather).case(node)
    if case is not None:
        try:
            held_ways(case.findings)
        except UsageError as error:
            gather.add(next(f.origin for f in case.findings if f.one_of_places), str(error))
    if gather.problems or case is None:
        raise CaseError(gather.problems)
    return case


def node_of(path: Path, gather: Gather) -> Node | None:
    """Return the tree of a case file, or note why it cannot be read."""
    place = "/".join(path.resolve().parts[-2:])
    data = read_file(path, place, gather)
    return None if data is None else tree(data, place, gather)


class CaseReader:
    """Reads one case, in order: an intervention in it begins a new epoch."""

    def __init__(self, library: Library, layout: Layout, gather: Gather) -> None:
        self.library, self.layout, self.gather = library, layout, gather
        self.epoch = 0
        self.after = ""

    def case(self, node: Node) -> Case:
        """Read the whole file."""
        fields = Fields(node, self.gather, "case")
        name = fields.text("case", required=True)
        if name and not _CASE_ID.fullmatch(name):
            text = f"'{shorten(name)}' cannot be a case id; use letters, figures and hyphens"
            self.gather.add(name.origin, text)
        return fields.build(
            Case,
            id=name,
            source=fields.text("source", required=True),
            layout=self.layout_named(fields),
            reported=fields.text("reported", required=True),
            before=tuple(self._work(one) for one in fields.tables("before", "work before")),
            findings=tuple(
                self.finding(one) for one in fields.tables("findings", "a finding", required=True)
            ),
            examination=tuple(
                self._examined(one) for one in fields.tables("examination", "an examination entry")
            ),
            causes=self._causes(fields, "cause", required=not fields.has("judged")),
            also_accept=self._causes(fields, "also-accept"),
            family=self._family(fields),
            invented=fields.flag("invented"),
            title=fields.text("title"),
            notes=fields.text("notes"),
            judged=tuple(self._judgement(one) for one in fields.tables("judged", "a judgement")),
        )

    def layout_named(self, fields: Fields) -> Text:
        """Read the layout, which must be the one in hand."""
        named = fields.text("layout", required=True)
        if named and named != self.layout.id:
            text = f"the {fields.what} is of layout '{shorten(named)}', not of '{self.layout.id}'"
            self.gather.add(named.origin, text)
        return named

    def _judgement(self, fields: Fields) -> Mapping[str, float]:
        """Read one judgement of a report: mode -> percent, together at most 100."""
        out: dict[str, float] = {}
        for name, node in fields.pairs():
            if name not in self.library.causes:
                self.gather.unknown(name, "cause", self.library.causes, WORDS_LISTED)
            out[str(name)] = (
                number(scalar(node, self.gather, f"'{name}'"), self.gather, f"'{name}'", 0.0, 100.0)
                / 100.0
            )
        if sum(out.values()) > 1.0 + SUM_TOLERANCE:
            text = f"the shares of a judgement sum to {100.0 * sum(out.values()):g}, above 100"
            self.gather.add(fields.origin, text)
        return out

    def _family(self, fields: Fields) -> str:
        found = fields.text("family")
        family = _FILED_AS.get(found, str(found))
        known = {cause.family for cause in self.library.causes.values()}
        if family and family not in known:
            self.gather.unknown(Text(family, found.origin), "family of failure modes", known)
        return family

    def _work(self, fields: Fields) -> Work:
        what = fields.text("work", required=True)
        return fields.build(Work, what=what, at=part_at(fields, self.layout, PART_KINDS, "work"))

    def _examined(self, fields: Fields) -> Finding:
        """Read what a check showed; a finding entry may stand among the checks."""
        if fields.has("finding"):
            found = self.finding(fields)
            if found.one_of_places:
                text = "what an examination shows is at one part; name it in 'at'"
                self.gather.add(fields.where("at"), text)
            return found
        name = fields.text("check", required=True)
        check = self.library.checks.get(str(name))
        if name and check is None:
            self.gather.unknown(name, "check", self.library.checks, WORDS_LISTED)
        place = part_at(fields, self.layout, check.at if check else PART_KINDS, f"'{name}'")
        return self._finish(fields, name, place, result_told(fields, check), check=True)

    def finding(self, fields: Fields) -> Finding:
        """Read one finding."""
        name = fields.text("finding", required=True)
        question = self.library.questions.get(str(name))
        if name and question is None:
            self._no_question(name)
        kinds = question.at if question else PART_KINDS
        place, one_of = parts_at(fields, self.layout, kinds, f"'{name}'")
        if fields.flag("others-normal") and place == AEROPLANE and not one_of:
            text = "'others-normal' needs other parts of the kind; the aeroplane is one"
            self.gather.add(fields.where("others-normal"), text)
        told = value_told(fields, question, self.layout, place)
        if one_of and told.number is not None:
            text = "a figure is read at one part; name it, or write the class as 'value'"
            self.gather.add(told.value.origin, text)
        return self._finish(fields, name, place, told, one_of_places=one_of)

    def _no_question(self, name: Text) -> None:
        if name in self.library.checks:
            text = f"'{name}' is a check; write it under 'examination' as 'check' with its 'result'"
            self.gather.add(name.origin, text)
        else:
            known = self.library.questions
            self.gather.unknown(name, "question", known, WORDS_LISTED)

    def _finish(
        self,
        fields: Fields,
        name: Text,
        place: str,
        told: Told,
        *,
        check: bool = False,
        one_of_places: tuple[str, ...] = (),
    ) -> Finding:
        after = fields.text("after")
        if one_of_places and after:
            text = "what comes when it is asked for is asked at one part; name it in 'at'"
            self.gather.add(after.origin, text)
        # what was seen before a drain or a repair may no longer hold; the same words in the next
        # line are of the same one
        if _INTERVENTION.match(after) and after != self.after:
            self.epoch += 1
        self.after = str(after)
        # an explicit epoch holds for what follows too, because a case is told in order
        self.epoch = fields.whole("epoch", default=self.epoch)
        return fields.build(
            Finding,
            question=name,
            at=place,
            value=told.value,
            one_of=told.one_of,
            one_of_places=one_of_places if told.value else (),
            # a check shows the same in any state, and speaks of its own part alone
            state=State() if check else self._state(fields),
            known_by=fields.choice("known-by", KNOWN_BY, default="read" if told.typed else "seen"),
            check=check,
            others_normal=not check and fields.flag("others-normal"),
            number=told.number,
            typed=told.typed,
            after=after,
            epoch=self.epoch,
        )

    def _state(self, fields: Fields) -> State:
        table = fields.table("state")
        if table is None:
            return State()
        stage = table.choice("stage", STAGES)
        known = settings(fields, "state", skip=("stage",))
        tanks = [p.id for p in self.layout.parts.values() if p.kind in TANKS]
        tanks += joint_positions(self.layout)  # 'both' feeds from no single tank
        tank = known.get("tank")
        if tank is not None and tank not in tanks:
            self.gather.unknown(Text(tank, table.where("tank")), "tank of this layout", tanks)
        return build(State, stage=stage, settings=known)

    def _causes(self, fields: Fields, key: str, *, required: bool = False) -> tuple[CauseAt, ...]:
        """Read one cause, a list of them, or not-in-the-knowledge."""
        node = fields.node(key, required=required)
        if node is None or (isinstance(node, Scalar) and not node.text and not required):
            return ()
        items: Collection[Node] = node.items if isinstance(node, Sequence) else (node,)
        if required and not items:
            self.gather.add(node.origin, f"'{key}' is empty; name it, or {NOT_IN_THE_KNOWLEDGE}")
        return tuple(self.cause(item) for item in items)

    def cause(self, node: Node) -> CauseAt:
        """Read one cause, or not-in-the-knowledge."""
        if isinstance(node, Scalar):
            # a bare cause id would leave open which of several parts had it
            if node.text != NOT_IN_THE_KNOWLEDGE:
                self.gather.add(
                    node.origin,
                    f"a cause is '{{cause: <id>, at: <part>}}' or {NOT_IN_THE_KNOWLEDGE}, not "
                    f"'{shorten(node.text)}'",
                )
            return CauseAt("", "")
        fields = Fields(node, self.gather, "a cause")
        name = fields.text("cause", required=True)
        if name == NOT_IN_THE_KNOWLEDGE:
            fields.finish()
            return CauseAt("", "")
        cause = self.library.causes.get(str(name))
        if name and cause is None:
            self.gather.unknown(name, "cause", self.library.causes, WORDS_LISTED)
        kinds = cause.part_kinds if cause else PART_KINDS
        place = part_at(fields, self.layout, kinds, f"'{name}'")
        fields.finish()
        return build(CauseAt, cause=name, at=place)
