"""``diagnose layout`` on the screen: list, check, show, drawing and JSON."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from diagnose.cli.layout import app
from diagnose.errors import UsageError
from diagnose.knowledge_files import list_layouts, load_layout
from diagnose.knowledge_files.figures import REQUIRED
from diagnose.knowledge_files.vocabulary import PART_KINDS
from diagnose.places import Places

FILES = list_layouts(Path(__file__).parents[1] / "knowledge")


def run(*arguments: str) -> Result:
    """Run ``diagnose layout`` and return what it printed and left with."""
    return CliRunner().invoke(app, list(arguments))


def test_list_names_every_layout() -> None:
    """Every shipped layout is listed, and said to be invented."""
    result = run("list", "--plain")

    assert result.exit_code == 0
    lines = result.stdout.splitlines()
    assert [line.split()[0] for line in lines] == list(FILES)
    assert all(line.endswith("(invented)") for line in lines)


def test_list_as_json_starts_with_the_schema_version() -> None:
    """Machines get one object with the version first."""
    data = json.loads(run("list", "--json").stdout)

    assert next(iter(data)) == "schema_version"
    assert [x["id"] for x in data["layouts"]] == list(FILES)


def test_show_lists_the_way_of_the_fuel() -> None:
    """The list says where the fuel goes, what the cocks do and where each limit is from."""
    out = run("show", "low-wing-single", "--plain").stdout

    assert "  left tank -> left tank outlet screen ->" in out
    assert "fuel selector [left] -> supply line -> main strainer -> electric fuel pump" in out
    assert "fuel selector: left | right | off; normal: left" in out
    assert "fuel-pressure: low 3 psi, high 8 psi (invented for this layout" in out
    assert "holds 18 imp gal (81.8 l)" in out
    assert "INVENTED for demonstration" in out


@pytest.mark.parametrize("name", FILES)
def test_the_list_names_every_part_on_the_way(name: str) -> None:
    """Whatever the drawing shows stands in the list too, for those who cannot use a drawing."""
    places = Places(load_layout(FILES[name]))
    out = run("show", name, "--plain").stdout

    for setting in places.feeding.settings:
        for part in {p for way in setting.ways for p in way}:
            p = places.layout.parts[part]
            assert p.name in out
    for tank in places.tanks:
        assert places.label(tank) in out
    for engine in places.engines:
        assert places.label(engine) in out


@pytest.mark.parametrize("name", FILES)
def test_the_drawing_fits_a_terminal(name: str) -> None:
    """No line of the drawing is wider than 80 columns, and it is plain characters only."""
    result = run("show", name, "--draw")

    assert result.exit_code == 0
    assert all(len(line) <= 81 for line in result.stdout.splitlines())
    assert result.stdout.isascii()


def test_the_drawing_joins_the_tanks_at_the_selector() -> None:
    """Tanks stand side by side, run together at the selector and go on as one."""
    out = run("show", "low-wing-single", "--draw").stdout.splitlines()
    joint = next(k for k, line in enumerate(out) if "+" in line)
    drawn = out[: out.index("Not drawn:")]

    assert "left tank" in out[joint - 4]
    assert "right tank" in out[joint - 4]
    assert out[joint].strip() == "+------------+-------------+"
    assert out[joint + 2].strip() == "fuel selector [left]"
    assert sum("|" in line for line in drawn) > 8


def test_the_drawing_parts_towards_two_engines() -> None:
    """Each side of a four-engine aeroplane runs together and parts again."""
    out = run("show", "four-engine-injection", "--draw").stdout

    assert out.count("+") == 4 * 3
    assert "Not drawn:" in out
    assert "transfer valve: from no. 1 tank (port outer) to no. 2 tank (port middle)" in out


def test_plain_does_not_wrap() -> None:
    """With --plain a limit, a run state or a way of the fuel is one line."""
    plain = run("show", "four-engine-injection", "--plain").stdout.splitlines()
    wrapped = run("show", "four-engine-injection").stdout.splitlines()

    assert max(map(len, plain)) > 80
    assert max(map(len, wrapped)) <= 79


def test_show_as_json_has_units_in_the_keys() -> None:
    """Every figure's key says its SI unit, and labels stand beside ids."""
    data = json.loads(run("show", "four-engine-injection", "--json").stdout)
    parts = {p["id"]: p for p in data["parts"]}

    assert next(iter(data)) == "schema_version"
    assert parts["no2-engine"]["label"] == "no. 2 engine (port inner)"
    capacity = parts["port-inner-tank"]["figures"]["capacity_m3"]
    assert capacity == pytest.approx(410 * 4.54609e-3)
    assert parts["no1-engine-pump"]["figures"]["displacement_m3_per_s"] > 0
    pressure = next(x for x in data["limits"] if x["id"] == "fuel-pressure")
    assert pressure["low_Pa"] == pytest.approx(13.5 * 6894.757, rel=1e-6)
    assert {"tank": "port-inner-tank", "engine": "no1-engine"}.items() <= next(
        w for w in data["ways"] if w["parts"][0] == "port-inner-tank"
    ).items()


