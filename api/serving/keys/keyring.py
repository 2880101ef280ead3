"""Access keys: random values, stored as hashes in the keys file, and compared in constant time.

The file has one key per line, `NAME SHA256`, separated by spaces. Empty lines and lines that begin with `#` are
skipped. `python -m api key new NAME` writes such a line.

A plain SHA-256 is enough here. Slow hashes protect passwords that people choose, because an attacker can try the likely
ones. These keys are 256 random bits, which nobody can guess, however fast the hash is. For the same reason only keys
that this program has made are accepted: the hash of a word that somebody chose matches no request.
"""

import hashlib
import logging
import re
import secrets
import threading
from dataclasses import dataclass
from hmac import compare_digest
from pathlib import Path

from api.serving.keys.keys_file import KeysFileError, read_text
from api.serving.observing.metrics import process_metrics

MAX_KEYS = 200  # our own limit: every request is compared with each of them
_RANDOM_BYTES = 32
_PREFIX = "tw_"  # so that people and scanners recognise a key that was published by mistake
_SECRET = re.compile(rb"tw_[A-Za-z0-9_-]{43}")
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,39}")
_SHA256 = re.compile(r"[0-9a-f]{64}", re.IGNORECASE)
_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """A key as the file stores it: its name and its hash."""

    name: str
    sha256: bytes

    def __post_init__(self) -> None:
        """Check the name.

        Raises:
            ValueError: the name has other characters, or is too long.
        """
        if not _NAME.fullmatch(self.name):
            raise ValueError(
                "a name has up to 40 letters, digits, dots, dashes and underscores, and begins with a letter or digit"
            )

    @property
    def line(self) -> str:
        """The line of the keys file."""
        return f"{self.name} {self.sha256.hex()}"


def new_key(name: str) -> tuple[str, Key]:
    """Make a key.

    Args:
        name: the name of the key, in the file and in the log.

    Returns:
        The secret, which is stored nowhere, and the key as the file stores it.

    Raises:
        ValueError: the name is not valid.
    """
    secret = _PREFIX + secrets.token_urlsafe(_RANDOM_BYTES)
    return secret, Key(name=name, sha256=hashlib.sha256(secret.encode()).digest())


def read_keys(path: Path) -> tuple[Key, ...]:
    """Read every key of a file.

    It does no harm that others can read the file, since no key follows from its hash. Others must not be able to write
    it.

    Args:
        path: the keys file.

    Returns:
        The keys in the order of the file; there may be none.

    Raises:
        KeysFileError: the file cannot be read safely, or a line is not valid.
    """
    return parse_keys(path, read_text(path))


def parse_keys(path: Path, text: str) -> tuple[Key, ...]:
    """Read every key of the text of a keys file.

    Args:
        path: the keys file, for the messages.
        text: the content of the file.

    Returns:
        The keys in the order of the file.

    Raises:
        KeysFileError: a line is not valid.
    """
    keys: dict[int, Key] = {}
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        try:
            key = _parse_line(line)
        except ValueError as error:
            raise KeysFileError(f"{path}:{number}: {error}") from None
        for earlier, other in keys.items():
            if other.name == key.name:
                raise KeysFileError(f"{path}:{number}: line {earlier} already has the name {key.name}")
            if other.sha256 == key.sha256:
                raise KeysFileError(f"{path}:{number}: line {earlier} already has this key")
        keys[number] = key
        if len(keys) > MAX_KEYS:
            raise KeysFileError(f"{path}:{number}: more than {MAX_KEYS} keys")
    return tuple(keys.values())


class Keyring:
    """The keys of a running service.

    A file without keys closes the service: every request that needs a key is refused. A file that cannot be read leaves
    the keys as they are, and is an error.
    """

    def __init__(self, path: Path) -> None:
        """Read the file.

        Raises:
            KeysFileError: the file cannot be used.
        """
        self.path = path
        self._reload_lock = threading.Lock()  # so that the newest content wins when two signals arrive together
        self.keys = read_keys(path)
        self._report()

    def find(self, secret: bytes) -> Key | None:
        """Return the key with this secret, or nothing; the time taken does not depend on the stored keys."""
        if not _SECRET.fullmatch(secret):
            return None
        sha256, match = hashlib.sha256(secret).digest(), None
        for key in self.keys:
            if compare_digest(key.sha256, sha256):
                match = key  # the loop goes on, so that the time does not tell the position
        return match

    def reload(self) -> None:
        """Read the file again; if it cannot be used, log an error and keep the old keys."""
        with self._reload_lock:
            try:
                self.keys = read_keys(self.path)
            except KeysFileError as error:
                _log.error("the keys file was not reloaded and the old keys stay valid: %s", error)
                process_metrics().keys_reload_failures.inc()
                return
            self._report()

    def _report(self) -> None:
        process_metrics().keys_loaded.set_to_current_time()
        if self.keys:
            _log.info("loaded %d keys: %s", len(self.keys), ", ".join(key.name for key in self.keys))
        else:
            _log.warning("%s holds no key: every request that needs a key is refused", self.path)


def _parse_line(line: str) -> Key:
    words = line.split()
    if len(words) != 2:
        raise ValueError("a line is NAME SHA256, separated by a space, as `python -m api key new` writes it")
    name, sha256 = words
    if not _SHA256.fullmatch(sha256):
        raise ValueError("the second word is the SHA-256 of a key, 64 hexadecimal digits; never write the key itself")
    return Key(name=name, sha256=bytes.fromhex(sha256))
