"""Logs: one JSON object per line on standard error, for the service, the server and every library.

A line never contains a body, a query, a header or a raw path. Lines go through a bounded queue to a thread that writes
them. If standard error is not being read, lines are dropped and counted; requests are not delayed.
"""

import json
import logging
import logging.config
import os
import select
import sys
import threading
import time
import traceback
from collections.abc import Iterable
from contextlib import suppress
from logging.handlers import QueueHandler, QueueListener
from math import isfinite
from queue import Full, Queue
from typing import Any

from pythonjsonlogger.core import RESERVED_ATTRS
from pythonjsonlogger.orjson import OrjsonFormatter

from api.settings import Settings

REQUESTS = "api.requests"
STANDARD_ERROR = 2  # POSIX
# Our own limits, without a source.
MAX_LINES = 2_000  # in the queue
MAX_LINE_BYTES = 8_192
MAX_FRAMES = 30  # of a traceback
MAX_LETTERS_OF_A_TRACEBACK_LINE = 200
MAX_LETTERS_OF_A_FIELD, SHORT_FIELD = 3_000, 200
MAX_LINES_AT_ONCE = 50  # in one write
PAUSE_SECONDS = 0.02  # of the writer, when there is no line
FLUSH_SECONDS = 1.0  # a process that ends waits for the writer at most this long
REPORT_SECONDS = 10.0  # between two lines about dropped lines
_STANDARD_FIELDS = ["asctime", "levelname", "name", "message"]
_NAMES = {"asctime": "time", "levelname": "level", "name": "logger", "exc_info": "exception", "stack_info": "stack"}
_NAMES_OF_STANDARD_FIELDS = [_NAMES.get(field, field) for field in _STANDARD_FIELDS]
# Uvicorn repeats its messages with colours for a terminal.
_HIDDEN = [*RESERVED_ATTRS, "color_message"]


class LineCount:
    """A counter that several threads may increment."""

    def __init__(self) -> None:
        """Start at zero."""
        self.value = 0
        self._lock = threading.Lock()

    def increment(self, count: int = 1) -> None:
        """Count one or more."""
        with self._lock:
            self.value += count


DROPPED = LineCount()  # in this process


class JsonLine(OrjsonFormatter):
    """Formats a record as one line of ASCII with at most `MAX_LINE_BYTES` bytes, whatever the record contains."""

    converter = time.gmtime  # type: ignore[assignment]  # documented for this in `logging.Formatter.formatTime`
    default_time_format = "%Y-%m-%dT%H:%M:%S"
    default_msec_format = "%s.%03dZ"

    def __init__(self) -> None:
        """Put the standard fields first; those of `extra` follow."""
        super().__init__(_STANDARD_FIELDS, rename_fields=_NAMES, reserved_attrs=_HIDDEN)

    def formatException(self, ei: Any) -> str:  # noqa: ANN401, N802 - inherited
        """The last calls and the exception; long lines are cut, since a message may quote what a client sent."""
        blocks = traceback.TracebackException(*ei, limit=-MAX_FRAMES).format()
        lines = [line[:MAX_LETTERS_OF_A_TRACEBACK_LINE] for block in blocks for line in block.splitlines()]
        return "\n".join(lines)[-MAX_LETTERS_OF_A_FIELD:]

    def jsonify_log_record(self, log_data: dict[str, Any]) -> str:
        """Serialise the fields; a line that is too long is cut."""
        try:
            line = super().jsonify_log_record(log_data)
        except TypeError:  # a text with lone surrogates, or a number above 64 bits
            line = _cut(log_data)
        if not line.isascii() or "\x7f" in line or len(line) > MAX_LINE_BYTES:
            line = _cut(log_data)
        return line


def _cut(log_data: dict[str, Any]) -> str:
    """Serialise to ASCII within the limit: first with long fields cut, at last with the standard fields alone."""
    for letters in (MAX_LETTERS_OF_A_FIELD, SHORT_FIELD):
        line = _to_ascii({str(name): _scalar(value, letters) for name, value in log_data.items()})
        if len(line) <= MAX_LINE_BYTES:
            return line
    return _to_ascii({name: _scalar(log_data[name], SHORT_FIELD) for name in _NAMES_OF_STANDARD_FIELDS})


def _to_ascii(fields: dict[str, object]) -> str:
    # JSON allows a DEL character, but a terminal would obey it.
    return json.dumps(fields).replace("\x7f", "\\u007f")


def _scalar(value: object, letters: int) -> object:
    if value is None or isinstance(value, bool | int) or (isinstance(value, float) and isfinite(value)):
        return value
    text = str(value)
    # The exception itself is at the end of its traceback.
    return text[-letters:] if text.startswith("Traceback") else text[:letters]


