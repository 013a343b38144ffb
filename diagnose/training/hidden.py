"""What is wrong with a simulated aeroplane, and the chance that belongs to it alone."""

from __future__ import annotations

import zlib
from dataclasses import dataclass

import numpy as np

from diagnose.errors import UsageError
from diagnose.model import GRADES, CauseAt


@dataclass(frozen=True)
class Hidden:
    """What is wrong with the aeroplane: cause, severity grade, and the seed of everything else."""

    cause: CauseAt
    grade: str
    seed: int

    def __str__(self) -> str:
        return f"{self.cause.cause} {self.cause.at} {self.grade} {self.seed}"

    @staticmethod
    def read(text: str) -> Hidden:
        """Return what ``str`` wrote.

        Raises:
            UsageError: If it is something else.
        """
        match text.split():
            case [cause, at, grade, seed] if grade in GRADES and seed.isdecimal():
                return Hidden(CauseAt(cause, at), grade, int(seed))
        raise UsageError("the hidden fault kept in the exercise cannot be read.")

    def rng(self, layout: str, *what: str) -> np.random.Generator:
        """Return the chance by which ``what`` is drawn on ``layout``, the same every time."""
        name = f"{layout} {self.cause} {self.grade} {' '.join(what)}"
        return np.random.default_rng([self.seed, zlib.crc32(name.encode())])
