"""What one effect brings with it: another effect, or a result of a check."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from diagnose.errors import NOWHERE, Origin


@dataclass(frozen=True)
class Follows:
    """This effect takes ``value`` in ``share`` of the occasions on which a cause gives another.

    It speaks for every fuel cause that gives ``effect`` one of ``values`` in a state that fits
    ``when``, and says nothing of this effect itself: what starvation brings with it is said once.
    It shows at the same place and in the same state, but for what ``at``, a relation from the part
    of the cause, and ``shows_in``, settings, say otherwise.
    """

    effect: str
    values: tuple[str, ...]
    value: str
    share: float
    when: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: MappingProxyType({}))
    at: str = ""
    shows_in: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: MappingProxyType({}))
    origin: Origin = NOWHERE