class LineQueue(QueueHandler):
    """Formats records and puts the lines into a bounded queue; a full queue drops them."""

    queue: Queue[Any]
    listener: "LineWriter"

    def __init__(self, descriptor: int = STANDARD_ERROR) -> None:
        """Start the thread that writes to *descriptor*, which stays open."""
        super().__init__(Queue(MAX_LINES))
        self.setFormatter(JsonLine())
        self.listener = LineWriter(self.queue, descriptor, self.formatter or JsonLine())
        self.listener.start()

    def prepare(self, record: logging.LogRecord) -> str:
        """Format the record here, so that the queue holds short texts instead of objects of the request."""
        return self.format(record)

    def enqueue(self, line: str) -> None:  # type: ignore[override]  # what `prepare` returns
        """Queue a line, or count it as dropped."""
        try:
            self.queue.put_nowait(line)
        except Full:
            DROPPED.increment()

    def handleError(self, record: logging.LogRecord) -> None:  # noqa: ARG002, N802 - inherited
        """Count a record that cannot be formatted; the standard way would print to standard error and may block."""
        DROPPED.increment()

    def flush(self) -> None:
        """Wait until the lines so far are written, but not longer than `FLUSH_SECONDS`."""
        deadline = time.monotonic() + FLUSH_SECONDS
        while self.queue.unfinished_tasks and time.monotonic() < deadline:
            time.sleep(0.005)

    def close(self) -> None:
        """End the thread after the lines so far, without waiting for it: it may be blocked for ever."""
        super().close()
        with suppress(Full):  # the thread is a daemon and ends with the process
            self.listener.enqueue_sentinel()


class LineWriter(QueueListener):
    """Writes the queued lines to a file descriptor, in a daemon thread that alone waits for the reader."""

    queue: Queue[Any]

    def __init__(self, lines: Queue[Any], descriptor: int, formatter: logging.Formatter) -> None:
        """Write to *descriptor*; the formatter is for lines about dropped lines."""
        super().__init__(lines)
        self._descriptor, self._formatter = descriptor, formatter
        self._reported, self._reported_at = DROPPED.value, -REPORT_SECONDS

    def dequeue(self, block: bool) -> Any:  # noqa: ANN401, FBT001 - inherited
        """Look for a line now and then: being woken for every line would interrupt the request that logs it."""
        while block and self.queue.empty():
            time.sleep(PAUSE_SECONDS)
        return super().dequeue(block)

    def handle(self, line: str) -> None:  # type: ignore[override]  # what the queue holds
        """Write the lines that wait, and now and then a line about those that were dropped."""
        lines = [line]
        while len(lines) < MAX_LINES_AT_ONCE and not self.queue.empty():
            entry = self.dequeue(block=False)
            self.queue.task_done()
            if entry is None:  # what `enqueue_sentinel` has put, for the loop that called this method
                self.enqueue_sentinel()
                break
            lines.append(entry)
        try:
            self._write("\n".join(lines))
            dropped, now = DROPPED.value, time.monotonic()
            if dropped > self._reported and now - self._reported_at >= REPORT_SECONDS:
                self._write(self._report(dropped - self._reported))
                self._reported, self._reported_at = dropped, now
        except OSError:  # standard error is closed, its disk is full, or its reader has gone
            DROPPED.increment(len(lines))

    def _write(self, line: str) -> None:
        rest = line.encode("ascii") + b"\n"
        while rest:
            try:
                rest = rest[os.write(self._descriptor, rest) :]
            except BlockingIOError:  # another process has made the shared pipe non-blocking
                writable = select.poll()
                writable.register(self._descriptor, select.POLLOUT)
                writable.poll()

    def _report(self, count: int) -> str:
        record = logging.makeLogRecord(
            {
                "name": __name__,
                "levelno": logging.WARNING,
                "levelname": logging.getLevelName(logging.WARNING),
                "msg": "%d log lines were dropped, since standard error was not read in time",
                "args": (count,),
                "dropped": count,
            }
        )
        return self._formatter.format(record)


def open_standard_error() -> None:
    """Open `/dev/null` as standard error if the process was started without one (`2>&-`).

    Otherwise the next file or socket that is opened would get descriptor 2, and log lines would be written into it.
    """
    if sys.stderr is not None:
        return
    descriptor = os.open(os.devnull, os.O_WRONLY)
    if descriptor != STANDARD_ERROR:
        os.dup2(descriptor, STANDARD_ERROR)
        os.close(descriptor)
    sys.stderr = os.fdopen(STANDARD_ERROR, "w", encoding="utf-8")


def log_config(settings: Settings) -> dict[str, Any]:
    """The configuration for `logging.config.dictConfig`, which the server applies in each of its processes.

    Args:
        settings: the settings; only `log_level` and `log_requests` count here.

    Returns:
        One handler for everything; without `log_requests` only failed requests are logged.
    """
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "handlers": {"lines": {"()": f"{__name__}.{LineQueue.__name__}"}},
        "root": {"handlers": ["lines"], "level": settings.log_level.upper()},
        "loggers": {
            # Otherwise uvicorn sets up handlers with another format.
            "uvicorn": {"handlers": [], "level": "NOTSET", "propagate": True},
            REQUESTS: {"level": "NOTSET" if settings.log_requests else "ERROR"},
        },
    }


def log_warnings(settings: Settings, warnings: Iterable[str]) -> None:
    """Configure the log before the server does, and write lines to it."""
    logging.config.dictConfig(log_config(settings))
    for warning in warnings:
        logging.getLogger(__name__).warning("%s", warning)
