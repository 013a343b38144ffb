"""Checks of a whole layout: names that exist, ports that agree, air and fuel that arrive."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping

from diagnose.errors import Origin
from diagnose.grammar import a
from diagnose.knowledge_files.gather import Gather, Text, either, shorten
from diagnose.knowledge_files.layout_schema import PartFields
from diagnose.knowledge_files.vocabulary import (
    FLOW_KINDS,
    NAMED_PORTS,
    OWNER_OPTIONAL,
    OWNERS,
    PART_KINDS,
)
from diagnose.model import AEROPLANE, COCKS, TANKS, Line, Part

Graph = Mapping[str, set[str]]

TRANSFERS = ("transfer-valve", "transfer-pump")
"""Kinds that move fuel from their own tank to another."""


def owners(read: Iterable[PartFields], parts: Mapping[str, Part], gather: Gather) -> None:
    """Note parts that hang on nothing, on a part that does not exist, or on the wrong kind."""
    for one in read:
        part, kinds = one.part, OWNERS.get(one.part.kind)
        # what serves all engines is of the aeroplane
        spare = (AEROPLANE,) if part.kind in OWNER_OPTIONAL else ()
        if one.of and one.of not in parts:
            gather.unknown(one.of, "part of this layout", parts)
        elif one.of and kinds and parts[one.of].kind not in (*kinds, *spare):
            text = f"{a(part.kind)} is of {either(kinds)}; '{one.of}' is {a(parts[one.of].kind)}"
            gather.add(one.of.origin, text)
        elif not one.of and kinds and part.kind not in OWNER_OPTIONAL:
            gather.add(part.origin, f"{a(part.kind)} is of {either(kinds)}; add 'of'")
        if one.bus and (one.bus not in parts or parts[one.bus].kind != "bus"):
            buses = [p.id for p in parts.values() if p.kind == "bus"]
            gather.unknown(one.bus, "bus of this layout", buses)
        for trait in ("to", "with"):
            name = next((value for key, value in one.traits.items() if key == trait), None)
            tanks = [p.id for p in parts.values() if p.kind in TANKS]
            if name is not None and name not in tanks:
                gather.unknown(name, "tank of this layout", tanks)


def vents(parts: Mapping[str, Part], gather: Gather) -> None:
    """Note tanks that breathe only into each other: no air could get in as the fuel goes out.

    A tank breathes outside by a vent without ``with``, by a vented cap, or where no vent of it is
    listed; air goes both ways through a vent that joins two tanks.
    """
    own = [p for p in parts.values() if p.kind == "tank-vent"]
    joined: dict[str, set[str]] = defaultdict(set)
    for vent in own:
        if vent.traits.get("with"):
            joined[vent.of].add(vent.traits["with"])
            joined[vent.traits["with"]].add(vent.of)
    outside = {p.of for p in own if not p.traits.get("with")}
    outside |= {p.of for p in parts.values() if p.traits.get("vented") == "yes"}
    outside |= {p.id for p in parts.values() if p.kind in TANKS} - {p.of for p in own}
    told: set[str] = set()
    for vent in own:
        group = _reached(joined, vent.of)
        if vent.of in told or group & outside:
            continue
        told |= group
        names = " and ".join(f"'{t}'" for t in sorted(group))
        only = "vent only into each other" if len(group) > 1 else "vents only into itself"
        one = "one of them" if len(group) > 1 else "it"
        gather.add(
            vent.origin,
            f"{names} {only}, so no air gets in as fuel goes out; let {one} breathe "
            "outside: a vent without 'with', or a cap with 'traits: {vented: yes}'",
        )


def labels(parts: Mapping[str, Part], gather: Gather) -> None:
    """Note engines, tanks and cocks that a reader could not tell apart."""
    seen: dict[tuple[object, ...], Part] = {}
    for part in parts.values():
        if part.kind in ("engine", *TANKS, *COCKS):
            # these are the parts people name aloud; two that sound alike get mixed up
            label = (part.kind, part.side, part.position, part.number, part.name)
            first = seen.setdefault(label, part)
            if first is not part:
                text = f"'{part.id}' reads just like '{first.id}'; give side, position and number"
                gather.add(part.origin, text)
    engines = [part for part in parts.values() if part.kind == "engine"]
    for part in engines if len(engines) > 1 else ():
        if part.number is None or not part.side:
            text = f"'{part.id}' is one of several engines; give its number and its side"
            gather.add(part.origin, text)


def ports(lines: Iterable[Line], parts: Mapping[str, Part], gather: Gather) -> None:
    """Hold line ends against parts and cock positions."""
    used: dict[str, set[str]] = defaultdict(set)
    for line in lines:
        for end in (line.start, line.end):
            name, _, port = end.partition(".")
            if name not in parts:
                gather.unknown(Text(name, line.origin), "part of this layout", parts)
                continue
            _port(line, parts[name], port, gather)
            if port and port in used[name] and parts[name].kind in COCKS:
                text = f"port '{port}' of '{name}' already has a line; a cock's port takes one"
                gather.add(line.origin, text)
            used[name].add(port)  # parts other than cocks may branch
    for part in parts.values():
        if part.kind in COCKS and part.id:  # one without an id is told of that alone
            for port in sorted(_cock_ports(part) - used[part.id]):
                gather.add(part.origin, f"no line ends at port '{port}' of '{part.id}'")


def _port(line: Line, part: Part, port: str, gather: Gather) -> None:
    if part.kind not in PART_KINDS:
        return  # told of that alone
    if part.kind not in FLOW_KINDS:
        gather.add(line.origin, f"'{part.id}' is {a(part.kind)} and carries no fuel")
        return
    known = _cock_ports(part) if part.kind in COCKS else set(NAMED_PORTS.get(part.kind, ()))
    if port and port not in known:
        gather.unknown(Text(port, line.origin), f"port of '{part.id}'", known)
    elif not port and part.kind in COCKS and known:
        text = f"say which port of '{part.id}' the line meets: {', '.join(sorted(known))}"
        gather.add(line.origin, text)


def _cock_ports(part: Part) -> set[str]:
    return {port for pairs in part.positions.values() for pair in pairs for port in pair}


def destinations(
    read: Iterable[PartFields], lines: Iterable[Line], parts: Mapping[str, Part], gather: Gather
) -> dict[str, str]:
    """Return transfer pump or valve -> the tank it fills: as its lines lead, or as ``to`` says.

    One that fills no tank is a problem, and so is a ``to`` that the lines contradict: fuel would
    be looked for in the wrong tank.
    """
    ways, traits = _ways(lines, parts), {one.part.id: one.traits for one in read}
    out: dict[str, str] = {}
    for part in parts.values():
        if part.kind not in (*TRANSFERS, "vapour-return"):
            continue
        tanks = sorted(_filled(ways, part.id, parts))
        said = next((to for key, to in traits[part.id].items() if key == "to"), None)
        if said and said in parts and tanks and said not in tanks:
            text = f"'{part.id}' is said to go to '{said}'; its lines lead to {_named(tanks)}"
            gather.add(said.origin, text)
        elif part.kind in TRANSFERS and not said and not tanks:
            text = (
                f"'{part.id}' fills no tank; draw its lines to one, or add 'traits: {{to: TANK}}'"
            )
            gather.add(part.origin, text)
        elif part.kind in TRANSFERS and not said and len(tanks) > 1:
            text = (
                f"'{part.id}' leads to {_named(tanks)}; say which one with 'traits: {{to: TANK}}'"
            )
            gather.add(part.origin, text)
        elif part.kind in TRANSFERS:
            out[part.id] = said or tanks[0]
    return out


def _ways(lines: Iterable[Line], parts: Mapping[str, Part]) -> Graph:
    """Join parts by the lines alone, in their direction; a cock passes in any position."""
    out: dict[str, set[str]] = defaultdict(set)
    for line in lines:
        ends = (line.start.partition(".")[0], line.end.partition(".")[0])
        if all(end in parts for end in ends):
            out[ends[0]].add(ends[1])
    return out


def _filled(ways: Graph, start: str, parts: Mapping[str, Part]) -> set[str]:
    """Return the first tanks that fuel from ``start`` comes to."""
    seen, todo, found = {start}, [start], set()
    while todo:
        for name in ways.get(todo.pop(), set()) - seen:
            seen.add(name)
            if parts[name].kind in TANKS:
                found.add(name)
            else:
                todo.append(name)
    return found


def _named(names: Iterable[str]) -> str:
    return " and ".join(f"'{shorten(name)}'" for name in names)


def reach(lines: Iterable[Line], parts: Mapping[str, Part], gather: Gather) -> None:
    """Note tanks whose fuel reaches no engine, and engines that no tank reaches."""
    lines = tuple(lines)
    engines = {part.id for part in parts.values() if part.kind == "engine"}
    tanks = [part for part in parts.values() if part.kind in TANKS]
    where = next((part.origin for part in parts.values() if part.origin.file), Origin(""))
    for missing, kind in ((engines, "engine"), (tanks, "tank")):
        if not missing:
            gather.add(where, f"the layout has no {kind}")
    # a layout may be whole and still stand with its cocks wrong, so both are looked at
    anyhow, normally = _graph(lines, parts, normal=False), _graph(lines, parts, normal=True)
    fed: set[str] = set()
    running: set[str] = set()
    for tank in tanks:
        reached = _reached(anyhow, tank.id) & engines
        fed |= reached
        running |= _reached(normally, tank.id) & engines
        if not reached:
            gather.add(tank.origin, f"no fuel from '{tank.id}' reaches an engine; join its lines")
    for name in sorted(engines - fed):
        gather.add(parts[name].origin, f"no tank reaches '{name}'; join its lines")
    for name in sorted((engines & fed) - running):
        text = f"no tank reaches '{name}' with every cock in its normal position"
        gather.add(parts[name].origin, text)


def _graph(lines: Iterable[Line], parts: Mapping[str, Part], *, normal: bool) -> Graph:
    """Join parts the way fuel goes: lines one way (both at a cross-feed), open cocks both ways.

    With ``normal`` cocks stand in their normal position, else in all positions at once.
    """
    out: dict[str, set[str]] = defaultdict(set)
    for line in lines:
        start, end = (_node(one, parts) for one in (line.start, line.end))
        out[start].add(end)
        # which side feeds which depends on the pumps, so a cross-feed pipe has no one way
        if any(_kind(one, parts) == "cross-feed-cock" for one in (line.start, line.end)):
            out[end].add(start)
    for part in parts.values():
        for position, pairs in part.positions.items():
            if not normal or position == part.normal:
                for one, other in pairs:
                    out[f"{part.id}.{one}"].add(f"{part.id}.{other}")
                    out[f"{part.id}.{other}"].add(f"{part.id}.{one}")
        if part.kind in TRANSFERS and part.traits.get("to"):
            out[part.of].add(part.id)
            out[part.id].add(part.traits["to"])
    return out


def _node(end: str, parts: Mapping[str, Part]) -> str:
    """Return the graph node of a line's end: cocks and primer nozzles keep their port."""
    name, _, port = end.partition(".")
    # a primer squirts into an engine but does not feed it
    return end if _kind(end, parts) in COCKS or port == "primer" else name


def _kind(end: str, parts: Mapping[str, Part]) -> str:
    part = parts.get(end.partition(".")[0])
    return part.kind if part else ""


def _reached(graph: Graph, start: str) -> set[str]:
    seen, todo = {start}, [start]
    while todo:
        fresh = graph.get(todo.pop(), set()) - seen
        seen |= fresh
        todo.extend(fresh)
    return seen
