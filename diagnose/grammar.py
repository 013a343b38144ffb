"""Small matters of English in messages: an article, a plural, a capital."""

from __future__ import annotations


def a(word: str) -> str:
    """Return ``word`` with its article: a tank, an engine."""
    return f"{'an' if word[:1] in 'aeiou' else 'a'} {word}"


def number_of(count: int, thing: str) -> str:
    """Return '1 start', '2 starts'."""
    return f"{count} {thing}{'' if count == 1 else 's'}"


def capital(text: str) -> str:
    """Return ``text`` as it begins a sentence."""
    return text[:1].upper() + text[1:]
