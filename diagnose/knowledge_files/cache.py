"""Keeps finished libraries in the user's cache folder, so that the second start is quick.

The key is the hash of every knowledge file and of the code that reads them: a stale library
cannot be found.  Only our own frozen dataclasses are ever unpickled, so a file that somebody put
there cannot run code.  Whatever is wrong with the cache, the files are read as if it were absent.
"""

from __future__ import annotations

import copyreg
import dataclasses
import hashlib
import io
import pickle
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

from diagnose import errors, model
from diagnose.kept import Kept

SCHEMA_VERSION: Final = 1
"""Raised when the stored form changes; the code's own hash guards the rest."""
KEEP: Final = 6
"""Libraries kept; older ones are deleted."""


def read_only(items: dict[Any, Any]) -> MappingProxyType[Any, Any]:
    """Return ``items`` as the read-only mapping they were before they were stored."""
    return MappingProxyType(items)


_ALLOWED: Final = {
    (one.__module__, name): one
    for module in (model, errors)
    for name, one in vars(module).items()
    if dataclasses.is_dataclass(one) and isinstance(one, type)
} | {(read_only.__module__, read_only.__name__): read_only}


def code_hash() -> str:
    """Return the hash of the code that turns files into a library; changed code, changed key."""
    here = Path(__file__).parent
    digest = hashlib.sha256(f"{SCHEMA_VERSION}".encode())
    folders = (here, here.parent / "model", here.parent / "units")
    below = sorted(path for folder in folders for path in folder.rglob("*.py"))
    for path in (here.parent / "errors.py", *below):
        digest.update(path.read_bytes())
    return digest.hexdigest()


def key(content: str) -> str:
    """Return the cache key of ``content`` (root name and edition) under the present code."""
    return hashlib.sha256(f"{code_hash()}\0{content}".encode()).hexdigest()[:32]


class _Pickler(pickle.Pickler):
    """Knows how to write read-only mappings, which pickle itself refuses."""

    dispatch_table = copyreg.dispatch_table.copy()
    dispatch_table[MappingProxyType] = lambda proxy: (read_only, (dict(proxy),))


class _Unpickler(pickle.Unpickler):
    """Makes nothing but our own dataclasses."""

    def find_class(self, module: str, name: str) -> Any:
        """Return an allowed class, or refuse."""
        if (module, name) not in _ALLOWED:
            raise pickle.UnpicklingError(f"'{module}.{name}' does not belong in the cache")
        return _ALLOWED[module, name]


class Cache:
    """A folder of pickled libraries."""

    def __init__(self, folder: Path | None = None) -> None:
        """Use ``folder``, or the user's cache folder."""
        self._kept = Kept("libraries", ".pickle", KEEP, folder)

    @property
    def folder(self) -> Path:
        """Return where the libraries lie."""
        return self._kept.folder

    def get(self, key: str) -> object | None:
        """Return what was stored under ``key``; None when absent or unusable."""
        data = self._kept.get(key)
        if data is None:
            return None
        try:
            found: object = _Unpickler(io.BytesIO(data)).load()
        except Exception:  # any fault of a cache only costs a fresh reading
            return None
        return found

    def put(self, key: str, value: object) -> None:
        """Store ``value`` under ``key`` in one step; a folder that cannot be written is let be."""
        buffer = io.BytesIO()
        _Pickler(buffer, protocol=pickle.HIGHEST_PROTOCOL).dump(value)
        self._kept.put(key, buffer.getvalue())
