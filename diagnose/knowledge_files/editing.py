"""Parts of a YAML file changed in place, everything else in it left as it was written.

Comments, folds and the order of keys are somebody's work; a file written out anew would lose them.
"""

from __future__ import annotations

import yaml

from diagnose.errors import UsageError

Keys = tuple[str | int, ...]
"""From the top: names of mappings, places in lists."""


def replaced(text: str, keys: Keys, new: str) -> str:
    """Return ``text`` with the value under ``keys`` written as ``new``.

    Raises:
        UsageError: If nothing stands there.
    """
    node = _found(text, keys)
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


def _found(text: str, keys: Keys) -> yaml.Node:
    node: yaml.Node | None = yaml.compose(text, Loader=yaml.SafeLoader)
    for key in keys:
        node = _child(node, key)
    if node is None:
        raise UsageError(f"nothing stands under {' '.join(map(str, keys))}.")
    return node


def _child(node: yaml.Node | None, key: str | int) -> yaml.Node | None:
    if isinstance(node, yaml.MappingNode):
        return next((v for k, v in node.value if k.value == str(key)), None)
    if isinstance(node, yaml.SequenceNode) and isinstance(key, int) and key < len(node.value):
        found: yaml.Node = node.value[key]
        return found
    return None
