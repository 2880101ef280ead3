"""The command line: serve; `try` an example in process; print the `openapi` document; manage `key`s."""

import argparse
import asyncio
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import orjson

from api.app import VERSION, create_api, create_app
from api.contract.examples import FOLDER, load_example
from api.serving.addresses import check_addresses
from api.serving.draining import Drain
from api.serving.environment import read_settings, unknown_variables
from api.serving.hosts import hosts_on_loopback
from api.serving.keys.access import check_start, is_loopback
from api.serving.keys.commands import add_key_command, run_key_command
from api.serving.nginx.command import add_proxy_config_command, run_proxy_config_command
from api.serving.observing import scraping
from api.serving.observing.logs import log_config, log_warnings, open_standard_error
from api.serving.server import serve
from api.settings import Settings


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command.

    Args:
        arguments: of the command line.

    Returns:
        The exit status: 0; 1 if a tried request was refused; 2 if a file or a setting is invalid, or the service would
        be open to others without `--access open`; 3 if the server could not start.
    """
    open_standard_error()
    options = _parser().parse_args(arguments)
    if options.command == "key":
        return run_key_command(options)
    if options.command == "proxy-config":
        return run_proxy_config_command(options)
    if options.command == "openapi":
        # With the default settings, whatever the environment contains.
        document = create_api(Settings.model_construct()).openapi()
        sys.stdout.write(orjson.dumps(document, option=orjson.OPT_INDENT_2).decode() + "\n")
        return 0
    if options.command == "try":
        return _try(options.example)
    return _serve(options)


def _serve(options: argparse.Namespace) -> int:
    try:
        settings, warnings = read_settings(), unknown_variables()
        if options.access is not None:
            settings = settings.model_copy(update={"access": options.access})
        check_addresses(settings, host=options.host, port=options.port)
        check_start(settings, host=options.host, access=options.access)
        log_warnings(settings, warnings)
        hosts = hosts_on_loopback(settings) if is_loopback(options.host) else frozenset[str]()
        drain = Drain()
        app = create_app(settings, hosts=hosts, drain=drain)
        with scraping.metrics_port(settings, version=VERSION):
            return serve(app, settings, drain, host=options.host, port=options.port, log_config=log_config(settings))
    except ValueError as error:
        sys.stderr.write(f"{error}\n")
        return 2


def _try(name: Path) -> int:
    from api.contract.trying import answer_table, as_request, ask  # noqa: PLC0415 - an HTTP client, not for serving

    try:
        example = as_request(_example(name))
    except FileNotFoundError:
        sys.stderr.write(f"{name}: is no file, and no bundled example, such as rescale-parkin\n")
        return 2
    except (OSError, TypeError, ValueError) as error:
        sys.stderr.write(f"{name}: {error}\n")
        return 2
    try:
        app = create_app(read_settings().model_copy(update={"keys_file": None}))
    except ValueError as error:
        sys.stderr.write(f"{error}\n")
        return 2
    status, answer = asyncio.run(ask(app, example))
    sys.stdout.write(answer_table(status, answer) + "\n")
    return 0 if status < 400 else 1


def _example(name: Path) -> dict[str, Any]:
    """The file of this path, or the example of this name that comes with the service."""
    bundled = FOLDER / f"{name}.json"
    return load_example(bundled if len(name.parts) == 1 and not name.exists() and bundled.is_file() else name)


def _port(text: str) -> int:
    port = int(text)
    if not 0 <= port <= 65_535:
        raise argparse.ArgumentTypeError("a port is a number from 0 (any that is free) to 65535")
    return port


def _parser() -> argparse.ArgumentParser:
    is_module = Path(sys.argv[0]).name == "__main__.py"
    parser = argparse.ArgumentParser(
        prog="python -m api" if is_module else "tinwright", description="Recipe arithmetic for bake shops."
    )
    parser.add_argument("--version", action="version", version=VERSION)
    parser.add_argument("--host", default="127.0.0.1", help="address to listen on (default %(default)s)")
    parser.add_argument("--port", type=_port, default=8000, help="port to listen on (default %(default)s)")
    parser.add_argument(
        "--access", choices=["open"], help="open: start without keys on an address that other machines can reach"
    )
    commands = parser.add_subparsers(dest="command", metavar="COMMAND")
    trying = commands.add_parser("try", help="answer one example in process and print a table")
    trying.add_argument("example", type=Path, help="path of an example file, or the name of a bundled one")
    commands.add_parser("openapi", help="print the OpenAPI document")
    add_key_command(commands)
    add_proxy_config_command(commands)
    return parser


if __name__ == "__main__":
    sys.exit(main())
