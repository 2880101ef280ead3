"""API keys: made here, kept as hashes in a file, found without telling by the time taken which was nearly right.

The file has one key a line, `NAME SCOPES SHA256`, with spaces between; scopes are joined by commas. Empty lines and
lines that begin with `#` are passed over. `python -m api key new NAME` writes such a line.

A plain SHA-256 is enough. A slow hash protects passwords that people choose, of which there are few enough to try;
these keys are 256 random bits, which nobody can try out however fast the hash is. That is also why only keys made here
are taken: whoever hashes a word of his own finds that no request with it is let in.
"""

import hashlib
import logging
import re
import secrets
import stat
from collections.abc import Iterable
from dataclasses import dataclass
from hmac import compare_digest
from os import fstat
from pathlib import Path

CALCULATE, METRICS = "calculate", "metrics"
SCOPES = (CALCULATE, METRICS)
MOST_KEYS = 200  # our own limit: each is compared for every request, a fifth of a microsecond
MOST_BYTES = 100_000  # our own limit: of the file, several times what so many keys take
_RANDOM_BYTES = 32
_PREFIX = "tw_"  # so that a key is known for one where it has strayed to
_KEY = re.compile(rb"tw_[A-Za-z0-9_-]{43}")
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,39}")
_SHA256 = re.compile(r"[0-9a-f]{64}", re.IGNORECASE)
_log = logging.getLogger(__name__)


class KeysFileError(ValueError):
    """The keys file cannot be used; the message says where and why, and never what stands there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """A key as the file has it: what it is called, what it opens, and its hash."""

    name: str
    scopes: frozenset[str]
    sha256: bytes

    def __post_init__(self) -> None:
        """Check what the file or the command line gave.

        Raises:
            ValueError: one of the three cannot be what it says.
        """
        if not _NAME.fullmatch(self.name):
            raise ValueError(
                "a name has up to 40 letters, digits, dots, dashes and underscores, and begins with a letter or digit"
            )
        if not self.scopes or not self.scopes <= set(SCOPES):
            raise ValueError(f"the scopes are {' and '.join(SCOPES)}, joined by a comma where a key has both")

    @property
    def line(self) -> str:
        """Its line of the keys file."""
        return f"{self.name} {','.join(scope for scope in SCOPES if scope in self.scopes)} {self.sha256.hex()}"


def new_key(name: str, scopes: Iterable[str] = (CALCULATE,)) -> tuple[str, Key]:
    """Make a key.

    Args:
        name: what it is called, in the file and in the log.
        scopes: what it opens.

    Returns:
        The key itself, which is kept nowhere, and what the file keeps of it.

    Raises:
        ValueError: no such name or scope can be.
    """
    key = _PREFIX + secrets.token_urlsafe(_RANDOM_BYTES)
    return key, Key(name=name, scopes=frozenset(scopes), sha256=hashlib.sha256(key.encode()).digest())


def read_keys(path: Path) -> tuple[Key, ...]:
    """Every key of a file, which may be none.

    That others can read the file harms nothing, since no key follows from its hash; that all can write it does.

    Args:
        path: of the file.

    Returns:
        The keys in the file's order.

    Raises:
        KeysFileError: the file cannot be read, or a line of it is not as it should be.
    """
    keys: dict[int, Key] = {}
    for number, line in enumerate(_text_of(path).splitlines(), start=1):
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        try:
            key = _key_in(line)
        except ValueError as error:
            raise KeysFileError(f"{path}:{number}: {error}") from None
        for earlier, other in keys.items():
            if other.name == key.name:
                raise KeysFileError(f"{path}:{number}: the name {key.name} stands in line {earlier} already")
            if other.sha256 == key.sha256:
                raise KeysFileError(f"{path}:{number}: the same key stands in line {earlier} already")
        keys[number] = key
        if len(keys) > MOST_KEYS:
            raise KeysFileError(f"{path}:{number}: more than {MOST_KEYS} keys")
    return tuple(keys.values())


def load_keys(path: Path) -> tuple[Key, ...]:
    """The keys a service asks for: at least one.

    Args:
        path: of the file.

    Returns:
        The keys in the file's order.

    Raises:
        KeysFileError: as `read_keys`, or the file holds no key.
    """
    keys = read_keys(path)
    if not keys:
        raise KeysFileError(f"{path}: holds no key; `python -m api key new NAME --file {path}` adds one")
    return keys


class Keyring:
    """The keys of a running service, and the file they are read from anew when it is told to."""

    def __init__(self, path: Path) -> None:
        """Read the file.

        Raises:
            KeysFileError: it cannot be used.
        """
        self.path = path
        self._take(load_keys(path))

    def find(self, secret: bytes) -> Key | None:
        """The key that this is, or none; as long for a wrong one as for a right one."""
        if not _KEY.fullmatch(secret):
            return None
        sha256, found = hashlib.sha256(secret).digest(), None
        for known, key in self.rows:
            if compare_digest(known, sha256):
                found = key  # and on to the last, so that the time tells nothing
        return found

    def reload(self) -> None:
        """Read the file again; if it cannot be used, say why and keep the keys there are."""
        try:
            self._take(load_keys(self.path))
        except KeysFileError as error:
            _log.error("keys not read again, the old ones stay: %s", error)
            return
        _log.info("keys read again: %s", ", ".join(key.name for key in self.keys))

    def _take(self, keys: tuple[Key, ...]) -> None:
        self.keys = keys
        self.rows = tuple((key.sha256, key) for key in keys)


def _text_of(path: Path) -> str:
    try:
        with path.open("rb") as file:
            about = fstat(file.fileno())
            if not stat.S_ISREG(about.st_mode):
                raise KeysFileError(f"{path}: is not a plain file")
            if about.st_mode & stat.S_IWOTH:
                raise KeysFileError(f"{path}: everybody may write it, and so let himself in; take that away: chmod o-w")
            found = file.read(MOST_BYTES + 1)
    except OSError as error:
        raise KeysFileError(f"{path}: {error.strerror or 'cannot be read'}") from None
    if len(found) > MOST_BYTES:
        raise KeysFileError(f"{path}: is longer than {MOST_BYTES:,} bytes")
    try:
        return found.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise KeysFileError(f"{path}: is not text in UTF-8") from None


def _key_in(line: str) -> Key:
    parts = line.split()
    if len(parts) != 3:
        raise ValueError("a line is NAME SCOPES SHA256, with spaces between, as `python -m api key new` writes it")
    name, scopes, sha256 = parts
    if not _SHA256.fullmatch(sha256):
        raise ValueError("the third is the SHA-256 of a key, 64 hexadecimal digits; never the key itself")
    return Key(name=name, scopes=frozenset(scopes.split(",")), sha256=bytes.fromhex(sha256))
