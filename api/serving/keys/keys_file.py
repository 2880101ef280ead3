"""The keys file on disk: checked when it is opened, locked while it is read or written, and written in place.

Writing in place keeps the owner and the mode of the file, so a service that runs as another user can still read it
after root has removed a key. Every reader and writer takes an advisory lock (`fcntl.flock`), so no reader sees a
half-written file and two commands cannot overwrite each other's change.
"""

import fcntl
import os
import stat
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

MAX_BYTES = 100_000  # our own limit: several times what the largest number of keys needs
NEW_FILE_MODE = 0o600
LOCK_SECONDS = 5.0  # our own limit: a writer holds the lock for milliseconds
_RETRY_SECONDS = 0.02
# Without O_NONBLOCK, opening a FIFO waits for a writer.
_SAFE = os.O_NONBLOCK | os.O_CLOEXEC
_ROOT = 0


class KeysFileError(ValueError):
    """The keys file cannot be used; the message says where and why, and never repeats the content of the file."""


def read_text(path: Path) -> str:
    """Read a keys file.

    Args:
        path: the keys file; a symbolic link is followed, since Kubernetes mounts a Secret as one.

    Returns:
        The text of the file.

    Raises:
        KeysFileError: the file cannot be read, is not a regular file, can be changed by others, is locked for too long,
            is too large, or is not UTF-8.
    """
    with _opened(path, os.O_RDONLY, fcntl.LOCK_SH) as descriptor:
        return _decode(path, _read(path, descriptor))


class WritableKeysFile:
    """A keys file that this process holds the exclusive lock on."""

    def __init__(self, path: Path, descriptor: int) -> None:
        """Read the file."""
        self.path, self._descriptor = path, descriptor
        self._content = _read(path, descriptor)
        self.text = _decode(path, self._content)

    def append(self, line: str) -> None:
        """Add a line; if the disk is full, the file stays as it was."""
        separator = b"" if not self._content or self._content.endswith(b"\n") else b"\n"
        self._write(self._content + separator + f"{line}\n".encode(), start=len(self._content))

    def replace(self, text: str) -> None:
        """Replace the whole text by a shorter one, which needs no more space on the disk."""
        self._write(text.encode(), start=0)

    def _write(self, content: bytes, *, start: int) -> None:
        try:
            written = start
            while written < len(content):
                written += os.pwrite(self._descriptor, content[written:], written)
            os.ftruncate(self._descriptor, len(content))
            os.fsync(self._descriptor)
        except OSError as error:
            os.ftruncate(self._descriptor, len(self._content))
            raise KeysFileError(f"{self.path}: {error.strerror}") from None
        self._content = content


@contextmanager
def open_for_writing(path: Path, *, create: bool = False) -> Iterator[WritableKeysFile]:
    """Open a keys file and hold its exclusive lock.

    Args:
        path: the keys file.
        create: whether to create a missing file, which then only its owner may read.

    Yields:
        The file.

    Raises:
        KeysFileError: as for `read_text`.
    """
    flags = os.O_RDWR | (os.O_CREAT if create else 0)
    with _opened(path, flags, fcntl.LOCK_EX) as descriptor:
        yield WritableKeysFile(path, descriptor)


@contextmanager
def _opened(path: Path, flags: int, lock: int) -> Iterator[int]:
    try:
        _check_folders(path)
        descriptor = os.open(path, flags | _SAFE, NEW_FILE_MODE)
    except OSError as error:
        raise KeysFileError(f"{path}: {error.strerror or 'cannot be opened'}") from None
    try:
        _check_file(path, os.fstat(descriptor))
        _lock(path, descriptor, lock)
        yield descriptor
    finally:
        os.close(descriptor)  # this also releases the lock


def _check_file(path: Path, status: os.stat_result) -> None:
    if not stat.S_ISREG(status.st_mode):
        raise KeysFileError(f"{path}: is not a regular file")
    if status.st_mode & stat.S_IWOTH:
        raise KeysFileError(f"{path}: every user may write it and so add a key; run chmod o-w on it")
    if status.st_mode & stat.S_IWGRP:
        raise KeysFileError(f"{path}: its group may write it and so add a key; run chmod g-w on it")


def _check_folders(path: Path) -> None:
    """Refuse a folder in which any user can put another file in the place of this one."""
    target = path.resolve()
    for entry in {path.absolute(), target}:
        folder = entry.parent.stat()
        if not folder.st_mode & stat.S_IWOTH:
            continue
        trusted = {_ROOT, os.geteuid()}
        # In a sticky folder only the owner of an entry, the owner of the folder and root can replace the entry.
        owners = {folder.st_uid, *([entry.lstat().st_uid] if os.path.lexists(entry) else [])}
        if not folder.st_mode & stat.S_ISVTX or not owners <= trusted:
            raise KeysFileError(
                f"{path}: every user may replace files in the folder {entry.parent}; move the file, or run chmod o-w on"
                " the folder"
            )


def _lock(path: Path, descriptor: int, lock: int) -> None:
    """Take the lock, but never wait for it without a limit."""
    deadline = time.monotonic() + LOCK_SECONDS
    while True:
        try:
            fcntl.flock(descriptor, lock | fcntl.LOCK_NB)
        except BlockingIOError:
            if time.monotonic() > deadline:
                raise KeysFileError(f"{path}: another process has locked the file; try again") from None
            time.sleep(_RETRY_SECONDS)
        except OSError as error:
            raise KeysFileError(f"{path}: cannot be locked ({error.strerror})") from None
        else:
            return


def _read(path: Path, descriptor: int) -> bytes:
    try:
        content = b""
        while len(content) <= MAX_BYTES and (chunk := os.pread(descriptor, MAX_BYTES + 1, len(content))):
            content += chunk
    except OSError as error:
        raise KeysFileError(f"{path}: {error.strerror or 'cannot be read'}") from None
    if len(content) > MAX_BYTES:
        raise KeysFileError(f"{path}: is longer than {MAX_BYTES:,} bytes")
    return content


def _decode(path: Path, content: bytes) -> str:
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise KeysFileError(f"{path}: is not text in UTF-8") from None
