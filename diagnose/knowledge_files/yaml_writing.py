"""YAML as it is written here: its pieces, parts of a file changed in place, the proof of a cause.

What is changed in place leaves the rest as it was: comments, folds and the order of keys are
somebody's work, and a file written out anew would lose them.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Mapping, Sequence
from pathlib import Path

import yaml

from diagnose.errors import UsageError

_PLAIN = re.compile(r"[A-Za-z0-9][A-Za-z0-9 ._/()'+-]*")
_WORDS = {"on", "off", "yes", "no", "true", "false", "null", "y", "n"}  # YAML 1.1 takes for others
_WIDTH = 96
_LIST_WIDTH = 100
_BLOCK = re.compile(r"^proof:[^\n]*\n(?:[ \t]+[^\n]*\n)*", re.MULTILINE)
_BEFORE = re.compile(r"^sources:", re.MULTILINE)

Keys = tuple[str | int, ...]
"""From the top: names of mappings, places in lists."""


def flow_text(items: Mapping[str, str], ready: Sequence[str] = ()) -> str:
    """Return a mapping on one line; the values of the keys in ``ready`` are YAML already."""
    pairs = (f"{k}: {v if k in ready else scalar_text(v)}" for k, v in items.items())
    return "{" + ", ".join(pairs) + "}"


def scalar_text(text: str) -> str:
    """Return one text, quoted where YAML would read it as something else."""
    if _PLAIN.fullmatch(text) and text.lower() not in _WORDS and not text.endswith(" "):
        return text
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def folded_text(text: str, indent: str = "  ") -> list[str]:
    """Return the lines of a text that stands under ``key: >-``."""
    joined = " ".join(text.split())
    # a break after a hyphen would be read back as a space in the middle of a word
    return textwrap.wrap(
        joined,
        _WIDTH,
        initial_indent=indent,
        subsequent_indent=indent,
        break_on_hyphens=False,
    )


def replaced(text: str, keys: Keys, new: str) -> str:
    """Return ``text`` with the value under ``keys`` written as ``new``.

    Raises:
        UsageError: If nothing stands there.
    """
    node: yaml.Node | None = yaml.compose(text, Loader=yaml.SafeLoader)
    for key in keys:
        node = _child(node, key)
    if node is None:
        raise UsageError(f"nothing stands under {' '.join(map(str, keys))}.")
    start, end = node.start_mark.index, node.end_mark.index
    rest = text[start:end]
    # a block ends where the next token begins; what is between belongs to what follows
    return text[:start] + new + rest[len(rest.rstrip()) :] + text[end:]


def appended(text: str, key: str, item: str) -> str:
    """Return ``text`` with ``item``, lines that begin with a dash, last in the list under ``key``.

    A list on one line (``[a, b]``) is opened into lines first; a missing key is added at the end.

    Raises:
        UsageError: If what stands under ``key`` is no list.
    """
    root = yaml.compose(text, Loader=yaml.SafeLoader)
    node = _child(root, key)
    if node is None:
        return text.rstrip("\n") + f"\n{key}:\n{item.rstrip()}\n"
    if not isinstance(node, yaml.SequenceNode):
        raise UsageError(f"'{key}' is not a list; nothing can be added to it.")
    start, end = node.start_mark.index, node.end_mark.index
    if node.flow_style:
        old = "".join(f"  - {text[x.start_mark.index : x.end_mark.index]}\n" for x in node.value)
        before = text[:start].rstrip()
        return f"{before}\n{old}{item.rstrip()}\n" + text[end:].lstrip("\n")
    last = node.value[-1]
    stop = last.end_mark.index
    stop = len(text[:stop].rstrip())
    line_end = text.find("\n", stop)  # a comment behind the last item stays with it
    line_end = len(text) if line_end < 0 else line_end
    return f"{text[:line_end]}\n{item.rstrip()}{text[line_end:] or chr(10)}"


def _child(node: yaml.Node | None, key: str | int) -> yaml.Node | None:
    if isinstance(node, yaml.MappingNode):
        return next((v for k, v in node.value if k.value == str(key)), None)
    if isinstance(node, yaml.SequenceNode) and isinstance(key, int) and key < len(node.value):
        found: yaml.Node = node.value[key]
        return found
    return None


def with_proof(
    text: str, fires_on: Sequence[str], silent_on: Sequence[str], settled_on: Sequence[str] = ()
) -> str:
    """Return the text of a cause file with its ``proof`` naming these cases.

    A file without the key gets it before ``sources``, else at its end.
    """
    block = "proof:\n" + _cases("fires-on", fires_on)
    if settled_on:
        block += _cases("settled-on", settled_on)
    block += _cases("silent-on", silent_on)
    if _BLOCK.search(text):
        return _BLOCK.sub(lambda _: block, text, count=1)
    found = _BEFORE.search(text)
    at = found.start() if found else len(text)
    return text[:at] + block + text[at:]


def _cases(key: str, cases: Sequence[str]) -> str:
    line = f"  {key}: [{', '.join(cases)}]"
    if len(line) > _LIST_WIDTH:
        line = f"  {key}:\n" + "\n".join(f"    - {c}" for c in cases)
    return line + "\n"


def write_proof(
    file: Path, fires_on: Sequence[str], silent_on: Sequence[str], settled_on: Sequence[str]
) -> None:
    """Write the proof of the cause in ``file``; a file that says so already is left alone.

    Raises:
        UsageError: If it cannot be written.
    """
    try:
        old = file.read_text(encoding="utf-8")
        new = with_proof(old, fires_on, silent_on, settled_on)
        if new != old:
            file.write_text(new, encoding="utf-8")
    except OSError as error:
        raise UsageError(f"'{file}' cannot be written: {error.strerror or error}") from None
