"""Records as JSON with one spelling, so that equal content has an equal checksum."""

from __future__ import annotations

import hashlib
import json


def canonical_json(value: object) -> str:
    """JSON with sorted keys and no spaces.

    Raises
    ------
    ValueError
        If the value holds a number that is infinite or none.
    """
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def checksum(text: str) -> str:
    """SHA-256 of a text in UTF-8, as 64 hexadecimal digits.

    Raises
    ------
    UnicodeEncodeError
        If the text holds half of a surrogate pair.
    """
    return hashlib.sha256(text.encode()).hexdigest()
