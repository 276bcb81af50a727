"""Links that are good for one thing once: to sign in, to make the owner, to choose a new password."""

from __future__ import annotations

import hmac
import secrets
import threading
import time
from dataclasses import dataclass
from typing import Literal

Purpose = Literal["sign in", "new password"]
MINUTES: dict[Purpose, int] = {"sign in": 15, "new password": 60}
"""How long a link is good: the printed one is at hand, one for a password is carried to its person."""


@dataclass(frozen=True)
class _Waiting:
    account_id: str
    purpose: Purpose
    until: float


class OneTimeLinks:
    """Words for one use each, kept in memory; used, or older than its purpose allows, a link is worth nothing."""

    def __init__(self) -> None:
        self._waiting: dict[str, _Waiting] = {}
        self._lock = threading.Lock()

    def word_for(self, account_id: str, purpose: Purpose = "sign in") -> str:
        """A new word for this account; an earlier one for a new password ends."""
        word = secrets.token_urlsafe(32)
        with self._lock:
            if purpose == "new password":
                self._waiting = {
                    known: kept
                    for known, kept in self._waiting.items()
                    if (kept.account_id, kept.purpose) != (account_id, purpose)
                }
            self._waiting[word] = _Waiting(account_id, purpose, time.monotonic() + 60 * MINUTES[purpose])
        return word

    def account_for(self, word: str, purpose: Purpose = "sign in") -> str | None:
        """The account that the word is for, and the end of the word; None where it is not for this purpose."""
        with self._lock:
            known = next((kept for kept in self._waiting if hmac.compare_digest(kept.encode(), word.encode())), None)
            if known is None or self._waiting[known].purpose != purpose:
                return None
            found = self._waiting.pop(known)
        return found.account_id if time.monotonic() <= found.until else None
