"""Causes: how a kind of part fails, what that gives, what looks alike and what settles it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Final

from diagnose.errors import Origin
from diagnose.knowledge_files.fields import Fields, build, number, number_of, scalar
from diagnose.knowledge_files.gather import Gather, Text, shorten
from diagnose.knowledge_files.reader import Node, Scalar
from diagnose.knowledge_files.schema.common import (
    SUM_TOLERANCE,
    chance,
    head,
    kind_of_place,
    only_if,
    part_kinds,
    relation,
    rows_of,
    source,
    sources,
    state,
    status,
)
from diagnose.knowledge_files.vocabulary import PHYSICAL_CHANGES, RELATIONS
from diagnose.model import (
    COCKS,
    GRADES,
    Cause,
    CauseCheck,
    Difference,
    Distorts,
    LookAlike,
    Physical,
    Produces,
    Provenance,
    Words,
)

SEVERITY: Final = {"slight": 0.40, "half": 0.35, "severe": 0.25}
"""Share of each grade when a cause states none (common practice, no source)."""

VERIFY_NEEDS: Final = ("nothing", "power", "run")
"""What proving a repair puts at risk; an engine runs where a cause does not say otherwise."""

_PATTERN: Final = re.compile(
    r"steady|only (?:hot|vibrating|tilted|low level|at height)|random (?P<p>0?\.\d{1,6}|1)"
)
_HOW: Final = ("published", "interview", "own case", "common practice", "from memory")


def cause(node: Node, gather: Gather, stem: str, family: str, words: Words) -> Cause:
    """Read a cause of ``family``, its words turned into chances by ``words``."""
    fields = Fields(node, gather, "cause")
    head(fields, "cause", stem)
    outside = fields.choice("outside", ("not-fuel", "no-fault"))
    common = fields.text("how-common", required=True)
    produces = tuple(_produces(row, words) for row in fields.tables("produces", "a produces row"))
    kinds = kind_of_place(fields, "part-kind")
    if fields.flag("one-position"):
        produces = tuple(replace(row, one_position=True) for row in produces)
        if not set(kinds) <= set(COCKS):
            said = f"'one-position' is of a cock ({', '.join(COCKS)}); drop it"
            gather.add(fields.where("one-position"), said)
    distorts = tuple(_distorts(row) for row in fields.tables("distorts", "a distorts row"))
    checks = tuple(_checks(fields, "checks", required=not outside))
    also_shows = tuple(_checks(fields, "also-shows", required=False))
    _at_checks_once((*checks, *also_shows), gather)
    item = build(
        Cause,
        id=stem,
        title=fields.text("title", required=True),
        family=family,
        part_kinds=kinds,
        mode=fields.text("mode"),
        code=fields.text("jasc"),
        how_common=_chance(common, words.how_common, gather, "how-common"),
        common_word=common,
        because=fields.text("because", required=True),
        severity=_severity(fields),
        produces=produces,
        distorts=distorts,
        only_if=only_if(fields),
        after_work=part_kinds(fields, "after-work"),
        pattern=_pattern(fields),
        look_alikes=_look_alikes(fields, stem, required=not outside),
        checks=checks,
        also_shows=also_shows,
        rectify=fields.text("rectify"),
        # what mending calls for beside what the checks that settle the cause call for
        rectify_hazards=fields.names("rectify-hazards", "hazard"),
        root_question=fields.text("root-question"),
        also_look=fields.text("also-look"),
        verify=fields.text("verify"),
        verify_needs=fields.choice("verify-needs", VERIFY_NEEDS) or "run",
        harm=fields.text("harm"),
        physical=_physical(fields),
        outside=outside,
        provenance=_provenance(fields),
        status=status(fields),
        **_proof(fields),
        sources=sources(fields, required=True),
        origin=node.origin,
    )
    if not produces and not distorts and not outside:
        gather.add(node.origin, "a cause has 'produces' or 'distorts'; else nothing points to it")
    fields.finish()
    return item


def differences(
    node: Node, gather: Gather
) -> tuple[tuple[Difference, ...], tuple[Difference, ...]]:
    """Read differs.yaml: where the fuel-system model and rows differ and both stand, and why.

    Returns the rows that lie off the model, and what it shows and no row speaks of.
    """
    fields = Fields(node, gather, "differs.yaml")
    contradicted = _listed(fields, "differs", "a difference", gather)
    unsaid = _listed(fields, "unsaid", "an unsaid value", gather)
    fields.finish()
    return contradicted, unsaid


def _listed(fields: Fields, key: str, what: str, gather: Gather) -> tuple[Difference, ...]:
    """Read reasons, each with the causes, effects and values it is about."""
    out = []
    for one in fields.tables(key, what):
        because = one.text("because", required=True)
        for row in one.tables("about", "what a reason is about", required=True):
            causes = row.names("causes", "cause", required=True)
            effect = row.text("effect", required=True)
            values = row.texts("is", required=True)
            for value in values:
                gather.refer("effect", effect, value)
            out.append(
                row.build(Difference, causes=causes, effect=effect, values=values, because=because)
            )
        one.finish()
    return tuple(out)


def _chance(found: Text, scale: Mapping[str, float], gather: Gather, what: str) -> float:
    """Return the chance a word of ``scale`` or a bare number stands for."""
    if not found:
        return 0.5
    if number_of(found) is not None:
        value = number(found, gather, f"'{what}'", 0.0, 1.0)
        if value in (0.0, 1.0):
            gather.add(found.origin, f"'{what}' is {value:g}; nothing is that certain, use a word")
        return value
    # 'very often' and 'very-often' are the same word; YAML authors write both
    for word in (str(found), found.replace(" ", "-"), found.replace("-", " ")):
        if word in scale:
            return scale[word]
    if scale:
        gather.unknown(found, f"word for '{what}'", scale)
    return 0.5


def _severity(fields: Fields) -> dict[str, float]:
    """Read the share of each grade; grades left out of a stated list have none."""
    table = fields.table("severity")
    if table is None:
        return dict(SEVERITY)
    out = dict.fromkeys(GRADES, 0.0)
    for name, node in table.pairs():
        if name not in GRADES:
            fields.gather.unknown(name, "grade", GRADES)
            continue
        out[str(name)] = chance(node, fields.gather, f"'{name}'")
    if abs(sum(out.values()) - 1.0) > SUM_TOLERANCE:
        text = f"severity sums to {sum(out.values()):.6g}, not 1; correct its shares"
        fields.gather.add(table.origin, text, "sum")
    return out


def _produces(fields: Fields, words: Words) -> Produces:
    """Read one row: this cause gives that value of an effect, at those places, in those states."""
    effect, value = fields.text("effect", required=True), fields.text("is", required=True)
    fields.gather.refer("effect", effect, value)
    how_often, said = _how_often(fields, words)
    return fields.build(
        Produces,
        effect=effect,
        value=value,
        at=relation(fields),
        how_often=how_often,
        said=said,
        when=state(fields, "when"),
        only_if=only_if(fields),
        source=source(fields),
    )


def _how_often(fields: Fields, words: Words) -> tuple[dict[str, float], dict[str, Text]]:
    """Read one word for all grades, or grade -> word or number."""
    node = fields.node("how-often", required=True)
    said: dict[str, Text] = {}
    if node is None:
        return {}, said
    if isinstance(node, Scalar):
        said = dict.fromkeys(GRADES, scalar(node, fields.gather, "'how-often'"))
    else:
        for name, one in Fields(node, fields.gather, "'how-often'").pairs():
            if name not in GRADES:
                fields.gather.unknown(name, "grade", GRADES)
            said[str(name)] = scalar(one, fields.gather, f"'{shorten(name)}'")
        if not said:
            fields.gather.add(node.origin, "'how-often' is empty; give a word, or one per grade")
    ordered = {grade: said[grade] for grade in GRADES if grade in said}
    seen: dict[Origin, float] = {}  # one word for three grades is looked up, and blamed, once
    for word in ordered.values():
        if word.origin not in seen:
            seen[word.origin] = _chance(word, words.how_often, fields.gather, "how-often")
    return {grade: seen[word.origin] for grade, word in ordered.items()}, ordered


def _distorts(fields: Fields) -> Distorts:
    """Read one row of an instrument fault: sound class -> shown class -> chance, or by grade."""
    question = fields.name("question", "question")
    table = fields.table("shows", required=True)
    graded = table is not None and any(name in GRADES for name, _ in table.pairs())
    shows = rows_of(table) if table is not None and not graded else {}
    by_grade = {}
    for name, node in table.pairs() if table is not None and graded else ():
        if name not in GRADES:
            fields.gather.unknown(name, "grade", GRADES)
        by_grade[name] = rows_of(Fields(node, fields.gather, f"'{shorten(name)}'"))
    for one in (shows, *by_grade.values()):
        for sound, row in one.items():
            fields.gather.refer("question", question, sound, *row)
    when = state(fields, "when")
    return fields.build(Distorts, question=question, shows=shows, by_grade=by_grade, when=when)


def _pattern(fields: Fields) -> Text:
    found = fields.text("pattern", default="steady")
    if found and not _PATTERN.fullmatch(found):
        fields.gather.add(
            found.origin,
            f"pattern '{shorten(found)}' is not known; write steady, only hot, only vibrating, "
            "only tilted, only low level, only at height, or random with its chance (random .3)",
        )
    return found


def _look_alikes(fields: Fields, stem: str, *, required: bool) -> tuple[LookAlike, ...]:
    out = []
    for one in fields.tables("look-alikes", "a look-alike", required=required):
        name = one.name("cause", "cause")
        # what looks like itself tells nobody what else to think of
        if name == stem:
            fields.gather.add(name.origin, f"'{stem}' is named as its own look-alike")
        told = one.text("told-apart-by", required=True)
        out.append(one.build(LookAlike, cause=name, told_apart_by=told))
    return tuple(out)


def _checks(fields: Fields, key: str, *, required: bool) -> Iterator[CauseCheck]:
    """Read what checks show with the cause there, one for each relation a line names."""
    for one in fields.tables(key, "a check of a cause", required=required):
        name, result = one.text("check", required=True), one.text("result", required=True)
        fields.gather.refer("check", name, result)
        chance = one.number("chance", default=0.95, low=0.01, high=0.999)
        for at in one.choices("at", RELATIONS, what="relation") or ("itself",):
            yield build(
                CauseCheck, check=name, result=result, chance=chance, at=at, origin=one.origin
            )
        one.finish()


def _at_checks_once(found: Iterable[CauseCheck], gather: Gather) -> None:
    """Note a result named twice for one place, and results likelier together than certain."""
    results: dict[tuple[str, str], dict[str, float]] = {}
    for one in found:
        said = results.setdefault((one.check, one.at), {})
        if one.result in said:
            text = f"result '{one.result}' of check '{one.check}' stands twice; keep one"
            gather.add(one.origin, text)
        said[one.result] = one.chance
        if (total := sum(said.values())) > 1.0 + SUM_TOLERANCE:
            text = f"the chances of what check '{one.check}' shows add up to {total:g}; 1 is all"
            gather.add(one.origin, text, "sum")


def _physical(fields: Fields) -> Physical | None:
    """Read what the failure does to an element of the fuel-system model, per grade."""
    table = fields.table("model")
    if table is None:
        return None
    change = table.choice("change", PHYSICAL_CHANGES, required=True)
    grades = {}
    for grade in GRADES:
        if table.has(grade):
            grades[grade] = table.number(grade, low=-1e6, high=1e6)
    if not grades:
        fields.gather.add(table.origin, "'model' gives no figure for slight, half or severe")
    table.finish()
    unit = PHYSICAL_CHANGES.get(str(change), "")
    return build(Physical, change=change, grades=grades, unit=unit)


def _provenance(fields: Fields) -> Provenance | None:
    table = fields.table("provenance", required=True)
    if table is None:
        return None
    item = build(
        Provenance,
        said_by=table.text("said-by", required=True),
        on=table.date("on"),
        how=table.choice("how", _HOW, required=True),
        confidence=table.choice("confidence", ("low", "medium", "high")),
    )
    table.finish()
    return item


def _proof(fields: Fields) -> dict[str, tuple[Text, ...]]:
    """Read the cases that prove a cause; which cases exist is not known here."""
    table = fields.table("proof")
    if table is None:
        return {}
    found = {
        "fires_on": table.texts("fires-on"),
        "silent_on": table.texts("silent-on"),
        "settled_on": table.texts("settled-on"),
    }
    table.finish()
    return found
