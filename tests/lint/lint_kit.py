"""A tiny invented knowledge folder that lint finds nothing wrong with, to be broken in one place.

found = lint_of(tmp_path, {"effects/smell.yaml": "..."})      # every finding
codes = codes_of(tmp_path, {...})                             # their codes
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from pathlib import Path

from tiny_library import FILES, write_tiny

from diagnose import lint
from diagnose.lint import Found, Result

AFTER = """\
root-question: Where did it come from?
also-look: The part next to it.
verify: Run in the state of the report.
proof: {fires-on: [tiny-1], silent-on: [tiny-1]}
"""


def swapped(name: str, *pairs: tuple[str, str], files: Mapping[str, str] | None = None) -> str:
    """Return the text of a sound file with parts of it replaced; each must be there."""
    text = (files or SOUND)[name]
    for old, new in pairs:
        assert old in text, f"'{old}' is not in {name}"
        text = text.replace(old, new)
    return text


def _sound() -> dict[str, str]:
    def tiny(name: str, *pairs: tuple[str, str]) -> str:
        return swapped(name, *pairs, files=FILES)

    strainer, pump = "causes/filters/strainer-plugged.yaml", "causes/pump/engine-pump-worn.yaml"
    gauge = "causes/indication/pressure-gauge-low.yaml"
    out = dict(FILES)
    out[strainer] = tiny(strainer) + AFTER
    out[pump] = (
        tiny(
            pump,
            (
                "how-often: often}\n",
                "how-often: often}\n"
                "  - {effect: engine-running, is: stops, at: its-engine, how-often: sometimes}\n"
                "  - {effect: smell, is: fuel, at: aeroplane, how-often: sometimes}\n",
            ),
        )
        + "rectify: Renew the pump.\n"
        + AFTER
    )
    out[gauge] = tiny(gauge) + "rectify: Renew the gauge.\n" + AFTER
    out["effects/metering-pressure.yaml"] = tiny(
        "effects/metering-pressure.yaml",
        ("values: [normal, low, high]", "values: [normal, low]"),
        ("background: {low: .005, high: .001}", "background: {low: .005}"),
    )
    out["effects/engine-running.yaml"] = tiny(
        "effects/engine-running.yaml", ("What people report.", "People report what they feel.")
    )
    out["effects/smell.yaml"] = tiny(
        "effects/smell.yaml", ("Vapour travels.", "Vapour travels far from where it leaks.")
    )
    out["questions/fuel-pressure.yaml"] = tiny(
        "questions/fuel-pressure.yaml", ("needs: {booster: off}\n", "")
    )
    out["questions/engine-behaviour.yaml"] = (
        tiny("questions/engine-behaviour.yaml")
        + "why: It tells starving from a sound engine.\nsources: [common-practice]\n"
    )
    out["questions/fuel-smell.yaml"] = (
        tiny("questions/fuel-smell.yaml")
        + "why: It stops the job before a spark does.\nsources: [common-practice]\n"
    )
    out["symptoms/smell-stop.yaml"] = tiny(
        "symptoms/smell-stop.yaml",
        (
            "        - {symptom: booster-restores, at: same-bus}",
            "        - {sign: fuel-smell, is: fuel}",
        ),
        ("  any:\n    - {sign: fuel-smell, is: fuel}\n    - all:", "  any:\n    - all:"),
    )
    for name, heard in _HEARD.items():
        out[name] += f"heard: {{{heard}}}\n"
    return out


_HEARD = {
    "questions/fuel-pressure.yaml": "low: [sags], normal: [in the band], high: [over the band]",
    "questions/engine-behaviour.yaml": "well: [ran well], fades: [faded], stops: [stopped]",
    "questions/fuel-smell.yaml": "none: [no smell], fuel: [smelt fuel]",
}
SOUND: Mapping[str, str] = _sound()
"""Path -> text of every file of a folder that lint finds nothing wrong with."""


def result_of(
    folder: Path,
    changes: Mapping[str, str | bytes | None] | None = None,
    codes: Collection[str] | None = None,
) -> Result:
    """Write the sound files with ``changes`` and look through them."""
    root = write_tiny(folder, {**SOUND, **(changes or {})})
    wanted = lint.chosen((), (), model=False) if codes is None else codes
    return lint.lint(root, wanted, cache_dir=folder / "cache")


def lint_of(
    folder: Path, changes: Mapping[str, str | bytes | None] | None = None
) -> tuple[Found, ...]:
    """Return every finding that stands in the sound files with ``changes``."""
    return result_of(folder, changes).stands


def codes_of(folder: Path, changes: Mapping[str, str | bytes | None] | None = None) -> set[str]:
    """Return the codes of the findings."""
    return {found.code for found in lint_of(folder, changes)}
