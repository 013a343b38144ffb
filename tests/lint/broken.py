"""For each code, one change to the sound files that makes lint find it, and the item it names."""

from __future__ import annotations

from collections.abc import Mapping

from lint import broken_causes, broken_rules, broken_texts

BROKEN: Mapping[str, tuple[Mapping[str, str | None], str]] = {
    **broken_rules.BROKEN,
    **broken_causes.BROKEN,
    **broken_texts.BROKEN,
}
"""Code -> (changes to the sound files, item named).  The model's codes have tests of their own."""
