"""A layout file becomes a checked graph of parts in SI, or a list of what is wrong with it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from tiny_library import LAYOUT, tiny_layout, write_tiny

from diagnose.errors import KnowledgeError, Origin
from diagnose.knowledge_files import list_layouts, load_layout
from diagnose.model import AEROPLANE


def told(tmp_path: Path, old: str, new: str) -> list[str]:
    """Return the problems of the tiny layout after ``old`` became ``new``."""
    assert old in LAYOUT, "the mutation must change the file"
    with pytest.raises(KnowledgeError) as caught:
        tiny_layout(tmp_path, {"layouts/tiny-single.yaml": LAYOUT.replace(old, new, 1)})
    return [str(problem) for problem in caught.value.problems]


def test_figures_land_in_si_under_their_own_keys(tmp_path: Path) -> None:
    """18 imperial gallons, 20 US gallons, 5 litres and 3/8 inch are each what they are."""
    layout = tiny_layout(tmp_path)
    left, right = layout.parts["left-tank"], layout.parts["right-tank"]

    assert left.numbers["capacity"] == pytest.approx(18 * 4.54609e-3)
    assert right.numbers["capacity"] == pytest.approx(20 * 3.785411784e-3)
    assert right.numbers["unusable"] == pytest.approx(5e-3)
    assert layout.lines[1].bore == pytest.approx(0.009525)
    assert layout.parts["engine-pump"].numbers["relief"] == pytest.approx(5.5 * 6894.757, rel=1e-6)
    assert layout.limits["fuel-pressure"].low == pytest.approx(3 * 6894.757, rel=1e-6)
    assert layout.limits["fuel-pressure"].shown == "low 3 psi, high 8 psi"


def test_the_aeroplane_is_there_of_itself(tmp_path: Path) -> None:
    """Every layout has the place that stands for the whole aeroplane."""
    assert tiny_layout(tmp_path).parts[AEROPLANE].kind == AEROPLANE


def test_cocks_keep_their_positions(tmp_path: Path) -> None:
    """Off joins nothing, and stays the word off."""
    selector = tiny_layout(tmp_path).parts["selector"]

    assert selector.positions == {
        "left": (("left", "out"),),
        "right": (("right", "out"),),
        "off": (),
    }
    assert selector.normal == "left"


def test_run_states_keep_words_and_minutes(tmp_path: Path) -> None:
    """on and off are words; the tank is a tank of this layout."""
    static, off, right = tiny_layout(tmp_path).run_states

    assert static.settings == {"power": "none", "booster": "off"}
    assert (off.minutes, off.start_minutes, off.engine_running) == (2, 15, True)
    assert off.needs == ("chocks", "fire guard")
    assert right.settings["tank"] == "right-tank"


def test_parts_know_where_they_were_written(tmp_path: Path) -> None:
    """A label on screen can be traced to its line."""
    origin = tiny_layout(tmp_path).parts["left-tank"].origin

    assert origin == Origin("knowledge/layouts/tiny-single.yaml", 7, 5)


def test_a_lone_layout_file_is_named_by_its_file_name(tmp_path: Path) -> None:
    """A user's own layout need not lie in a knowledge folder."""
    path = tmp_path / "mine.yaml"
    path.write_text(LAYOUT.replace("layout: tiny-single", "layout: mine"))

    assert load_layout(path).id == "mine"
    path.write_text("layout: [")
    with pytest.raises(KnowledgeError, match=r"^mine\.yaml:2:1: "):
        load_layout(path)


