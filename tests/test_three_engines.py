"""A three-engined layout of one's own, made from the twin: the middle engine was written last.

It draws by a selector of its own from the supply of either side, so no tank stands before that.
"""

from __future__ import annotations

import re
from functools import lru_cache

from diagnosis.shipped import KNOWLEDGE

from diagnose.fuel.sound import unsound
from diagnose.knowledge_files import read_layout
from diagnose.paper import ways
from diagnose.places import Places

SELECTOR = """\
  - {part: centre-selector, kind: selector-cock, name: centre fuel selector, of: aeroplane,
     side: centre, height: 0.08 m, bore: 11 mm, loss: 2.5, positions: {port: [[port, out]],
     starboard: [[starboard, out]], off: []}, normal: port}
"""
LINES = """\
  - {line: centre-port, from: port-manifold, to: centre-selector.port, bore: 12.7 mm,
     length: 1.5 m, loss: 2}
  - {line: centre-starboard, from: starboard-manifold, to: centre-selector.starboard,
     bore: 12.7 mm, length: 1.5 m, loss: 2}
  - {line: centre-out, from: centre-selector.out, to: no2-supply, bore: 12.7 mm, length: 0.2 m,
     loss: 1}
"""


@lru_cache
def places() -> Places:
    """Return the twin with a third engine in the middle, its parts behind those of no. 3."""
    text = (KNOWLEDGE / "layouts" / "low-wing-twin.yaml").read_text(encoding="utf-8")
    text = text.replace("layout: low-wing-twin", "layout: tri").replace("no2-", "no3-")
    text = text.replace("number: 2", "number: 3").replace("no. 2", "no. 3")
    before, parts = text.split("  # starboard side, no. 3 engine\n")
    parts, rest = parts.split("  # the aeroplane at large\n")
    own = parts[parts.index("  - {part: no3-supply") :]
    middle = own.replace("no3-", "no2-").replace("side: starboard", "side: centre")
    middle = SELECTOR + middle.replace("number: 3", "number: 2")
    lines, limits = rest.split("limits:\n")
    feeds = lines[lines.index("  - {line: no3-to-strainer") :].replace("no3-", "no2-")
    text = f"{before}{parts}{middle}{lines}{LINES}{feeds}limits:\n{limits}"
    assert re.search(r"no3-engine,.*\n(.*\n)*.*no2-engine,", text)  # written last
    return Places(read_layout(text, "tri.yaml"))


def test_like_parts_are_listed_by_their_number_wherever_they_stand_in_the_file() -> None:
    """'2' on a list of engines, or of their strainers, is no. 2."""
    assert places().engines == ("no1-engine", "no2-engine", "no3-engine")
    assert places().parts_of_kind("strainer") == ("no1-strainer", "no2-strainer", "no3-strainer")


def test_the_middle_one_of_several_engines_is_called_so() -> None:
    """Number and position are printed together, always."""
    assert places().label("no2-engine") == "no. 2 engine (centre)"


def test_a_selector_behind_others_stays_as_it_is_when_one_tank_feeds_all() -> None:
    """Shut with the other tanks' selectors on cross-feed, it would starve its engine."""
    assert list(unsound(places().layout)) == []


def test_ways_that_cross_are_each_written_out() -> None:
    """No engine is left out because two supplies lead to it."""
    said = "\n".join(ways.feed_lines(places()))
    passed = {part for way in ways.ways(places()) for part in way}
    assert not [p for p in passed if places().layout.parts[p].name not in said]
    assert "no. 2 engine (centre)" in said
    assert not said.endswith("->")
    assert ways.drawing(places()) == []
