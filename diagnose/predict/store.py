"""Keeps finished tables in the user's cache folder; whatever is wrong with it, they are made anew.

The key is the hash of what was solved and of the code that solves it (``solvable.py``).
Only arrays and JSON are ever read, so a file that somebody put there cannot run code.
"""

from __future__ import annotations

import io
import json
import math
from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path
from typing import Any, Final

import numpy as np

from diagnose.kept import Kept
from diagnose.model import CauseAt
from diagnose.predict.solvable import Solvable
from diagnose.predict.states import Cell
from diagnose.predict.tables import Block, Tables

SCHEMA_VERSION: Final = 2
KEEP: Final = 24
"""Tables kept; older ones are deleted."""


def key_of(asked: Solvable) -> str:
    """Return the key of the tables of ``asked`` under the present code and form of file."""
    return f"{SCHEMA_VERSION}-{asked.digest()}"


class Store:
    """A folder of tables."""

    def __init__(self, folder: Path | None = None) -> None:
        """Use ``folder``, or the user's cache folder."""
        self._kept = Kept("predictions", ".npz", KEEP, folder)

    def has(self, key: str) -> bool:
        """Return whether usable tables are stored under ``key``."""
        return self.get(key) is not None

    def get(self, key: str) -> Tables | None:
        """Return the tables stored under ``key``; None when absent or unusable."""
        data = self._kept.get(key)
        if data is None:
            return None
        try:
            with np.load(io.BytesIO(data), allow_pickle=False) as file:
                return _unpacked(file)
        except Exception:  # any fault of a cache only costs the solving
            return None

    def put(self, key: str, tables: Tables) -> None:
        """Store ``tables`` in one step; a folder that cannot be written is let be."""
        buffer = io.BytesIO()
        np.savez_compressed(buffer, **_packed(tables))
        self._kept.put(key, buffer.getvalue())


def _packed(tables: Tables) -> dict[str, Any]:
    """Return the arrays to store: one flat array of each kind, and a JSON text that cuts them."""
    head = {
        "causes": [[c.cause, c.at] for c in tables.causes],
        "needs": list(tables.needs),
        "cells": [asdict(c) for c in tables.cells],
        "blocks": [
            [effect, place, list(b.values), len(b.cells), len(b.active), b.sound.size > 0]
            for (effect, place), b in tables.blocks.items()
        ],
        "solved": tables.solved,
        "unsolved": tables.unsolved,
    }
    blocks = list(tables.blocks.values())
    empty = [np.zeros(0, dtype=np.int64)]
    return {
        "head": np.frombuffer(json.dumps(head).encode(), dtype=np.uint8),
        "cells": np.concatenate([b.cells for b in blocks] or empty),
        "active": np.concatenate([b.active for b in blocks] or empty),
        "silent": np.concatenate(
            [b.silent.ravel() for b in blocks] or [np.zeros(0, dtype=np.bool_)]
        ),
        "net": np.concatenate([b.net.ravel() for b in blocks] or [np.zeros(0, np.float32)]),
        "spread": np.concatenate([b.spread.ravel() for b in blocks] or [np.zeros(0, np.float32)]),
        "sound": np.concatenate([b.sound.ravel() for b in blocks] or [np.zeros(0, np.float32)]),
    }


def _unpacked(file: Mapping[str, Any]) -> Tables:
    head = json.loads(bytes(file["head"]).decode())
    names = ("cells", "active", "net", "silent", "spread", "sound")
    cells, active, net, silent, spread, sound = (file[k] for k in names)
    blocks: dict[tuple[str, str], Block] = {}
    c = a = n = f = s = 0
    for effect, place, values, count, acting, figured in head["blocks"]:
        size = count * acting * 3 * (len(values) - 1)
        own = (count, acting, 3, len(values), 3) if figured else (0,)
        usual = (count, len(values), 3) if figured else (0,)
        blocks[(effect, place)] = Block(
            tuple(values),
            cells[c : c + count],
            active[a : a + acting],
            net[n : n + size].reshape(count, acting, 3, len(values) - 1),
            silent[3 * c : 3 * (c + count)].reshape(count, 3),
            spread[f : f + math.prod(own)].reshape(own),
            sound[s : s + math.prod(usual)].reshape(usual),
        )
        c, a, n = c + count, a + acting, n + size
        f, s = f + math.prod(own), s + math.prod(usual)
    if (c, a, n, 3 * c, f, s) != tuple(map(len, (cells, active, net, silent, spread, sound))):
        raise ValueError("the arrays do not fit their description")
    return Tables(
        tuple(CauseAt(*x) for x in head["causes"]),
        tuple(head["needs"]),
        tuple(Cell(**x) for x in head["cells"]),
        blocks,
        head["solved"],
        head["unsolved"],
    )
