"""A layout as lines of text: the ways of the fuel as lists, and a drawing in plain characters."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from diagnose.model import TANKS, Part
from diagnose.places import Places
from diagnose.places.graph import cock_position

COLUMN = 27
"""Width of one tank or engine in the drawing; three stand side by side on 80 columns."""

MOST_COLUMNS = 3

Ways = Sequence[tuple[str, ...]]


class Group:
    """Tanks and engines that one set of lines joins with the cross-feed shut.

    ``above`` are the parts only one tank's fuel passes, ``trunk`` those all of it passes,
    ``below`` those only one engine's fuel passes.  Where nothing is passed by all, ``above`` are
    whole ways, those that show every step.
    """

    def __init__(self, ways: Ways) -> None:
        """Sort the parts of ``ways``, which all belong together."""
        shared = set(ways[0]).intersection(*ways[1:])
        tanks = list(dict.fromkeys(w[0] for w in ways))
        engines = list(dict.fromkeys(w[-1] for w in ways))
        first = {t: next(w for w in ways if w[0] == t) for t in tanks}
        last = {e: next(w for w in ways if w[-1] == e) for e in engines}
        if len(tanks) == 1 and len(engines) == 1:
            self.above: list[list[str]] = []
            self.trunk = list(ways[0])
            self.below: list[list[str]] = []
            return
        self.trunk = [p for p in ways[0] if p in shared]
        if not self.trunk:
            self.above, self.below = [list(w) for w in _covering(ways)], []
            return
        start, end = self.trunk[0], self.trunk[-1]
        self.above = [list(w[: w.index(start)]) for w in first.values()]
        self.below = [list(w[w.index(end) + 1 :]) for w in last.values()]
        self.above = [column for column in self.above if column]
        self.below = [column for column in self.below if column]

    @property
    def width(self) -> int:
        """Return how many columns the drawing of this group needs."""
        return max(len(self.above), len(self.below), 1)


def _covering(ways: Ways) -> list[tuple[str, ...]]:
    """Return of ``ways``, in their order, those that show a part or a step none before shows."""
    seen: set[tuple[str, str]] = set()
    out = []
    for way in ways:
        steps = set(pairwise(way))
        if not steps <= seen:
            out.append(way)
            seen |= steps
    return out


def ways(places: Places) -> Ways:
    """Return every way of the fuel from a tank to an engine with the cross-feed shut."""
    shut = (s.ways for s in places.feeding.settings if s.crossfeed == "shut")
    return list(dict.fromkeys(way for each in shut for way in each))


def heading(places: Places) -> str:
    """Return what the list of the ways is headed: a cross-feed is spoken of where there is one."""
    shut = ", cross-feed shut" if places.parts_of_kind("cross-feed-cock") else ""
    return f"Ways of the fuel{shut}"


def groups(places: Places) -> list[Group]:
    """Return the groups of ``places``' layout, in the order of their first tank."""
    every = ways(places)
    # A tank that drains into a header tank is drawn above it, not beside it.
    inner = {t for w in every for t in w[1:] if t in places.tanks}
    todo = [w for w in every if w[0] not in inner]
    out: list[Group] = []
    while todo:
        ends = {todo[0][0], todo[0][-1]}
        while more := {e for w in todo if ends & {w[0], w[-1]} for e in (w[0], w[-1])} - ends:
            ends |= more
        out.append(Group([w for w in todo if w[0] in ends]))
        todo = [w for w in todo if w[0] not in ends]
    return out


def name(places: Places, part: str) -> str:
    """Return what a part is called in a chain; a cock says its normal position in words."""
    p = places.layout.parts[part]
    text = places.label(part) if p.kind in ("engine", *TANKS) else p.name
    position = cock_position(p)
    return f"{text} [{position}]" if position else text


def feed_lines(places: Places) -> list[str]:
    """Return every way of the fuel as 'tank -> outlet screen -> selector -> ... -> engine'.

    What several tanks or engines share is written once.
    """
    out: list[str] = []
    for group in groups(places):
        out += [_chain(places, column, "->" if group.trunk else "") for column in group.above]
        if not group.trunk:
            continue
        indent = "  " if group.above else ""
        out.append(indent + _chain(places, group.trunk, "->" if group.below else ""))
        out += [indent + "  " + _chain(places, column, "") for column in group.below]
    return out


