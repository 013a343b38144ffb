"""How far a typed word is from the word it may have been meant for, and which word that is.

A slip is one letter wrong.  Two neighbours in the wrong order, a letter doubled or a double one
written once are the commonest in typing, then a vowel for another; every other slip costs more.
The costs order the words that may be meant; they are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

SWAPPED, DOUBLED, VOWEL, OTHER = 1.0, 1.0, 1.25, 1.5
_VOWELS = frozenset("aeiouy")
_LIMITS = ((10, 3.0), (8, 2.5), (5, OTHER), (4, DOUBLED))
"""Letters a word has at least, and what may be wrong with it: a short one has too many near it."""


def slips(typed: str, meant: str, most: float) -> float:
    """Return what it costs to make ``typed`` into ``meant``; above ``most`` any larger number.

    Restricted edit distance (each letter is changed once) with the costs above.
    """
    before: list[float] = []
    row = _first_row(meant)
    for i, a in enumerate(typed, 1):
        last, before, row = before, row, [row[0] + _alone(typed, i)]
        for j, b in enumerate(meant, 1):
            vowels = a in _VOWELS and b in _VOWELS
            cost = min(
                before[j - 1] + (0.0 if a == b else VOWEL if vowels else OTHER),
                before[j] + _alone(typed, i),
                row[j - 1] + _alone(meant, j),
            )
            if i > 1 and j > 1 and a == meant[j - 2] and b == typed[i - 2] and a != b:
                cost = min(cost, last[j - 2] + SWAPPED)
            row.append(cost)
        if min(row) > most and min(before) > most:  # two rows: swapped letters jump one
            return most + OTHER
    return row[-1]


def _first_row(word: str) -> list[float]:
    row = [0.0]
    for j in range(1, len(word) + 1):
        row.append(row[-1] + _alone(word, j))
    return row


def _alone(word: str, k: int) -> float:
    """Return what the ``k``-th letter costs that only one of the two words has."""
    return DOUBLED if word[k - 1] in (word[k - 2 : k - 1], word[k : k + 1]) else OTHER


class NearWords:
    """The words that can be meant, found by what was typed."""

    def __init__(self, words: Iterable[str]) -> None:
        """Keep those of ``words`` that are long enough to be told from each other."""
        shortest = _LIMITS[-1][0]
        self._words = [(w, len(w), _letters(w), _most(w)) for w in sorted(set(words))
                       if len(w) >= shortest]  # fmt: skip

    def near(self, typed: str) -> dict[str, float]:
        """Return the words near ``typed`` with their costs, the nearest first.

        The first letter is seldom wrong: with more than one slip it is the same.
        """
        return dict(sorted(self._found(typed), key=lambda found: (found[1], found[0])))

    def _found(self, typed: str) -> Iterator[tuple[str, float]]:
        letters, length = _letters(typed), len(typed)
        for word, long, of_word, most in self._words:
            # a slip changes the length by one, and which letters there are by two, at most
            apart = int(most)
            if abs(length - long) > apart or (letters ^ of_word).bit_count() > 2 * apart:
                continue
            cost = slips(typed, word, most)
            if cost <= (most if typed[0] == word[0] else OTHER):
                yield word, cost


def _letters(word: str) -> int:
    bits = 0
    for letter in word:
        bits |= 1 << (ord(letter) & 31)
    return bits


def _most(word: str) -> float:
    return next(cost for least, cost in _LIMITS if len(word) >= least)
