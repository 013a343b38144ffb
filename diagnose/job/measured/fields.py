"""The fixed fields of each kind of measured test, and the reading of what was typed into them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType

from diagnose.errors import UsageError, did_you_mean
from diagnose.model import TANKS
from diagnose.units import EXAMPLES, Quantity, UnitError, parse


@dataclass(frozen=True)
class Field:
    """One field of a form: ``kind`` is a dimension of units, 'text', 'date' or choices by '|'."""

    name: str
    kind: str
    what: str
    required: bool = True
    like: str = ""

    @property
    def how(self) -> str:
        """Return how it is written."""
        if self.kind == "text":
            return "in words"
        if "|" in self.kind:
            return " or ".join(self.kind.split("|"))
        example = "2026-01-31" if self.kind == "date" else EXAMPLES[self.kind]
        return f"like {self.like or example}"


_KIT = (
    Field("kit", "text", "the instrument: its name or serial number"),
    Field("due", "date", "the day its calibration or proof runs out"),
)
_ERROR = "what it may be out by: half-width, as its papers say"


@dataclass(frozen=True)
class Form:
    """A kind of test: where it is done, its fields, and the cautions shown before them."""

    title: str
    at: tuple[str, ...]
    fields: tuple[Field, ...]
    hazards: tuple[str, ...]
    remark: str
    disturbs: tuple[tuple[str, str, str], ...] = ()  # kind of DISTURBED, what, how restored


FORMS: Mapping[str, Form] = MappingProxyType(
    {
        "master-gauge": Form(
            "Master gauge at the metering inlet",
            ("engine",),
            (
                Field("state", "text", "run state, by its id on the layout"),
                Field("reads", "pressure", "what the master gauge reads"),
                *_KIT,
                Field("range", "pressure", "its full scale"),
                Field("error", "pressure", _ERROR),
                Field("height", "length", "its height above the tapping; below it is minus"),
                Field("cockpit", "pressure", "what the cockpit gauge reads meanwhile", False),
                Field("cockpit-error", "pressure", "what the cockpit gauge may be out by", False),
            ),
            ("open-fuel-part", "pressure-line", "running-engine", "no-leak-before-power"),
            "Fitted and removed with the engine stopped, power off and the line bled down.",
            (("line", "tapping opened, master gauge fitted", "gauge off, remade, leak-checked"),),
        ),
        "timed-delivery": Form(
            "Timed delivery into a closed, bonded container",
            ("engine",),
            (
                Field("volume", "volume", "what was delivered"),
                Field("time", "time", "in how long"),
                *_KIT,
                Field("volume-error", "volume", _ERROR),
                Field("time-error", "time", "what the timing may be out by"),
            ),
            ("open-fuel-part", "bonding", "ignition-sources", "spilt-fuel"),
            "Engine cold; the line is shut before it is opened. Say tank and booster in the note.",
            (("line", "line opened at the metering inlet", "remade, leak-checked"),),
        ),
        "jar-and-settle": Form(
            "Jar and settle",
            (*TANKS, "strainer"),
            (
                Field("depth", "length", "depth of fuel in the jar"),
                Field("settled", "time", "how long it stood"),
                Field("sample", "volume", "how much was drawn"),
                Field("water", "volume", "water under the fuel; 0 ml for none"),
                Field("solids", "none|dirt|slime|flakes|rubber|gum", "what else lies in it"),
                Field("line-seen", "yes|no", "a known drop of fuel floats as a line or bead"),
                Field("colour", "right|wrong|not-sure", "colour and smell against known fuel"),
            ),
            ("bonding", "ignition-sources", "lead-and-skin"),
            "Drawn before anything else is disturbed, into a clear jar, and closed.",
            (("cock", "drain opened for a sample", "shut, seen dry"),),
        ),
        "leak-down": Form(
            "Pressure held: leak-down",
            (),
            (
                Field("medium", "fuel|air", "what it is held with"),
                Field("start", "pressure", "gauge at the start"),
                Field("end", "pressure", "gauge at the end"),
                Field("time", "time", "between them"),
                Field("most", "pressure", "the most pressure the approved data allow here"),
                Field("reference", "text", "document, revision, date of that figure"),
                *_KIT,
                Field("error", "pressure", _ERROR),
                Field("start-temperature", "temperature", "air only: at the start", False),
                Field("end-temperature", "temperature", "air only: at the end", False),
                Field("outside", "absolute-pressure", "air only: outside pressure", False),
                Field("allowed-drop", "pressure", "drop the approved data allow", False),
            ),
            ("air-pressure", "pressure-line", "open-fuel-part", "ignition-sources"),
            "Never air into a tank without the approved limit; relief in the line; nobody near.",
            (("line", "opened and blanked for the pressure test", "remade, leak-checked"),),
        ),
        "ammeter": Form(
            "Current of an electric pump beside its neighbour",
            ("booster-pump", "transfer-pump"),
            (
                Field("amps", "current", "current of this pump"),
                Field("neighbour", "text", "the part id of the pump it is compared with"),
                Field("neighbour-amps", "current", "current of that pump, the same way"),
                *_KIT,
                Field("error", "current", _ERROR),
                Field("volts", "voltage", "bus voltage meanwhile", False),
            ),
            ("no-leak-before-power", "electrical-work"),
            "At the panel, away from fuel; no leak and no smell known first.",
        ),
        "bonding": Form(
            "Bonding resistance",
            (),
            (
                Field("between", "text", "from where to where"),
                Field("reads", "resistance", "what was measured", like="0.02 ohm"),
                *_KIT,
                Field("error", "resistance", _ERROR, like="0.005 ohm"),
                Field("most", "resistance", "the most the approved data allow", False, "0.05 ohm"),
                Field("reference", "text", "document, revision, date of that figure", False),
            ),
            ("ignition-sources", "electrical-work"),
            "A low-voltage bonding tester approved for the place; no tank or line open.",
        ),
        "insulation": Form(
            "Insulation resistance: gas-free places only",
            (),
            (
                Field("gas-free-by", "text", "who measured the place gas-free, and holds it so"),
                Field("gas-free-on", "date", "on which day"),
                Field(
                    "lower-limit",
                    "fraction",
                    "measured share of the lower explosive limit",
                    like="0 %",
                ),
                Field("between", "text", "from where to where"),
                Field("test-voltage", "voltage", "voltage applied"),
                Field("reads", "resistance", "what was measured", like="20 Mohm"),
                *_KIT,
                Field("error", "resistance", _ERROR, like="1 Mohm"),
                Field("least", "resistance", "the least the approved data allow", False, "5 Mohm"),
                Field("reference", "text", "document, revision, date of that figure", False),
            ),
            ("ignition-sources", "electrical-work", "open-fuel-part"),
            "A source of ignition in itself: never near open fuel, never without the measurement.",
        ),
    }
)
"""Kind of test -> its form.  An empty ``at`` is any part of the layout."""


@dataclass(frozen=True)
class Filled:
    """A form filled in: figures in SI by field, words by field, and all of it as typed."""

    kind: str
    figures: Mapping[str, float]
    words: Mapping[str, str]
    typed: Mapping[str, str]


def fill(kind: str, typed: Mapping[str, str]) -> Filled:
    """Return the form of ``kind`` filled in with what was ``typed``.

    Raises:
        UsageError: If the kind is unknown, or with everything wrong with the fields, a line each.
    """
    form = FORMS.get(kind)
    if form is None:
        hint = did_you_mean(kind, FORMS)
        raise UsageError(f"'{kind}' is no kind of test{hint} There are: {', '.join(FORMS)}.")
    known = {f.name: f for f in form.fields}
    problems = []
    for name in typed:
        if name not in known:
            hint = did_you_mean(name, known, f"; there are {', '.join(known)}")
            problems.append(f"{kind}: '{name}' is not a field{hint}")
    figures: dict[str, float] = {}
    words: dict[str, str] = {}
    for f in form.fields:
        text = typed.get(f.name, "").strip()
        if not text:
            if f.required:
                problems.append(f"{kind}: '{f.name}' is missing: {f.what} ({f.how})")
            continue
        try:
            value = _value(f, text)
        except (UnitError, ValueError) as error:
            problems.append(f"{kind}: {f.name}: {error}")
            continue
        if isinstance(value, Quantity):
            figures[f.name] = value.value_si
        else:
            words[f.name] = value
    if problems:
        raise UsageError("\n".join(problems))
    kept = {f.name: typed[f.name].strip() for f in form.fields if typed.get(f.name, "").strip()}
    return Filled(kind, figures, words, kept)


def _value(field: Field, text: str) -> Quantity | str:
    if field.kind == "text":
        return text
    if field.kind == "date":
        try:
            return date.fromisoformat(text).isoformat()
        except ValueError:
            raise ValueError(f"'{text}' is not a date; write it year-month-day") from None
    if "|" in field.kind:
        if text not in field.kind.split("|"):
            raise ValueError(f"'{text}' is not one of {field.kind.replace('|', ', ')}")
        return text
    return parse(text, field.kind)