def _chain(places: Places, column: Sequence[str], more: str) -> str:
    text = " -> ".join(name(places, p) for p in column)
    return f"{text} {more}".rstrip()


def other_lines(places: Places) -> list[str]:
    """Return in words what the feed lines do not show: transfer, return, cross-feed, bypasses."""
    layout = places.layout
    out: list[str] = []
    for p in layout.parts.values():
        ends = places.neighbours(p.id)
        if p.kind == "cross-feed-cock":
            both = " and ".join(places.label(q) for q in ends)
            out.append(f"{places.label(p.id)}: joins {both}; normally {cock_position(p)}")
        elif p.kind in ("transfer-valve", "transfer-pump"):
            out.append(_from_to(places, p, p.of, p.traits.get("to", "")))
        elif p.kind == "vapour-return":
            for tank in places.related(p.id, "return-tank", {}):
                out.append(_from_to(places, p, p.of, tank))
        elif p.kind == "primer":
            engines = " and ".join(places.label(e) for e in places.related(p.id, "its-engine", {}))
            source = next((q for q in ends if layout.parts[q].kind != "engine"), "")
            drawn = f", draws from {places.label(source)}" if source else ""
            out.append(f"{layout.parts[p.id].name}: to {engines}{drawn}")
        elif p.kind == "jettison-valve":
            out.append(f"{places.label(p.id)}: overboard")
        elif p.traits.get("bypass") == "yes":
            out.append(f"{places.label(p.id)}: fuel passes it at rest, through its bypass")
    return out


def _from_to(places: Places, part: Part, start: str, end: str) -> str:
    name_ = part.name
    return f"{name_}: from {places.label(start)} to {places.label(end) if end else 'nowhere'}"


def drawing(places: Places) -> list[str]:
    """Return a drawing of the feed lines in plain characters, fuel running down the page.

    Cocks stand in square brackets with their normal position in words.  Empty where a group is
    wider than a terminal, or its ways cross; the list says the same.
    """
    out: list[str] = []
    for group in groups(places):
        if group.width > MOST_COLUMNS or not group.trunk:
            return []
        width = group.width * COLUMN
        if group.above:
            out += _columns(places, group.above, width, bottom=True)
            out += _joint(len(group.above), width, down=True)
        for k, part in enumerate(group.trunk):
            if k:
                out.append("|".center(width))
            out += [line.center(width) for line in _wrapped(name(places, part), width)]
        if group.below:
            out += _joint(len(group.below), width, down=False)
            out += _columns(places, group.below, width, bottom=False)
        out.append("")
    return [line.rstrip() for line in out[:-1]]


def _columns(places: Places, columns: list[list[str]], width: int, *, bottom: bool) -> list[str]:
    """Set the columns side by side, a short one drawn out with bars at its far end."""
    each = width // len(columns)
    blocks: list[list[str]] = []
    for column in columns:
        block: list[str] = []
        for k, part in enumerate(column):
            block += ["|"] if k else []
            block += _wrapped(name(places, part), each)
        blocks.append(block)
    height = max(len(b) for b in blocks)
    for block in blocks:
        bars = ["|"] * (height - len(block))
        block[:] = [*block, *bars] if bottom else [*bars, *block]
    return ["".join(b[k].center(each) for b in blocks) for k in range(height)]


def _joint(count: int, width: int, *, down: bool) -> list[str]:
    """Return the lines that join ``count`` columns into one, or part one into them."""
    if count == 1:
        return ["|".center(width)]
    each = width // count
    middles = [k * each + "|".center(each).index("|") for k in range(count)]
    stem = "|".center(width)
    bar = [" "] * width
    for k in range(middles[0], middles[-1] + 1):
        bar[k] = "-"
    for k in (*middles, stem.index("|")):
        bar[k] = "+"
    ends = [" "] * width
    for k in middles:
        ends[k] = "|"
    rows = ["".join(ends), "".join(bar), stem]
    return rows if down else rows[::-1]


def _wrapped(text: str, width: int) -> list[str]:
    if len(text) < width:
        return [text]
    cut = text.rfind(" ", 0, width)
    return [text[:cut], *_wrapped(text[cut + 1 :], width)] if cut > 0 else [text]
