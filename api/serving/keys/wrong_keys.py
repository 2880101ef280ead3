"""Log the addresses that send wrong keys again and again, so that an operator or a firewall can block them."""

import logging
import time
from collections import OrderedDict
from dataclasses import dataclass

WINDOW_SECONDS = 60.0  # our own choice: a line per address and minute at most
REPEATED = 10  # our own choice: a person who types a key wrongly gives up earlier
MAX_ADDRESSES = 1_000  # our own limit: beyond it, the address whose last wrong key is oldest is removed
_log = logging.getLogger(__name__)


@dataclass(slots=True)
class _Count:
    since: float
    wrong: int = 0


class WrongKeys:
    """Counts wrong keys by address; guessing a key is hopeless, but a flood of guesses costs time."""

    def __init__(self) -> None:
        """Start with no address."""
        self._counts: OrderedDict[str, _Count] = OrderedDict()

    def count(self, address: str) -> None:
        """Count a wrong key, and log a warning at the tenth within a minute.

        Args:
            address: the address of the peer, as the server gives it in the scope; uvicorn replaces the address of a
                trusted proxy by that of the client.
        """
        now = time.monotonic()
        count = self._counts.pop(address, None)
        if count is None or now - count.since > WINDOW_SECONDS:
            count = _Count(since=now)
        count.wrong += 1
        self._counts[address] = count
        if len(self._counts) > MAX_ADDRESSES:
            self._counts.popitem(last=False)
        if count.wrong == REPEATED:
            _log.warning(
                "%d wrong keys from %s within %d s",
                REPEATED,
                address,
                WINDOW_SECONDS,
                extra={"client": address},
            )