def test_layouts_are_listed_by_id(tmp_path: Path) -> None:
    """In order, and without hidden files."""
    root = write_tiny(tmp_path, {"layouts/a-second.yaml": "", "layouts/.hidden.yaml": ""})

    assert list(list_layouts(root)) == ["a-second", "tiny-single"]


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        # parts
        ("capacity: 18 imp gal", "capacity: 18 gal",
         "layouts/tiny-single.yaml:7:74: 'capacity': 'gal' does not say which gallon"),
        ("capacity: 18 imp gal", "capacity: 18", "'18' has no unit: write for instance"),
        ("capacity: 18 imp gal", "capacity: 18 psi", "is a pressure, not a volume"),
        ("capacity: 18 imp gal", "capacity: -18 imp gal", "cannot be negative"),
        ("capacity: 18 imp gal, ", "", "a tank needs 'capacity'; add it"),
        ("capacity: 18 imp gal", "capacity: 1 imp gal", "'unusable' leaves nothing"),
        ("capacity: 18 imp gal", "capcity: 18 imp gal", "did you mean 'capacity'?"),
        ("bore: 58 mm", "shutoff: 5 psi", "'shutoff' is not a known figure of a filler-cap"),
        ("kind: filler-cap", "kind: filler-cup", "did you mean 'filler-cap'?"),
        ("side: port", "side: left", "'left' is not a known side; known: centre, port, starboard"),
        ("part: left-cap", "part: left-tank", "part 'left-tank' stands twice, first on line 7"),
        ("part: left-cap", "part: Left cap", "'Left cap' cannot be an id"),
        ("part: left-cap", "part: aeroplane", "the aeroplane is there of itself"),
        ("of: left-tank", "of: left-tnk", "did you mean 'left-tank'?"),
        ("of: left-tank", "of: engine", "a filler-cap is of tank or header-tank; 'engine' is"),
        ("of: left-tank, ", "", "a filler-cap is of tank or header-tank; add 'of'"),
        ("bus: main-bus", "bus: maine-bus", "'maine-bus' is not a known bus of this layout"),
        ("kind: strainer", "kind: sieve", "not a known kind. 'diagnose layout kinds' lists them."),
        ("kind: strainer", "kind: gascolator", "in a layout it is a 'strainer'"),
        ("height: 0.1 m", "height: 0", "'0' has no unit: write for instance '1.2 m'"),
        ("part: left-cap,", "part left-cap,", "is a colon missing after 'part'?"),
        # cocks and lines
        ("normal: left", "normal: both", "'both' is not a known position of this cock"),
        (", normal: left", "", "a part has no 'normal'"),
        ("[[left, out]]", "[[left, left]]", "a pair joins two different ports"),
        ("[[left, out]]", "left", "is a list of joined pairs"),
        ("to: selector.left", "to: selector.lft", "'lft' is not a known port of 'selector'"),
        ("to: selector.left", "to: selector", "say which port of 'selector' the line meets"),
        ("to: selector.left", "to: selector.right", "port 'right' of 'selector' already has"),
        ("to: selector.left", "to: strainer", "no line ends at port 'left' of 'selector'"),
        ("from: left-tank", "from: left-tankk", "not a known part of this layout"),
        ("from: left-tank", "from: left-cap", "is a filler-cap and carries no fuel"),
        ("bore: 9.5 mm", "bore: 0 mm", "'bore' is 0 mm; a pipe has more"),
        ("bore: 9.5 mm, ", "", "a line has no 'bore'; add it"),
        ("loss: 3}", "loss: 3 mm}", "'3 mm' is a length, not a number"),
        ("line: right-feed", "line: left-feed", "line 'left-feed' stands twice"),
        # the whole
        ("from: right-tank", "from: left-tank", "no fuel from 'right-tank' reaches an engine"),
        ("to: engine,", "to: engine.primer,", "no tank reaches 'engine'; join its lines"),
        ("normal: left", "normal: off", "with every cock in its normal position"),
        ("layout: tiny-single", "layout: other", "file name and id agree"),
        ("invented: yes\n", "", "layout has no 'invented'; add it"),
        ("{feed: pumped, ", "{", "'traits' has no 'feed'; it is one of gravity, pumped"),
        ("feed: pumped", "feed: pump", "did you mean 'pumped'?"),
        # limits and run states
        ("fuel-pressure: {low", "fuel-presure: {low", "did you mean 'fuel-pressure'?"),
        (", reference: invented for this layout", "", "limit 'fuel-pressure' has no reference"),
        ("low: 3 psi, high: 8 psi", "low: 8 psi, high: 3 psi", "is not above 'low' (8 psi)"),
        ("low: 3 psi, high: 8 psi, ", "", "has neither 'low' nor 'high'"),
        ("low: 3 psi, high", "low: 3 l, high", "'3 l' is a volume, not a pressure"),
        ("stage: run-up", "stage: runup", "'runup' is not a known stage; did you mean 'run-up'?"),
        ("tank: right-tank", "tank: right", "'right' is not a known tank of this layout"),
        ("power: none, booster", "power: high, booster", "stage 'static' means power 'none'"),
        ("engine-running: yes, needs", "engine-running: no, needs", "'engine-running' is yes"),
        ("{power: none, booster: off}", "{crossfeed: open}", "has no cross-feed cock to open"),
        ("state: run-up-off", "state: static", "run state 'static' stands twice"),
        ("needs: [chocks", "needs: [chock", "'chock' is not a known need of a run state; did"),
        ("minutes: 3,", "minutes: many,", "'minutes' is a number, not 'many'"),
    ],
)  # fmt: skip
def test_a_mistake_is_told_where_it_is(tmp_path: Path, old: str, new: str, says: str) -> None:
    """Each with file, line and column, on one line."""
    problems = told(tmp_path, old, new)

    assert any(says in one for one in problems), problems
    for one in problems:
        assert re.match(r"knowledge/layouts/tiny-single\.yaml:\d+:\d+: \S", one)


def test_an_unknown_kind_is_told_once_and_not_again_by_its_lines(tmp_path: Path) -> None:
    """A cock misspelt is no part that 'carries no fuel'."""
    problems = told(tmp_path, "kind: strainer,", "kind: straner,")

    assert any("did you mean 'strainer'" in one for one in problems)
    assert not any("carries no fuel" in one for one in problems)


