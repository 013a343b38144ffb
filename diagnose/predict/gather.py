"""From solved rows to P(value | cause, grade) net of what a sound aeroplane shows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from diagnose.fuel import Fault, Network, Settings
from diagnose.model import CauseAt, Effect
from diagnose.predict.figures import FIGURES, moments, spread
from diagnose.predict.groups import ALONE, systems
from diagnose.predict.severity import WEIGHTS
from diagnose.predict.states import Cell
from diagnose.predict.tables import Block, Floats, Tables, reads_in

ACTS = 0.01
"""A cause whose net rates all stay below this does nothing there."""
SILENT = 0.9
"""Where so many causes have no rate in a state and grade, it is the state that says nothing."""
SOUND = 0.5
"""Below this share of sound aeroplanes at normal, a state says nothing of a reading."""


@dataclass(frozen=True)
class Rows:
    """What is solved at once.

    settings, faults: of each row.  sound: number of each row's sound state.
    where: (sound state, fault) -> (row, system it is read in).
    """

    settings: list[Settings] = field(default_factory=list)
    faults: list[tuple[Fault, ...]] = field(default_factory=list)
    sound: list[int] = field(default_factory=list)
    where: dict[tuple[int, Fault], tuple[int, int]] = field(default_factory=dict)


@dataclass(frozen=True)
class Looked:
    """Where to look for each cause and severity point, all (causes, POINTS).

    state: number of the sound state.  row: solved row, -1 where the fuel does not feel it.
    system: system the row may be read in.  has: whether there is a fault at that point.
    """

    state: np.ndarray
    row: np.ndarray
    system: np.ndarray
    has: np.ndarray


@dataclass(frozen=True)
class Words:
    """Classes of the readings as seen on several sound aeroplanes (S).

    found: reading -> (S, rows, places) of words, '' where there is none.
    sound: the same of the sound states.  places: reading -> parts.
    figures, sound_figures: the numbers of those in ``FIGURES``, in the same shapes.
    """

    found: Mapping[str, np.ndarray]
    sound: Mapping[str, np.ndarray]
    places: Mapping[str, tuple[str, ...]]
    figures: Mapping[str, np.ndarray]
    sound_figures: Mapping[str, np.ndarray]


@dataclass
class Gathered:
    """Collects the net rates of all states; ``solved`` and ``unsolved`` count faults."""

    effects: Mapping[str, Effect]
    causes: tuple[CauseAt, ...]
    cells: tuple[Cell, ...]
    needs: tuple[str, ...]
    solved: int = 0
    unsolved: int = 0
    _nets: dict[tuple[str, str], dict[int, Floats]] = field(default_factory=dict)
    _spreads: dict[tuple[str, str], list[Spreads]] = field(default_factory=dict)

    def add(
        self,
        network: Network,
        number: int,
        states: Sequence[Settings],
        looked: Looked,
        words: Words,
    ) -> None:
        """Take in one run state (cell ``number``)."""
        cell = self.cells[number]
        found = [systems(network, s) for s in states]
        other = np.asarray([cell.tank != "" and n not in ("", cell.tank) for n in self.needs])
        for effect in self.effects.values():
            if not reads_in(effect.reading, cell):
                continue
            for k, place in enumerate(words.places[effect.reading]):
                if network.layout.parts[place].kind not in effect.at:
                    continue
                bent = _shares(words.found[effect.reading][:, :, k], effect.values)
                straight = _shares(words.sound[effect.reading][:, :, k], effect.values)
                here = np.asarray([f.of_place(place) for f in found])
                reads = (looked.row >= 0) & (
                    (looked.system == ALONE) | (looked.system == here[looked.state])
                )
                sound = straight[looked.state]
                faulty = np.where(reads[..., None], bent[looked.row], sound)
                net = net_rates(faulty, sound, looked.has)
                net[other] = np.nan
                if not np.isfinite(net).any():
                    continue
                self._nets.setdefault((effect.id, place), {})[number] = net
                if effect.reading in FIGURES:
                    found_here = _spreads(words, effect, k, looked, reads)
                    self._spreads.setdefault((effect.id, place), []).append(found_here)

    def tables(self) -> Tables:
        """Return what was gathered as tables; causes that do nothing at a place are dropped."""
        blocks = {}
        for key, by_cell in self._nets.items():
            net = np.stack(list(by_cell.values()))
            empty = np.isnan(net[..., 0])
            silent = empty.mean(axis=1) > SILENT  # no state to compare with, for whatever cause
            acts = (empty & ~silent[:, None]).any(axis=(0, 2)) | (net >= ACTS).any(axis=(0, 2, 3))
            spreads = self._spreads.get(key, [])
            own = np.stack([s.own for s in spreads]) if spreads else _NONE
            sound = np.stack([s.sound for s in spreads]) if spreads else _NONE
            if spreads:
                acts |= np.any([s.moves for s in spreads], axis=0)
            active = np.flatnonzero(acts)
            blocks[key] = Block(
                self.effects[key[0]].values,
                np.asarray(list(by_cell), dtype=np.int64),
                active,
                net[:, active].astype(np.float32),
                silent,
                own[:, active] if spreads else own,
                sound,
            )
        return Tables(self.causes, self.needs, self.cells, blocks, self.solved, self.unsolved)


_NONE = np.zeros(0, dtype=np.float32)
_MOVED = 0.05
"""A cause that moves the mean within 'normal' by this share has its own spread kept."""


@dataclass(frozen=True)
class Spreads:
    """How figures lie in one state: own (causes, 3, V, 3) and sound (V, 3) as in ``Block``.

    moves: (causes,) whether a cause shifts the figure while it stays normal.
    """

    own: np.ndarray
    sound: np.ndarray
    moves: np.ndarray


def _spreads(words: Words, effect: Effect, k: int, looked: Looked, reads: np.ndarray) -> Spreads:
    """Return how the figures of one effect at its place number ``k`` lie."""
    name, values = effect.reading, effect.values
    bent = moments(words.figures[name][:, :, k], words.found[name][:, :, k], values)
    straight = moments(words.sound_figures[name][:, :, k], words.sound[name][:, :, k], values)
    sound = straight[looked.state]
    faulty = np.where(reads[..., None, None], bent[looked.row], sound)
    weight = WEIGHTS[None] * (looked.has & (faulty[..., 0].sum(axis=-1) > 0.5))[:, None, :]
    weight = weight / np.maximum(weight.sum(axis=-1, keepdims=True), 1e-12)
    own = spread(np.einsum("cgk,ckvm->cgvm", weight, faulty))
    usual = spread(np.einsum("cgk,ckvm->cgvm", weight, sound))[..., 0, 1]
    moved = np.abs(own[..., 0, 1] - usual) > _MOVED * np.abs(usual)
    return Spreads(
        own, spread(sound.mean(axis=(0, 1))), (moved & (own[..., 0, 0] > ACTS)).any(axis=1)
    )


def _shares(words: np.ndarray, values: Sequence[str]) -> Floats:
    """Return how often each value shows, (S, rows) words -> (rows, V); all 0 where none does."""
    return np.stack([(words == v).mean(axis=0) for v in values], axis=-1)


def net_rates(faulty: Floats, sound: Floats, has: np.ndarray) -> Floats:
    """Return net rates (causes, 3, V-1) from rates at the severity points (causes, POINTS, V).

    Net of background: leaving normal is a noisy-OR of the sound aeroplane and the cause, and what
    the cause adds is shared out over the values that became more frequent.  NaN where no point of
    the grade has a reading, or a sound aeroplane mostly has none that is normal.
    """
    valid = has & (faulty.sum(axis=-1) > 0.5) & (sound.sum(axis=-1) > 0.5)
    weight = WEIGHTS[None] * valid[:, None, :]
    total = weight.sum(axis=-1)
    weight = weight / np.maximum(total, 1e-12)[..., None]
    p = np.einsum("cgk,ckv->cgv", weight, faulty)
    s = np.einsum("cgk,ckv->cgv", weight, sound)
    leaves = 1.0 - np.minimum(p[..., 0] / np.maximum(s[..., 0], 1e-12), 1.0)
    more = np.maximum(p[..., 1:] - s[..., 1:], 0.0)
    share = more / np.maximum(more.sum(axis=-1, keepdims=True), 1e-12)
    net: Floats = leaves[..., None] * share
    net[(total <= 1e-9) | (s[..., 0] < SOUND)] = np.nan
    return net