def test_show_takes_a_file(tmp_path: Path) -> None:
    """A layout of one's own is shown from its file before it is put anywhere."""
    own = tmp_path / "low-wing-single.yaml"
    text = FILES["low-wing-single"].read_text(encoding="utf-8")
    own.write_text(text.replace("title: Low-wing single", "title: My own single"))

    assert "My own single" in run("show", str(own)).stdout


def test_show_of_nothing_known_says_what_there_is() -> None:
    """A name that is neither a layout nor a file is refused with the names there are."""
    result = run("show", "low-wing-singel")

    assert isinstance(result.exception, UsageError)
    assert "low-wing-single" in str(result.exception)


def test_check_passes_a_sound_file() -> None:
    """A file in order is said to be so, with exit code 0."""
    result = run("check", str(FILES["low-wing-twin"]))

    assert result.exit_code == 0
    assert "in order" in result.stdout


def test_check_names_the_place_of_each_problem(tmp_path: Path) -> None:
    """A broken file leaves with 3 and file, line and column of what is wrong."""
    bad = tmp_path / "low-wing-single.yaml"
    text = FILES["low-wing-single"].read_text(encoding="utf-8")
    lines = text.replace("kind: strainer,", "kind: strayner,").splitlines()
    bad.write_text("\n".join(lines) + "\n")
    number = next(n for n, line in enumerate(lines, 1) if "strayner" in line)
    result = run("check", str(bad))
    data = json.loads(run("check", str(bad), "--json").stdout)

    assert result.exit_code == 3
    assert f"low-wing-single.yaml:{number}:" in result.stdout
    assert "did you mean 'strainer'" in result.stdout
    (row,) = data["files"]
    assert not row["in_order"]
    assert number in {p["line"] for p in row["problems"]}


def test_check_finds_a_layout_that_feeds_nobody(tmp_path: Path) -> None:
    """A file that reads well but whose fuel does not arrive is not in order."""
    bad = tmp_path / "low-wing-single.yaml"
    text = FILES["low-wing-single"].read_text(encoding="utf-8")
    start = text.index("  - {line: to-hose")
    bad.write_text(text[:start] + text[text.index("  - {line: to-engine-pump") :])
    result = run("check", str(bad))

    assert result.exit_code == 3
    assert "engine" in result.stdout


def test_a_copy_is_in_order_under_its_new_name_and_never_overwrites(tmp_path: Path) -> None:
    """A layout of one's own begins with one command, wherever the program is installed."""
    mine = tmp_path / "my-single.yaml"
    assert run("copy", "low-wing-single", str(mine)).exit_code == 0
    assert load_layout(mine).id == "my-single"

    kept = mine.read_bytes()
    again = run("copy", "header-biplane", str(mine))
    assert isinstance(again.exception, UsageError)
    assert "nothing was written" in str(again.exception)
    assert mine.read_bytes() == kept
    assert isinstance(
        run("copy", "header-biplane", str(tmp_path / "My.yaml")).exception, UsageError
    )


def test_kinds_tell_what_a_part_must_have_and_hangs_on() -> None:
    """The figures the loader asks for are marked, and the ports a line may name."""
    rows = {r["kind"]: r for r in json.loads(run("kinds", "--json").stdout)["kinds"]}
    assert set(PART_KINDS) - {"aeroplane"} == set(rows)
    assert {k for k, f in rows["tank"]["figures"].items() if f["required"]} == set(REQUIRED["tank"])
    assert rows["transfer-pump"]["traits"]["to"] == ["TANK"]

    out = run("kinds", "tank", "--plain").stdout
    assert (
        "  required: capacity (18 imp gal), unusable (1.5 imp gal), depth (0.2 m), height (1.2 m)"
        in out
    )
    assert "hand-pump" in run("kinds", "wobble", "--plain").stdout
    assert "  ports: top, bottom" in out
    assert isinstance(run("kinds", "nonsense").exception, UsageError)


def test_a_layout_file_that_is_not_there_is_told_as_such() -> None:
    """The list of shipped layouts would not help who mistyped a folder."""
    assert "there is no layout file 'nowhere.yaml'" in str(run("show", "nowhere.yaml").exception)
