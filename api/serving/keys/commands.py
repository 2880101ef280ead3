"""`python -m api key new|list|remove`: edit the keys file from the command line."""

import argparse
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from api.serving.environment import read_settings
from api.serving.keys.keyring import MAX_KEYS, Key, new_key, parse_keys, read_keys
from api.serving.keys.keys_file import NEW_FILE_MODE, open_for_writing


def add_key_command(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add `key` and its actions to the command line."""
    key = commands.add_parser("key", help="make, list or remove access keys")
    actions = key.add_subparsers(dest="action", metavar="ACTION", required=True)
    common = argparse.ArgumentParser(add_help=False)
    common.add_argument("--file", type=Path, help="the keys file (default: TINWRIGHT_KEYS_FILE)")
    new = actions.add_parser("new", parents=[common], help="make a key, print it once, add its hash to the file")
    new.add_argument("name", metavar="NAME", help="the name of the key, in the file and in the log")
    new.add_argument(
        "--output",
        type=Path,
        metavar="NEWFILE",
        help="write the key to this new file, which only its owner may read, instead of printing it",
    )
    actions.add_parser("list", parents=[common], help="print the names of the keys in the file")
    remove = actions.add_parser("remove", parents=[common], help="remove a key from the file")
    remove.add_argument("name", metavar="NAME", help="the name of the key")


def run_key_command(options: argparse.Namespace) -> int:
    """Run one action of `key`.

    Args:
        options: the parsed command line.

    Returns:
        The exit status: 0, or 2 with the reason on standard error.
    """
    try:
        path: Path | None = options.file or read_settings().keys_file
        if options.action == "new":
            _new(path, options.name, options.output)
        elif path is None:
            raise ValueError("name the keys file: --file FILE, or TINWRIGHT_KEYS_FILE")  # noqa: TRY301 - one way out
        elif options.action == "list":
            sys.stdout.writelines(f"{key.name}\n" for key in read_keys(path))
        else:
            _remove(path, options.name)
    except (OSError, ValueError) as error:
        sys.stderr.write(f"{error}\n")
        return 2
    return 0


def _new(path: Path | None, name: str, output: Path | None) -> None:
    secret, key = new_key(name)
    message = f"The line for the keys file that TINWRIGHT_KEYS_FILE names:\n{key.line}"
    with _saved(output, secret):
        if path is not None:
            message = _add(path, key)
    if output is not None:
        sys.stderr.write(f"{message}\nThe key is in {output} and is stored nowhere else.\n")
        return
    # Standard output has the key alone, so that it can be piped into another program.
    sys.stderr.write(f"{message}\nThe key is shown only now and is stored nowhere:\n")
    sys.stderr.flush()
    sys.stdout.write(f"{secret}\n")


@contextmanager
def _saved(output: Path | None, secret: str) -> Iterator[None]:
    """Write the key to a new file, and delete that file again if the next step fails."""
    if output is None:
        yield
        return
    try:
        descriptor = os.open(output, os.O_WRONLY | os.O_CREAT | os.O_EXCL, NEW_FILE_MODE)
    except FileExistsError:
        raise ValueError(f"{output}: exists already and was not changed; choose another file") from None
    try:
        with os.fdopen(descriptor, "w", encoding="ascii") as file:
            file.write(f"{secret}\n")
        yield
    except BaseException:
        output.unlink()
        raise


def _add(path: Path, key: Key) -> str:
    """Add a key to the file; the message for the person who did it."""
    is_new = not path.exists()
    with open_for_writing(path, create=True) as file:
        keys = parse_keys(path, file.text)
        if key.name in {other.name for other in keys}:
            raise ValueError(f"{path}: has a key named {key.name} already; remove it first, or choose another name")
        if len(keys) >= MAX_KEYS:
            raise ValueError(f"{path}: has {MAX_KEYS} keys already, which is the limit")
        file.append(key.line)
    message = f"Added to {path}. A running service accepts the key after SIGHUP."
    if is_new:
        message += " The file is new and only its owner can read it: the user that runs the service must be the owner."
    return message


def _remove(path: Path, name: str) -> None:
    with open_for_writing(path) as file:
        keys = parse_keys(path, file.text)
        if name not in {key.name for key in keys}:
            raise ValueError(f"{path}: has no key named {name}")
        lines = file.text.splitlines(keepends=True)
        file.replace("".join(line for line in lines if not _has_name(line, name)))
    message = f"Removed {name} from {path}. A running service accepts the key until it gets SIGHUP.\n"
    if len(keys) == 1:
        message += "The file holds no key now: after SIGHUP the service refuses every request that needs one.\n"
    sys.stderr.write(message)


def _has_name(line: str, name: str) -> bool:
    return not line.lstrip().startswith("#") and line.split()[:1] == [name]
