"""The checksum of an entry, chained to all before it: one that was changed, lost or added is seen from there on."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence


def chained(before: str, values: Sequence[object]) -> str:
    """The sum of an entry's values after the sum of the entry before; '' before the first.

    BLAKE2b (RFC 7693) with 8 bytes: it guards against damage, not against a forger.
    """
    digest = hashlib.blake2b(before.encode("utf-8", "surrogatepass"), digest_size=8)
    for value in values:
        digest.update(b"\0" + str(value).encode("utf-8", "surrogatepass"))
    return digest.hexdigest()
