"""`python -m api key new|list|remove`: the keys file, from the command line."""

import argparse
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import NamedTemporaryFile

from api.serving.environment import read_settings
from api.serving.keys.keyring import CALCULATE, MOST_KEYS, SCOPES, Key, new_key, read_keys

MODE = 0o600  # of a new file


def add_key_command(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Put `key` and what it does among the commands."""
    key = commands.add_parser("key", help="make, list or remove the keys that the service asks for")
    actions = key.add_subparsers(dest="action", metavar="ACTION", required=True)
    where = argparse.ArgumentParser(add_help=False)
    where.add_argument("--file", type=Path, help="the keys file (default: TINWRIGHT_KEYS_FILE)")
    new = actions.add_parser("new", parents=[where], help="make a key, print it once, add its hash to the file")
    new.add_argument("name", metavar="NAME", help="what it is called, in the file and in the log")
    new.add_argument(
        "--scope",
        action="append",
        choices=SCOPES,
        help=f"what it opens: everything but the metrics, or those; may be given twice (default {CALCULATE})",
    )
    new.add_argument(
        "--output",
        type=Path,
        metavar="NEWFILE",
        help="put the key into this file, which must not exist yet and only its owner may read, instead of printing it",
    )
    actions.add_parser("list", parents=[where], help="names and scopes of the keys in the file")
    remove = actions.add_parser("remove", parents=[where], help="take a key out of the file")
    remove.add_argument("name", metavar="NAME")


def run_key_command(options: argparse.Namespace) -> int:
    """Do what `key` was asked.

    Args:
        options: as the parser read them.

    Returns:
        The exit status: 0; 2 where it cannot be done, with the reason on standard error.
    """
    try:
        path: Path | None = options.file or read_settings().keys_file
        if options.action == "new":
            _new(path, options.name, options.scope or [CALCULATE], options.output)
        elif path is None:
            raise ValueError("say which file: --file FILE, or TINWRIGHT_KEYS_FILE")  # noqa: TRY301 - one way out
        elif options.action == "list":
            sys.stdout.writelines(f"{key.line.rpartition(' ')[0]}\n" for key in read_keys(path))
        else:
            _remove(path, options.name)
    except (OSError, ValueError) as error:
        sys.stderr.write(f"{error}\n")
        return 2
    return 0


def _new(path: Path | None, name: str, scopes: list[str], output: Path | None) -> None:
    secret, key = new_key(name, scopes)
    told = f"The line for the keys file, on which TINWRIGHT_KEYS_FILE is set:\n{key.line}"
    with _kept_in(output, secret):
        if path is not None:
            _add(path, key)
            told = f"Added to {path}. A running service reads it when it gets SIGHUP."
    if output is not None:
        sys.stderr.write(f"{told}\nThe key itself is in {output}, and nowhere else.\n")
        return
    # The key alone on standard output, so that it can go into a pipe.
    sys.stderr.write(f"{told}\nThe key itself is shown this once and kept nowhere:\n")
    sys.stderr.flush()
    sys.stdout.write(f"{secret}\n")


@contextmanager
def _kept_in(output: Path | None, secret: str) -> Iterator[None]:
    """A new file with the key, gone again if what follows fails; a shell's `>` would have emptied an old one before."""
    if output is None:
        yield
        return
    try:
        descriptor = os.open(output, os.O_WRONLY | os.O_CREAT | os.O_EXCL, MODE)
    except FileExistsError:
        raise ValueError(f"{output}: is there already, and was left as it is; choose another file") from None
    try:
        with os.fdopen(descriptor, "w", encoding="ascii") as file:
            file.write(f"{secret}\n")
        yield
    except BaseException:
        output.unlink()
        raise


def _add(path: Path, key: Key) -> None:
    there = read_keys(path) if path.exists() else ()
    if key.name in {one.name for one in there}:
        raise ValueError(f"{path}: there is a key named {key.name}; remove it first, or choose another name")
    if len(there) >= MOST_KEYS:
        raise ValueError(f"{path}: holds {MOST_KEYS} keys already, the most there may be")
    written = path.read_bytes() if path.exists() else b""
    begin = "" if not written or written.endswith(b"\n") else "\n"
    with os.fdopen(os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT, MODE), "a", encoding="utf-8") as file:
        file.write(f"{begin}{key.line}\n")


def _remove(path: Path, name: str) -> None:
    if name not in {key.name for key in read_keys(path)}:
        raise ValueError(f"{path}: there is no key named {name}")
    lines = path.read_text("utf-8-sig").splitlines(keepends=True)
    kept = [line for line in lines if line.lstrip().startswith("#") or line.split()[:1] != [name]]
    # Whole or not at all: a service may be reading it. What the name leads to is replaced, not a link to it.
    target = path.resolve()
    with NamedTemporaryFile("w", encoding="utf-8", dir=target.parent, delete=False) as file:
        file.writelines(kept)
        os.fchmod(file.fileno(), target.stat().st_mode & 0o777)
    Path(file.name).replace(target)
    sys.stderr.write(f"Removed from {path}. A running service lets it in until it gets SIGHUP.\n")
