"""Likelihood of the signs on one effect instance under one cause, and under two together.

Several causes on one effect: noisy-OR on leaving 'normal', the rest shared by the causes' own
rates.  All factors are relative to 'none of our causes', so a cause that does not act here has 1.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.belief.hypotheses import CEILING, STRANGERS, Floats
from diagnose.belief.net import BeliefNet, Ints, Table, value_given_cause
from diagnose.signs import Sign, normal_class


@dataclass(frozen=True)
class Factor:
    """The known signs of one effect instance, as seen by every cause.

    active: causes with their own view, shape (a,) (``UNKNOWN`` is handled apart).
    net: shape (a, 3, V-1).  like: product of the signs' likelihoods L_v, shape (V,).
    views: arrays (a, 3, V): a sign's likelihood as each cause makes it, by its fault of the
    instrument or by how its figures lie, over the one all causes share.
    single: relative likelihood of each active cause and grade, shape (a, 3).
    homes, stranger: the parts at which an unlisted failure would act here, shape (h,), and its
    relative likelihood at each for the quieter, like and busier stranger, shape (h, 3).
    """

    table: Table
    active: Ints
    net: Floats
    like: Floats
    views: tuple[Floats, ...]
    single: Floats
    homes: Ints
    stranger: Floats
    base: float

    def pair(self, rows: Ints, others: Ints) -> Floats:
        """Return P(signs | both) / (P(signs | one) P(signs | other)), shape (3r, 3s).

        ``rows`` and ``others`` index ``active``; each contributes three grades, cause-major.
        """
        b, n, single = self.table.background, self.net, self.single
        p, q = n[rows].reshape(-1, 1, len(b)), n[others].reshape(1, -1, len(b))
        stay = (1.0 - b.sum()) * (1.0 - p.sum(axis=-1)) * (1.0 - q.sum(axis=-1))
        leave = [b[k] + p[..., k] + q[..., k] for k in range(len(b))]
        seen = [w * self._both(k + 1, rows, others) for k, w in enumerate(leave)]
        both: Floats = stay * self._both(0, rows, others)
        both += (1.0 - stay) * sum(seen) / np.maximum(sum(leave), 1e-300)
        both /= self.base * single[rows].reshape(-1, 1) * single[others].reshape(1, -1)
        return both

    def _both(self, value: int, rows: Ints, others: Ints) -> Floats | float:
        """Return L_v under the views of both, shape (3r, 3s), or the one number it is for all."""
        out: Floats | float = self.like[value]
        for view in self.views:
            a, c = view[rows, :, value].reshape(-1, 1), view[others, :, value].reshape(1, -1)
            # two faults of one instrument chain, two spreads of one figure: either may rule,
            # never their product
            out = out * np.where((a != 1.0) & (c != 1.0), (a + c) / 2.0, a * c)
        return out


def sign_likelihood(
    net: BeliefNet, sign: Sign, rows: Floats, classes: Sequence[str], shows: float = 1.0
) -> Floats:
    """Return P(what was seen | value) for each value, softened by how the finding is known.

    Who is trusted less overlooks more: with the rest of the trust the answer is the one a sound
    aeroplane gives (the first row), whatever is there.  It does not invent what nobody looked at.
    Tries are counted one by one: the value stays from try to try, and shows itself each time with
    chance ``shows``, else the try goes as on a sound aeroplane.
    """
    trust = net.library.words.trust[sign.known_by] * shows
    column = _class_of(sign, rows, classes)
    each: Floats = trust * column + (1.0 - trust) * column[..., :1]
    if sign.tries == 1:
        return each
    usual = normal_class(net.library.questions[sign.question], net.library)
    normal = rows[..., list(classes).index(usual)]
    other: Floats = trust * normal + (1.0 - trust) * normal[..., :1]
    out: Floats = each**sign.seen * other ** (sign.tries - sign.seen)
    return out


def _class_of(sign: Sign, rows: Floats, classes: Sequence[str]) -> Floats:
    """Return P(class | value) of the class seen.

    Of one of several classes it is their sum; of a figure near its limit the mean by its chances.
    """
    chances = sign.chances or tuple((c, 1.0) for c in sign.classes)
    out: Floats = sum(w * rows[..., list(classes).index(c)] for c, w in chances)  # type: ignore[assignment] # never empty
    return out


def factor(net: BeliefNet, signs: Sequence[Sign], removed: frozenset[int], prior: Floats) -> Factor:
    """Return the factor of one effect instance from its ``signs`` (at least one).

    ``removed``: causes rectified before this epoch; they act no more.  ``prior`` weighs the mean
    rate that strangers take over.
    """
    instance = signs[0].instance
    table = net.table(instance)
    like = np.ones(len(table.values))
    changed: list[dict[int, Floats]] = []
    figured = _figured(net, signs, table)
    for sign in signs:
        if sign.check:
            # a check's detection and false-find rates live in its table, so its sign is exact
            shares = dict(sign.chances or ((c, 1.0) for c in sign.classes))
            sound = np.array([shares.get(v, 0.0) for v in table.values])
            changed.append({})
        else:
            question = net.library.questions[sign.question]
            classes = tuple(question.classes)
            shown = net.instruments.shown(question, sign.place, sign.settings())
            sound = sign_likelihood(net, sign, shown, classes)
            by_fault = {
                i: sign_likelihood(net, sign, rows, classes)
                for i, rows in net.instruments.bending(sign).items()
            }
            if sign.tries > 1:
                for i in table.active.tolist():
                    if i in net.shows and i not in by_fault:
                        by_fault[i] = sign_likelihood(net, sign, shown, classes, net.shows[i])
            least = np.maximum(sound, 1e-300)
            changed.append({i: s / least for i, s in by_fault.items() if i not in removed})
        like = like * sound
    changed.append({i: v for i, v in figured.items() if i not in removed})
    active = _active(table, set().union(*changed), removed)
    nets, given = table.rows(active)
    views = tuple(_view(c, active, len(table.values)) for c in changed if c)
    base = max(float(table.usual @ like), 1e-300)
    single = given @ like
    if views:
        seen = like
        for view in views:
            seen = seen * view
        single = np.einsum("agv,agv->ag", given, seen)
    homes, mean = net.strangers(table, prior, removed)
    stranger = value_given_cause(table, stranger_nets(mean)) @ like
    return Factor(
        table,
        active,
        nets,
        like,
        views,
        np.maximum(single / base, 1e-12),
        homes,
        np.maximum(stranger / base, 1e-12),
        base,
    )


def _active(table: Table, own_view: set[int], removed: frozenset[int]) -> Ints:
    """Return the causes that see the signs otherwise than all do, ascending."""
    if own_view <= table.index.keys() and not removed:
        return table.active
    return np.array(sorted((table.index.keys() | own_view) - removed), dtype=np.int64)


def _view(changed: Mapping[int, Floats], active: Ints, values: int) -> Floats:
    out = np.ones((len(active), 3, values))
    for i, ratio in changed.items():
        out[int(np.searchsorted(active, i))] = ratio
    return out


def figure_counted(net: BeliefNet, signs: Sequence[Sign]) -> Sign | None:
    """Return the one sign of an effect instance whose figure counts, None where there is none.

    It is the best known one: two figures of one effect in one state lie alike for one and the same
    reason, and their classes have each been weighed already.
    """
    read = [s for s in signs if s.figure is not None and not s.check and s.tries == 1]
    trusted = net.library.words.trust
    return max(read, key=lambda s: (trusted[s.known_by], s.question), default=None)


def _figured(net: BeliefNet, signs: Sequence[Sign], table: Table) -> dict[int, Floats]:
    """Return what the figures read add to their classes, by cause, (3, V); {} where nothing."""
    sign = figure_counted(net, signs)
    if sign is None or net.figures is None:
        return {}
    figure = float(sign.figure or 0.0)
    fit = net.figures(sign.question, sign.place, sign.settings(), sign.value, figure)
    if fit is None or fit.value not in table.values:
        return {}
    trust = net.library.words.trust[sign.known_by]
    column = table.values.index(fit.value)
    out: dict[int, Floats] = {}
    for cause, ratio in fit.ratio.items():
        i = net.index.get(cause, -1)
        if i >= 0:
            out[i] = np.ones((3, len(table.values)))
            out[i][:, column] = trust * ratio + (1.0 - trust)
    return out


def stranger_nets(mean: Floats) -> Floats:
    """Return the rates of the three strangers for mean rates (h, V-1): shape (h, 3, V-1)."""
    nets = mean[:, None, :] * np.array(STRANGERS)[None, :, None]
    total = nets.sum(axis=-1, keepdims=True)
    out: Floats = nets * np.where(total > CEILING, CEILING / np.maximum(total, 1e-12), 1.0)
    return out
