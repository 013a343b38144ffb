"""Words that stand on every paper, and text made safe to print."""

from __future__ import annotations

import unicodedata

from diagnose.model import Layout

UNREVIEWED = "UNREVIEWED"
NOT_A_RELEASE = "This is not a release to service"


_BIDI = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def shown(value: object) -> str:
    """Return ``value`` in one line for people, its control characters made visible.

    A typed escape sequence or a change of writing direction must not alter how a page reads;
    JSON keeps what was typed.
    """
    return _visible(" ".join(_as_text(value).split()))


def layout_label(layout: str, invented: bool) -> str:
    """Return what a page says of the layout it speaks of, by its id."""
    return f"layout {shown(layout)}" + (" (invented)" if invented else "")


def page_labels(
    job: str, aeroplane: str, layout: str, invented: bool, edition: str
) -> tuple[str, ...]:
    """Return what stands on every page about a job: what it is not, and what it speaks of."""
    return (
        UNREVIEWED,
        f"job {shown(job)}",
        shown(aeroplane),
        layout_label(layout, invented),
        f"knowledge edition {shown(edition)}",
        NOT_A_RELEASE,
    )


def shown_lines(text: str) -> tuple[str, ...]:
    """Return the lines of a verbatim text, control characters made visible, breaks kept."""
    return tuple(_visible(line.expandtabs(4)) for line in text.splitlines()) or ("",)


def _as_text(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list | tuple):
        return ", ".join(_as_text(v) for v in value)
    return str(value)


def _visible(text: str) -> str:
    return "".join(
        "\ufffd" if c in _BIDI or unicodedata.category(c) in ("Cc", "Cs") else c for c in text
    )


NOT_READINGS = "Figures of a model, not readings; certifies nothing."


def model_notes(layout: Layout, certifies: str = NOT_READINGS) -> list[str]:
    """Return the notes on every drawing of what the fuel-system model says of ``layout``."""
    invented = ["INVENTED layout."] if layout.invented else []
    return [*invented, certifies, f"Layout {layout.id}, edition {layout.edition}. Page 1 of 1."]
