"""Slow and idle clients in great number, from several loopback addresses, replaced as they are cut."""

import asyncio
import itertools
import socket
import time
from collections import Counter
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, field

from tests.standing.proxying import get

ADDRESSES = tuple(f"127.0.1.{last}" for last in range(1, 41))
_DRIP_SECONDS = 0.7
_PAUSE_SECONDS = 0.1  # before a cut connection is replaced
BODY_BYTES = 5_000
LARGE = "/docs/swagger-ui-bundle.js"  # more than 1 MB: the kernel's buffers do not hold all of it

SLOW_HEADER = get("/v1/units")[:-2] + b"X-Slow: "
SLOW_BODY = (
    b"POST /v1/convert HTTP/1.1\r\nHost: service\r\n"
    b"Content-Type: application/json\r\nContent-Length: %d\r\n\r\n" % BODY_BYTES
)
SLOW_READER = get(LARGE)
# All but the last ten bytes of the largest body: a service that read it itself would keep all of it in memory.
HELD_BACK_BODY = (
    b"POST /v1/convert HTTP/1.1\r\nHost: service\r\n"
    b"Content-Type: application/json\r\nContent-Length: 1000000\r\n\r\n" + 999_990 * b" "
)


@dataclass(slots=True)
class Flood:
    """What became of the attackers' connections."""

    opened: int = 0
    cut: int = 0
    open_at_most: int = 0
    statuses: Counter[int] = field(default_factory=Counter)

    def __str__(self) -> str:
        answers = ", ".join(f"{count} x {status}" for status, count in sorted(self.statuses.items()))
        return f"{self.opened} opened, {self.open_at_most} at once, {self.cut} cut, answers: {answers or 'none'}"


class Attackers:
    """Connections that send *start* and then, if they drip, a byte now and then. Each is replaced when it ends."""

    def __init__(
        self,
        port: int,
        start: bytes,
        *,
        count: int,
        addresses: Sequence[str] = ADDRESSES,
        drips: bool = False,
        reads: bool = True,
    ) -> None:
        self.port, self.start, self.count, self.addresses = port, start, count, addresses
        self.drips, self.reads = drips, reads
        self.flood, self.open = Flood(), 0

    async def run(self, stop: asyncio.Event) -> Flood:
        """Attack until *stop* is set."""
        sources = itertools.islice(itertools.cycle(self.addresses), self.count)
        tasks = [asyncio.create_task(self._attacker(source, stop)) for source in sources]
        await stop.wait()
        for task in tasks:
            task.cancel()
        await asyncio.gather(*tasks, return_exceptions=True)
        return self.flood

    async def _attacker(self, source: str, stop: asyncio.Event) -> None:
        while not stop.is_set():
            with socket.socket() as connection, suppress(OSError, TimeoutError):
                connection.setblocking(False)
                # Small windows and segments, as from a distant client: the kernel takes little for a client that does
                # not read.
                connection.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4_096)
                connection.setsockopt(socket.IPPROTO_TCP, socket.TCP_MAXSEG, 1_460)
                connection.bind((source, 0))
                await self._connect(connection)
            await asyncio.sleep(_PAUSE_SECONDS)

    async def _connect(self, connection: socket.socket) -> None:
        loop = asyncio.get_running_loop()
        async with asyncio.timeout(10):
            await loop.sock_connect(connection, ("127.0.0.1", self.port))
        self.flood.opened += 1
        self.open += 1
        self.flood.open_at_most = max(self.flood.open_at_most, self.open)
        try:
            await loop.sock_sendall(connection, self.start)
            while not self._is_over(connection):
                await asyncio.sleep(_DRIP_SECONDS)
                if self.drips:
                    await loop.sock_sendall(connection, b" ")
        except ConnectionError:
            self.flood.cut += 1
            raise
        finally:
            self.open -= 1

    def _is_over(self, connection: socket.socket) -> bool:
        """Whether the other side answered or closed. A client that does not read only looks for a reset."""
        if not self.reads:
            if error := connection.getsockopt(socket.SOL_SOCKET, socket.SO_ERROR):
                raise ConnectionResetError(error)
            return False
        try:
            received = connection.recv(65_536)
        except BlockingIOError:
            return False
        if received.startswith(b"HTTP/1.1 "):
            self.flood.statuses[int(received[9:12])] += 1
        elif not received:
            self.flood.cut += 1
        return True


@dataclass(slots=True)
class Health:
    """Health checks during an attack."""

    right: int = 0
    wrong: list[str] = field(default_factory=list)
    slowest: float = 0.0

    def __str__(self) -> str:
        return f"{self.right} of {self.right + len(self.wrong)} health checks right, slowest {self.slowest:.2f} s"


async def check_health(port: int, stop: asyncio.Event, *, source: str = "127.0.0.2") -> Health:
    """Ask for `/healthz` on new connections from an address of its own, until *stop* is set."""
    health = Health()
    while not stop.is_set():
        began = time.monotonic()
        try:
            async with asyncio.timeout(5):
                reader, writer = await asyncio.open_connection("127.0.0.1", port, local_addr=(source, 0))
                try:
                    writer.write(get("/healthz", "Connection: close"))
                    answer = await reader.read()
                finally:
                    writer.close()
            if answer.startswith(b"HTTP/1.1 200 "):
                health.right += 1
            else:
                health.wrong.append(repr(answer[:60]))
        except (OSError, TimeoutError) as error:
            health.wrong.append(repr(error))
        health.slowest = max(health.slowest, time.monotonic() - began)
        await asyncio.sleep(0.2)
    return health


async def connect_many(port: int, count: int, *, request: bytes = b"", addresses: Sequence[str] = ADDRESSES) -> int:
    """Open connections at once, send *request* on each, read its answer, and keep all open until all are done.

    Returns:
        How many were opened and, if there was a request, answered with 200.
    """
    loop = asyncio.get_running_loop()
    gate = asyncio.Semaphore(30 if request else count)  # fewer requests at once than the service works on

    async def once(source: str, connection: socket.socket) -> bool:
        connection.setblocking(False)
        connection.bind((source, 0))
        async with gate, asyncio.timeout(20):
            await loop.sock_connect(connection, ("127.0.0.1", port))
            if not request:
                return True
            await loop.sock_sendall(connection, request)
            return (await loop.sock_recv(connection, 65_536)).startswith(b"HTTP/1.1 200 ")

    connections = [socket.socket() for _ in range(count)]
    try:
        sources = itertools.islice(itertools.cycle(addresses), count)
        done = await asyncio.gather(
            *(once(source, connection) for source, connection in zip(sources, connections, strict=True)),
            return_exceptions=True,
        )
        await asyncio.sleep(3)
    finally:
        for connection in connections:
            connection.close()
    return sum(result is True for result in done)
