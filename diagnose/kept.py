"""A folder of results that can always be made again: kept whole, or treated as absent.

A digest in front tells a torn or altered file before anything is made of it; a file takes its
name only when it is complete; a folder that cannot be read or written only costs time.
"""

from __future__ import annotations

import hashlib
import os
import tempfile
from pathlib import Path

import platformdirs

APP = "fuel-system-diagnose"
_DIGEST = 32


class Kept:
    """The newest few results of one kind, as bytes under their keys."""

    def __init__(self, kind: str, suffix: str, most: int, folder: Path | None) -> None:
        """Use ``folder``, or the folder named ``kind`` in the user's cache; keep ``most`` files."""
        self.folder = folder or Path(platformdirs.user_cache_dir(APP)) / kind
        self._suffix = suffix
        self._most = most

    def get(self, key: str) -> bytes | None:
        """Return what was put under ``key``, or None when it is absent or not whole."""
        try:
            data = (self.folder / f"{key}{self._suffix}").read_bytes()
        except OSError:
            return None
        body = data[_DIGEST:]
        return body if hashlib.sha256(body).digest() == data[:_DIGEST] else None

    def put(self, key: str, body: bytes) -> None:
        """Keep ``body`` under ``key`` in one step; a folder that cannot be written is let be."""
        name = ""
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            with tempfile.NamedTemporaryFile(dir=self.folder, suffix=".part", delete=False) as part:
                name = part.name
                part.write(hashlib.sha256(body).digest() + body)
            os.replace(name, self.folder / f"{key}{self._suffix}")
            self._prune()
        except OSError:
            if name:
                Path(name).unlink(missing_ok=True)

    def _prune(self) -> None:
        files = sorted(
            self.folder.glob(f"*{self._suffix}"), key=lambda p: p.stat().st_mtime, reverse=True
        )
        for path in files[self._most :]:
            path.unlink(missing_ok=True)