VENTS = (
    "  - {part: left-vent, kind: tank-vent, name: left vent, of: left-tank, "
    "traits: {with: right-tank}}\n"
)
BACK = VENTS.replace("left", "RIGHT").replace("right", "left").replace("RIGHT", "right")


def test_tanks_that_vent_only_into_each_other_are_refused(tmp_path: Path) -> None:
    """No air could get in: one line names both, and says what to do."""
    problems = told(tmp_path, "lines:\n", f"{VENTS}{BACK}lines:\n")

    assert len(problems) == 1
    assert "'left-tank' and 'right-tank' vent only into each other" in problems[0]
    assert "let one of them breathe outside: a vent without 'with'" in problems[0]
    into_itself = told(
        tmp_path, "lines:\n", VENTS.replace("with: right-tank", "with: left-tank") + "lines:\n"
    )
    assert "'left-tank' vents only into itself" in into_itself[0]


@pytest.mark.parametrize(
    "outside",
    [
        "",  # the right tank has no vent listed: it breathes by a clear hole
        BACK + "  - {part: mast, kind: tank-vent, name: vent mast, of: right-tank}\n",
        BACK + "  - {part: cap-2, kind: filler-cap, name: cap, of: left-tank, "
        "traits: {vented: 'yes'}}\n",
    ],
)
def test_one_way_out_is_enough_for_both(tmp_path: Path, outside: str) -> None:
    """A vent of its own, a vented cap, or a tank whose vent is not listed."""
    text = LAYOUT.replace("lines:\n", f"{VENTS}{outside}lines:\n", 1)

    assert tiny_layout(tmp_path, {"layouts/tiny-single.yaml": text}).parts["left-vent"]


BELLY = (
    "  - {part: belly-tank, kind: tank, name: belly tank, capacity: 9 imp gal, "
    "unusable: 1 imp gal, height: 0 m, depth: 0.2 m}\n"
    "  - {part: mover, kind: transfer-pump, name: mover, of: belly-tank, TO"
    "shutoff: 5 psi, rated-flow: 20 l/h}\nlines:\n"
    "  - {line: out, from: belly-tank, to: mover, bore: 8 mm, length: 1 m, loss: 1}\n"
)
INTO = "  - {line: in, from: mover, to: left-tank.top, bore: 8 mm, length: 1 m, loss: 1}\n"


def test_a_transfer_fills_the_tank_its_lines_lead_to(tmp_path: Path) -> None:
    """Nobody need say again what the lines say."""
    text = LAYOUT.replace("lines:\n", BELLY.replace("TO", "") + INTO)
    layout = tiny_layout(tmp_path, {"layouts/tiny-single.yaml": text})

    assert layout.parts["mover"].traits["to"] == "left-tank"


@pytest.mark.parametrize(
    ("to", "lines", "says"),
    [
        ("", "", "'mover' fills no tank"),
        ("traits: {to: right-tank}, ", INTO, "go to 'right-tank'; its lines lead to 'left-tank'"),
        ("", INTO + INTO.replace("line: in", "line: in2").replace("left", "right"),
         "'mover' leads to 'left-tank' and 'right-tank'; say which"),
    ],
)  # fmt: skip
def test_a_transfer_that_fills_no_one_tank_is_refused(
    tmp_path: Path, to: str, lines: str, says: str
) -> None:
    """Fuel would be looked for in the wrong tank, or be said to go nowhere."""
    problems = told(tmp_path, "lines:\n", BELLY.replace("TO", to) + lines)

    assert any(says in one for one in problems), problems


def test_a_second_engine_needs_number_and_side(tmp_path: Path) -> None:
    """A bare 'engine' among several could be any of them."""
    second = (
        "  - {part: engine-2, kind: engine, name: engine}\n"
        "lines:\n"
        "  - {line: second, from: carburettor, to: engine-2, bore: 8 mm, length: 1 m, loss: 0}\n"
    )
    problems = told(tmp_path, "lines:\n", second)

    assert any("'engine-2' is one of several engines; give its number" in p for p in problems)
    assert any("'engine-2' reads just like 'engine'" in p for p in problems)


def test_all_mistakes_are_told_at_once(tmp_path: Path) -> None:
    """Three mistakes in three places, one list in file order."""
    text = LAYOUT.replace("18 imp gal", "18 gal").replace("loss: 2}", "loss: x}")
    with pytest.raises(KnowledgeError) as caught:
        tiny_layout(tmp_path, {"layouts/tiny-single.yaml": text.replace("low: 3 psi", "low: 3")})

    lines = [problem.origin.line for problem in caught.value.problems]
    assert lines == sorted(lines)
    assert len(lines) == 4


def test_a_file_that_is_not_there_is_told(tmp_path: Path) -> None:
    """With its name and the system's reason."""
    with pytest.raises(KnowledgeError, match=r"none\.yaml:1:1: cannot be read: No such file"):
        load_layout(tmp_path / "none.yaml")
    with pytest.raises(KnowledgeError, match="cannot be read"):
        load_layout(tmp_path)
