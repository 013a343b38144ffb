"""What every look needs: the library, and each layout compiled once, when it is first wanted."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from functools import cached_property
from pathlib import Path

from diagnose.belief import BeliefNet
from diagnose.errors import Origin
from diagnose.knowledge_files import sharing
from diagnose.knowledge_files.whole_file import Locator
from diagnose.lint.codes import Code, Found
from diagnose.model import Layout, Library, Seed
from diagnose.places import Places
from diagnose.planner.actions import Catalogue
from diagnose.predict import Predictions
from diagnose.rules.book import Book


class OnLayout:
    """The library on one layout; each part is made when it is first asked for."""

    def __init__(self, library: Library, layout: Layout) -> None:
        """Take a layout; nothing is worked out yet."""
        self.library = library
        self.layout = layout

    @cached_property
    def places(self) -> Places:
        """Return the relations of the layout."""
        return Places(self.layout, self.library.words.unstated)

    @cached_property
    def net(self) -> BeliefNet:
        """Return what each cause does to each effect, by the knowledge alone."""
        return BeliefNet(self.library, self.places)

    @cached_property
    def catalogue(self) -> Catalogue:
        """Return every reading and check that can be offered."""
        return Catalogue(self.net)

    @cached_property
    def book(self) -> Book:
        """Return the rules of the layout.

        Raises:
            KnowledgeError: If they cannot be put in order.
        """
        return Book(self.library, self.layout, self.places)


class Base:
    """All that is looked through: one library on one or more layouts."""

    def __init__(
        self,
        library: Library,
        layouts: Mapping[str, Layout],
        predict: Callable[[Places], Predictions] | None = None,
        *,
        whole: bool = True,
        cases: Collection[str] | None = None,
        seeds: Collection[Seed] = (),
    ) -> None:
        """Look through ``library`` on ``layouts``.

        Args:
            library: The knowledge.
            layouts: Layouts by id.
            predict: What the fuel-system model predicts for a layout; None when it is not asked.
            whole: Whether ``layouts`` are all there are; what no layout uses can be said only then.
            cases: Ids of the cases there are; None when nobody looked.
            seeds: The seed questions of the interview.
        """
        self.library = library
        self.whole = whole
        self.predict = predict
        self.cases = cases
        self.seeds = seeds
        self.on: Mapping[str, OnLayout] = {n: OnLayout(library, x) for n, x in layouts.items()}
        self._locator = Locator(library.root)

    def where(self, origin: Origin, *keys: str | int) -> Origin:
        """Return where the value under ``keys`` of the item at ``origin`` stands in its file."""
        return self._locator.where(origin, *keys)

    def is_spelt_out(self, origin: Origin, *keys: str | int) -> bool:
        """Return whether a text stands in its file itself, and is not named as a shared step."""
        return self._locator.is_spelt_out(origin, *keys)

    def found(self, code: Code, item: str, text: str, origin: Origin, *keys: str | int) -> Found:
        """Return a finding about ``item``, placed at the value under ``keys`` if it is there."""
        return Found(self.where(origin, *keys) if keys else origin, code.id, text, item)

    @property
    def steps_file(self) -> str:
        """Return the name of the file of shared steps, as origins have it."""
        return f"{Path(self.library.root).resolve().name}/{sharing.FILE}"

    @cached_property
    def used_causes(self) -> frozenset[str]:
        """Return the causes that at least one of the layouts can have."""
        return frozenset(c.cause for on in self.on.values() for c in on.net.instances)


def listed(names: Iterable[str]) -> str:
    """Return a few of ``names`` for one line, and how many more there are."""
    every = list(dict.fromkeys(names))
    rest = f" and {len(every) - 4} more" if len(every) > 4 else ""
    return ", ".join(every[:4]) + rest
