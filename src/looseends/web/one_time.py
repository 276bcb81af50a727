"""Links that sign in once: printed where the program was started, so who can read them sits at this computer."""

from __future__ import annotations

import hmac
import secrets
import threading
import time

_MINUTES_VALID = 15


class OneTimeLinks:
    """Words for one sign-in each, kept in memory; used, or a quarter of an hour old, a link is worth nothing."""

    def __init__(self) -> None:
        self._waiting: dict[str, tuple[str, float]] = {}
        self._lock = threading.Lock()

    def word_for(self, account_id: str) -> str:
        """A new word that signs this account in."""
        word = secrets.token_urlsafe(32)
        with self._lock:
            self._waiting[word] = (account_id, time.monotonic() + 60 * _MINUTES_VALID)
        return word

    def account_for(self, word: str) -> str | None:
        """The account that the word signs in, and the end of the word."""
        with self._lock:
            known = next((kept for kept in self._waiting if hmac.compare_digest(kept.encode(), word.encode())), None)
            if known is None:
                return None
            account_id, until = self._waiting.pop(known)
        return account_id if time.monotonic() <= until else None
