"""The server under the service: uvicorn on httptools, which lets its clients know before it goes."""

import asyncio
import ctypes
import gc
import os
import signal
import sys
from contextlib import suppress
from types import FrameType
from typing import Any

import uvicorn
from uvicorn.server import Server
from uvicorn.supervisors import Multiprocess, multiprocess

from api.serving.admission import desk_of, process_settings
from api.serving.protocol import Protocol
from api.settings import Settings

APPLICATION = "api.serving.starting:application"
COLLECT_AFTER = (20_000, 20, 20)  # our own choice, by measure
# Of glibc's mallopt(3): by default answers above 128 kB are mapped anew each time, and their pages faulted in singly.
_M_TRIM_THRESHOLD, _M_MMAP_THRESHOLD = -1, -3
_KEPT_BYTES = 16_000_000  # our own choice: several times the longest answer
_TICK_SECONDS = 0.1  # as uvicorn's own loop
_LINGER_SECONDS = 1.0  # our own limit, no source: far longer than a request lies unread
# Until a worker that does not answer its parent is replaced. Our own limit: imports take seconds on a busy machine, and
# a worker that is killed for being slow to start would never start.
_HUNG_SECONDS = 30


class Drained(Server):
    """A server that, told to stop, says so: not ready any more, and each answer is its connection's last.

    What is in work has `stop_seconds` to be finished, then it is cut. `drain_seconds` before that go on as ever, so
    that whoever sends requests here sees that this one is not ready, and sends the next elsewhere.
    """

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:
        """Take a signal that asks for the end."""
        if sig == signal.SIGTERM and self.started:
            desk_of(self.lifespan.state).stopping = True
        super().handle_exit(sig, frame)

    async def startup(self, sockets: Any = None) -> None:  # noqa: ANN401 - uvicorn's own
        """Take what was made at start out of the garbage collector's rounds: it stays for good, and is most of all."""
        gc.freeze()  # and no round before: it would take a tenth of the start, to find next to nothing
        gc.enable()  # off since the start (`api/__main__.py`)
        gc.set_threshold(*COLLECT_AFTER)  # a request makes thousands of objects, and none that hold each other
        _keep_freed_memory()
        backlog = self.config.backlog
        if sockets:
            # asyncio takes so many connections on at a time as may wait, and the first worker to wake would take all of
            # them: one at a time leaves the others theirs.
            self.config.backlog = 1
        await super().startup(sockets)
        for shared in sockets or ():
            shared.listen(backlog)

    async def shutdown(self, sockets: Any = None) -> None:  # noqa: ANN401 - uvicorn's own
        """Wait for others to notice, take no more connections, answer what was sent, then stop as uvicorn does."""
        desk = desk_of(self.lifespan.state)
        await self._go_on(process_settings().drain_seconds if desk.stopping else 0, even_alone=True)
        desk.stopping = True  # after other signals too
        for listener in (*self.servers, *(sockets or ())):
            listener.close()
        # A request that lies unread on a connection is in work for whoever sent it, and closing would throw it away:
        # each is answered, as its connection's last. What is then still open is idle.
        await self._go_on(_LINGER_SECONDS, even_alone=False)
        await super().shutdown(sockets)

    async def _go_on(self, seconds: float, *, even_alone: bool) -> None:
        """Answer for a while; unless *even_alone*, only as long as there is a connection."""
        loop = asyncio.get_running_loop()
        end, ticks = loop.time() + seconds, 0
        while loop.time() < end and not self.force_exit and (even_alone or self.server_state.connections):
            ticks += 1
            await self.on_tick(ticks)  # keeps the date in the answers
            await asyncio.sleep(_TICK_SECONDS)


class Worker(multiprocess.Process):
    """A process of several, with the same server inside."""

    @property
    def server(self) -> Server:
        """The server, made where it runs."""
        if self._server is None:
            self._server = Drained(self.config)
        return self._server

    def start(self) -> None:
        """Leave its end of the pipe to it alone: one that dies is noticed at once, and not when it counts as hung."""
        super().start()
        self.child_conn.close()


class Supervisor(Multiprocess):
    """The parent of several workers."""

    workers_read_keys = False

    def terminate_all(self) -> None:
        """Let go of the socket too: as long as anyone holds it, clients connect and nobody answers."""
        super().terminate_all()
        for sock in self.sockets:
            sock.close()

    def pass_on(self, *_: object) -> None:
        """Have the workers read their keys anew, at once.

        Not as uvicorn does, which replaces one after the other: on a busy machine that takes long, or is given up, and
        until then a key that was taken away is let in. A worker that has not read them yet ends, and is replaced.
        """
        if not self.workers_read_keys:
            return
        for pid in [process.pid for process in self.processes if process.pid is not None]:
            with suppress(ProcessLookupError):
                os.kill(pid, signal.SIGHUP)


def _keep_freed_memory() -> None:
    """Have the C library keep what an answer used for the next one; only glibc has this knob."""
    mallopt = getattr(ctypes.CDLL(None), "mallopt", None) if sys.platform == "linux" else None
    if mallopt is not None:
        mallopt(_M_MMAP_THRESHOLD, _KEPT_BYTES)
        mallopt(_M_TRIM_THRESHOLD, 2 * _KEPT_BYTES)


def serve(settings: Settings, *, host: str, port: int, workers: int, log_config: dict[str, Any] | None) -> int:
    """Serve until a signal ends it.

    SIGTERM and SIGINT stop in good order; on SIGHUP keys are read anew. A worker that dies is replaced.

    Args:
        settings: of which the limits of time count here; the workers read their own from the environment.
        host: the address to listen on.
        port: the port, 0 for any that is free.
        workers: how many processes.
        log_config: as `logging.config.dictConfig` takes it.

    Returns:
        The exit status: 0, or 3 if it could not start.
    """
    config = uvicorn.Config(
        APPLICATION,
        factory=True,
        host=host,
        port=port,
        workers=workers,
        # Under load uvloop serves some connections several times before others once: the slowest hundredth waits four
        # to six times as long as the median, here twice; and what it saves is little beside our handlers.
        loop="asyncio",
        http=Protocol,
        ws="none",
        log_config=log_config,
        access_log=False,
        server_header=False,
        timeout_keep_alive=settings.keep_alive_seconds,
        timeout_graceful_shutdown=settings.stop_seconds,
        timeout_worker_healthcheck=_HUNG_SECONDS,
    )
    if workers > 1:
        multiprocess.Process = Worker  # type: ignore[misc] # the supervisor makes them, and takes no other class
        supervisor = Supervisor(config, [config.bind_socket()])
        supervisor.workers_read_keys = settings.keys_file is not None
        if hasattr(signal, "SIGHUP"):
            signal.signal(signal.SIGHUP, supervisor.pass_on)
        supervisor.run()
        return 0
    if hasattr(signal, "SIGHUP"):
        signal.signal(signal.SIGHUP, signal.SIG_IGN)  # until the keys, if there are any, listen to it
    server = Drained(config)
    # Uvicorn raises the signal again once all is done; by default SIGTERM would then end the process as if killed.
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    with suppress(KeyboardInterrupt):
        server.run()
    return 0 if server.started else 3
