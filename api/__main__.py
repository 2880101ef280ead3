"""`python -m api`: serve; `try FILE`: answer one example file in process; `openapi`: the contract; `key`: keys."""

import gc

if __name__ in {"__main__", "__mp_main__"}:  # the second in a worker
    gc.disable()  # all that is imported stays, and looking through it again and again is a tenth of the start

import argparse
import asyncio
import sys
from collections.abc import Sequence
from pathlib import Path

import orjson

from api.app import VERSION, create_api, create_app
from api.contract.examples import load_example
from api.serving.environment import read_settings, unknown_variables
from api.serving.keys.access import check_start
from api.serving.keys.commands import add_key_command, run_key_command
from api.serving.nginx.command import add_proxy_config_command, run_proxy_config_command
from api.serving.observing import scraping
from api.serving.observing.logs import log_config, log_warnings
from api.serving.server import serve
from api.serving.starting import check_addresses
from api.settings import Settings
from api.v1.shop.file import load_shop

MOST_WORKERS = 256  # our own limit: more is a slip


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command.

    Returns:
        The exit status: 0; 1 when a tried request was refused; 2 when its file, a setting, the shop file or the keys
        file cannot be used, or the service would be open to others and nobody asked for that; 3 when it could not
        start.
    """
    options = _parser().parse_args(arguments)
    command: str | None = options.command
    if command == "key":
        return run_key_command(options)
    if command == "proxy-config":
        return run_proxy_config_command(options)
    if command == "openapi":
        # As the defaults are, whatever the environment says.
        document = create_api(Settings.model_construct()).openapi()
        sys.stdout.write(orjson.dumps(document, option=orjson.OPT_INDENT_2).decode() + "\n")
        return 0
    if command == "try":
        return _try(options.file)
    try:
        # Here first, so that a bad setting or shop file stops the start with its reason alone.
        settings, unknown = read_settings(), unknown_variables()
        load_shop(settings.shop_file)
        check_addresses(settings, host=options.host, port=options.port)
        check_start(settings, host=options.host, access=options.access)
        metrics = scraping.begin(settings, workers=options.workers, version=VERSION)
    except ValueError as error:
        sys.stderr.write(f"{error}\n")
        return 2
    with metrics:
        log_warnings(settings, unknown)
        return serve(
            settings,
            host=options.host,
            port=options.port,
            workers=options.workers,
            log_config=log_config(settings),
        )


def _try(file: Path) -> int:
    from api.contract.trying import answer_table, as_request, ask  # noqa: PLC0415 - a client, which serving does not need

    try:
        example = as_request(load_example(file))
    except (OSError, TypeError, ValueError) as error:
        sys.stderr.write(f"{file}: {error}\n")
        return 2
    try:
        app = create_app(read_settings().model_copy(update={"keys_file": None}))
    except ValueError as error:
        sys.stderr.write(f"{error}\n")
        return 2
    status, answer = asyncio.run(ask(app, example))
    sys.stdout.write(answer_table(status, answer) + "\n")
    return 0 if status < 400 else 1


def _port(written: str) -> int:
    port = int(written)
    if not 0 <= port <= 65_535:
        raise argparse.ArgumentTypeError("a port is from 0 (any that is free) to 65535")
    return port


def _count(written: str) -> int:
    count = int(written)
    if not 1 <= count <= MOST_WORKERS:
        raise argparse.ArgumentTypeError(f"from 1 to {MOST_WORKERS}")
    return count


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m api", description="Recipe arithmetic for bake shops.")
    parser.add_argument("--host", default="127.0.0.1", help="address to listen on (default %(default)s)")
    parser.add_argument("--port", type=_port, default=8000, help="port to listen on (default %(default)s)")
    parser.add_argument("--workers", type=_count, default=1, help="processes to serve with (default %(default)s)")
    parser.add_argument("--access", choices=["open"], help="open: without keys on an address that others reach")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND")
    trying = commands.add_parser("try", help="answer one example file in process and print a table")
    trying.add_argument("file", type=Path, help="a file of openapi-examples/, or one like them")
    commands.add_parser("openapi", help="print the OpenAPI document")
    add_key_command(commands)
    add_proxy_config_command(commands)
    return parser


if __name__ == "__main__":
    sys.exit(main())
