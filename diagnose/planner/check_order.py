"""Which check settles which cause, at what price, and the plain order of checks."""

from __future__ import annotations

from collections.abc import Collection, Mapping

import numpy as np

from diagnose.belief import Held, Posterior
from diagnose.model import CauseAt
from diagnose.planner.actions import Action, Catalogue, Situation
from diagnose.planner.outlook import Outlook, check_table
from diagnose.planner.worth import HAND_OVER, Purse, after, check_minutes, entropy_gain

LEAST_MASS = 0.002
"""What less belief than this has anything to say on is not weighed."""

WORTH_KEEPING = 0.02
"""Chance of settling the job that is not thrown away for want of a look beforehand."""


class CheckOrder:
    """The checks of one layout as the plain plan makes them: probability over minutes."""

    def __init__(self, catalogue: Catalogue) -> None:
        """Use the checks of ``catalogue``."""
        self.catalogue = catalogue

    def purse(self, outlook: Outlook, situation: Situation) -> Purse:
        """Return which check settles each hypothesis of ``outlook``, and at what price."""
        net = self.catalogue.net
        columns: dict[tuple[str, str], int] = {}
        of_cause = np.full(len(outlook.causes), -1, dtype=np.int64)
        for k, i in enumerate(outlook.causes.tolist()):
            if i >= len(net.instances):
                continue
            best = self.settles(net.instances[i], situation)
            if best is not None:
                of_cause[k] = columns.setdefault(best, len(columns))
        prices = [check_minutes(net, c, at, situation.opened) for c, at in columns]
        of_cause[of_cause < 0] = len(columns)
        return Purse(
            np.repeat(of_cause, 3), np.array([*prices, HAND_OVER]), tuple(columns), situation.opened
        )

    def settles(self, cause: CauseAt, situation: Situation) -> tuple[str, str] | None:
        """Return the cheapest check, and where, that settles ``cause`` and can be made now."""
        net = self.catalogue.net
        best: tuple[float, str, str] | None = None
        for c in net.library.causes[cause.cause].checks:
            if c.result in net.library.checks[c.check].narrows:
                continue
            for place in net.places.related(cause.at, c.at, {}):
                if (c.check, place) in situation.done:
                    continue
                if (c.check, place) not in self.catalogue.offers:
                    continue
                if not situation.has(net.library.checks[c.check]):
                    continue
                if self.catalogue.check_gone(c.check, place, situation.lost):
                    continue  # what it would have found was moved or drained away
                price = check_minutes(net, c.check, place, situation.opened) / c.chance
                if best is None or price < best[0]:
                    best = (price, c.check, place)
        return best[1:] if best else None

    def chances_of(self, check: str, outlook: Outlook) -> Mapping[str, float]:
        """Return the chance that ``check`` settles the job, by the part at which it is made."""
        net = self.catalogue.net
        mass = outlook.weights.reshape(-1, 3).sum(axis=1).tolist()
        out: dict[str, float] = {}
        for i, weight in zip(outlook.causes.tolist(), mass, strict=True):
            if i >= len(net.instances):
                continue
            cause = net.instances[i]
            for c in net.library.causes[cause.cause].checks:
                if c.check == check and c.result not in net.library.checks[check].narrows:
                    for place in net.places.related(cause.at, c.at, {}):
                        out[place] = out.get(place, 0.0) + weight * c.chance
        return out

    def in_order(
        self, belief: Held, posterior: Posterior, situation: Situation
    ) -> tuple[tuple[str, str], ...]:
        """Return the checks of the plain plan in its order: what stands if nothing more is asked.

        Each is a check and its place; order is probability over minutes.
        """
        outlook = Outlook(belief, posterior)
        purse = self.purse(outlook, situation)
        mass = np.bincount(purse.check_of, weights=outlook.weights, minlength=len(purse.minutes))
        order = np.argsort(-mass[:-1] / purse.minutes[:-1], kind="stable")
        return tuple(purse.columns[k] for k in order if mass[k] > 0.0)

    def first_check(self, outlook: Outlook, purse: Purse, situation: Situation) -> Action | None:
        """Return the check the plain plan starts with, or None where it hands over."""
        k = purse.first(outlook.weights)
        return self._check(k, outlook, purse, situation) if k < len(purse.columns) else None

    def check_before_run(
        self, minutes: float, outlook: Outlook, purse: Purse, situation: Situation
    ) -> Action | None:
        """Return the check to make before an engine run of so many ``minutes``, None for none.

        It is worth making first where the chance that it settles the job, and the run is not
        needed, times the minutes of the run is more than its own minutes.
        """
        mass = np.bincount(purse.check_of, weights=outlook.weights, minlength=len(purse.minutes))
        saved = mass[:-1] * minutes - purse.minutes[:-1]
        k = int(np.argmax(saved)) if len(saved) else 0
        return self._check(k, outlook, purse, situation) if len(saved) and saved[k] > 0.0 else None

    def check_kept_first(
        self, destroys: Collection[str], outlook: Outlook, purse: Purse, situation: Situation
    ) -> Action | None:
        """Return a check that could settle something and finds it only before ``destroys``."""
        mass = np.bincount(purse.check_of, weights=outlook.weights, minlength=len(purse.minutes))
        for k, (check, place) in enumerate(purse.columns):
            if mass[k] > WORTH_KEEPING and self.catalogue.check_gone(check, place, destroys):
                return self._check(k, outlook, purse, situation)
        return None

    def narrowing(
        self, outlook: Outlook, purse: Purse, now: float, situation: Situation
    ) -> list[Action]:
        """Return the checks that only narrow the search, each with the minutes it saves.

        They settle nothing, so the plain plan has no place for them: they are weighed as readings
        are, against the plain plan's ``now`` minutes.
        """
        library = self.catalogue.net.library
        out = []
        for check, place in self.catalogue.checks:
            known = library.checks[check]
            if not known.narrows or (check, place) in situation.done or not situation.has(known):
                continue
            table = check_table(outlook.belief, check, place)
            if outlook.mass_on(table.active) < LEAST_MASS:
                continue
            given = outlook.given(table)
            mass, beliefs = after(outlook.weights, given)
            minutes = check_minutes(self.catalogue.net, check, place, situation.opened)
            saves = now - float(mass @ purse.value(beliefs)) - minutes
            gain = entropy_gain(outlook.weights, given)
            out.append(Action(check=check, at=place, minutes=minutes, gain=gain, saves=saves))
        return out

    def _check(self, k: int, outlook: Outlook, purse: Purse, situation: Situation) -> Action:
        check, place = purse.columns[k]
        table = check_table(outlook.belief, check, place)
        given = outlook.given(table)
        return Action(
            check=check,
            at=place,
            minutes=check_minutes(self.catalogue.net, check, place, situation.opened),
            gain=entropy_gain(outlook.weights, given),
            chance=float(outlook.weights[purse.check_of == k].sum()),
        )
