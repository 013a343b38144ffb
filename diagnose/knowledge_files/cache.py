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
import os
import pickle
import tempfile
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

import platformdirs

from diagnose import errors, model

SCHEMA_VERSION: Final = 1
"""Raised when the stored form changes; the code's own hash guards the rest."""
KEEP: Final = 6
"""Libraries kept; older ones are deleted."""
APP: Final = "fuel-system-diagnose"


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
    above = [here.parent / "units.py", here.parent / "errors.py"]
    below = sorted((*here.rglob("*.py"), *(here.parent / "model").rglob("*.py")))
    for path in (*above, *below):
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
        self.folder = folder or Path(platformdirs.user_cache_dir(APP)) / "libraries"

    def get(self, key: str) -> object | None:
        """Return what was stored under ``key``; None when absent or unusable."""
        try:
            data = (self.folder / f"{key}.pickle").read_bytes()
            # the digest in front tells a torn or altered file before anything is made from it
            if hashlib.sha256(data[32:]).digest() != data[:32]:
                return None
            found: object = _Unpickler(io.BytesIO(data[32:])).load()
        except Exception:  # any fault of a cache only costs a fresh reading
            return None
        return found

    def put(self, key: str, value: object) -> None:
        """Store ``value`` under ``key`` in one step; a folder that cannot be written is let be."""
        buffer = io.BytesIO()
        _Pickler(buffer, protocol=pickle.HIGHEST_PROTOCOL).dump(value)
        data = buffer.getvalue()
        name = ""
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            with tempfile.NamedTemporaryFile(dir=self.folder, suffix=".part", delete=False) as part:
                name = part.name
                part.write(hashlib.sha256(data).digest() + data)
            os.replace(name, self.folder / f"{key}.pickle")
            self._prune()
        except OSError:
            if name:
                Path(name).unlink(missing_ok=True)

    def _prune(self) -> None:
        """Delete all but the newest few."""
        files = sorted(self.folder.glob("*.pickle"), key=lambda p: p.stat().st_mtime, reverse=True)
        for path in files[KEEP:]:
            path.unlink(missing_ok=True)
