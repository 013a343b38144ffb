"""The hidden fault as the log keeps it: not to be read at a glance, and no secret.

Whoever wants to read it can, with this module; it only keeps an eye that falls on the file from
seeing the answer.  Text and a key stream of SHA-256 (FIPS 180-4) over the salt are added bit by
bit.
"""

from __future__ import annotations

import binascii
from base64 import b64decode, b64encode
from hashlib import sha256
from itertools import count

from diagnose.errors import UsageError

SALT = 8
"""Bytes of salt, so that the same fault never looks the same twice."""


def sealed(text: str, salt: bytes) -> str:
    """Return ``text`` covered, with its ``salt`` before it; plain letters and figures."""
    return b64encode(salt + _covered(text.encode(), salt)).decode()


def opened(cover: str) -> str:
    """Return what ``sealed`` covered.

    Raises:
        UsageError: If it is not such a text.
    """
    try:
        data = b64decode(cover.encode(), validate=True)
        return _covered(data[SALT:], data[:SALT]).decode()
    except (binascii.Error, UnicodeError):
        raise UsageError("the hidden fault kept in the exercise cannot be read.") from None


def _covered(data: bytes, salt: bytes) -> bytes:
    stream = bytearray()
    for k in count():
        if len(stream) >= len(data):
            break
        stream += sha256(salt + k.to_bytes(4, "big")).digest()
    return bytes(a ^ b for a, b in zip(data, stream, strict=False))
