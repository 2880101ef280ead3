"""The server: uvicorn, unmodified, with one process."""

import gc
import signal
from contextlib import suppress
from typing import Any

import uvicorn
from starlette.types import ASGIApp

from api.serving.draining import Drain
from api.settings import Settings

EXIT_OK, EXIT_NOT_STARTED = 0, 3


def serve(
    app: ASGIApp, settings: Settings, drain: Drain, *, host: str, port: int, log_config: dict[str, Any] | None
) -> int:
    """Serve until a signal ends the process.

    SIGTERM and SIGINT stop it gracefully; on SIGHUP a service with keys reads its keys file again.

    Args:
        app: the application.
        settings: of which the server's time limits count here.
        drain: the application's, which is told what the server listens on.
        host: the address to listen on.
        port: the port; 0 for any that is free.
        log_config: as `logging.config.dictConfig` takes it.

    Returns:
        The exit status: 0, or 3 if the server could not start.
    """
    config = uvicorn.Config(
        app,
        host=host,
        port=port,
        loop="asyncio",  # measured: uvloop makes the slowest requests wait longer, and saves little beside our handlers
        http="httptools",
        ws="none",
        lifespan="on",
        log_config=log_config,
        access_log=False,  # `api.serving.observing` logs requests
        server_header=False,
        timeout_keep_alive=settings.keep_alive_seconds,
        timeout_graceful_shutdown=settings.stop_seconds,
    )
    if hasattr(signal, "SIGHUP"):
        signal.signal(signal.SIGHUP, signal.SIG_IGN)  # by default it would end a service without keys
    server = uvicorn.Server(config)
    drain.listeners = lambda: server.servers
    # After a graceful stop uvicorn raises the signal again. The default handler of SIGTERM would then report that the
    # process was killed.
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    gc.freeze()  # objects made at start stay, and each full collection would take a tenth of a second to scan them
    with suppress(KeyboardInterrupt):
        server.run()
    return EXIT_OK if server.started else EXIT_NOT_STARTED
