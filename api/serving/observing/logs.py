"""Logs: one JSON object a line on standard error, of the service, the server under it and every library alike.

A line never holds a body, a query, a header or a raw path, and never holds an answer up: where the reader of the log
is gone or does not keep up, the line is dropped and counted.
"""

import json
import logging
import logging.config
import os
import select
import time
import traceback
from collections.abc import Iterable, Mapping
from datetime import UTC, datetime
from functools import lru_cache
from typing import Any

import orjson
from pythonjsonlogger.core import RESERVED_ATTRS
from pythonjsonlogger.orjson import OrjsonFormatter

from api.settings import Settings

REQUESTS = "api.requests"
STANDARD_ERROR = 2  # POSIX
MOST_FRAMES = 30  # our own limit: of the calls that led to an exception
MOST_LETTERS_A_LINE = 200  # our own limit: of each line of a traceback, and so of an exception's message
MOST_LETTERS_OF_A_TRACEBACK = 3_000  # our own limit: a line fits what a pipe takes at once (PIPE_BUF, 4,096 on Linux)
# The server's colours for a terminal, and what a record of Python 3.12 adds.
_NOT_SHOWN = [*RESERVED_ATTRS, "color_message", "taskName"]
# Names in a line that differ from the library's.
_NAMES = {"asctime": "time", "levelname": "level", "name": "logger", "exc_info": "exception"}


_BLANK = vars(logging.LogRecord(REQUESTS, logging.INFO, "", 0, "", None, None))
_LEVELS = {
    level: logging.getLevelName(level) for level in (logging.DEBUG, logging.INFO, logging.WARNING, logging.ERROR)
}


class RequestRecord(logging.LogRecord):
    """The record of one request: what `extra` would do, at a fifth of its cost."""

    def __init__(self, level: int, message: str, fields: Mapping[str, Any], error: Exception | None) -> None:
        """*fields* go into the line as they are."""
        # Instead of the base class's own, which looks for the place in the code and the thread.
        self.__dict__.update(_BLANK)
        self.created = time.time()
        self.levelno, self.levelname, self.msg, self.fields = level, _LEVELS[level], message, fields
        if error is not None:
            self.exc_info = (type(error), error, error.__traceback__)


class JsonLine(OrjsonFormatter):
    """A record as one line of ASCII: whatever is in it, a reader finds the same lines that were written."""

    def __init__(self) -> None:
        """The fields that every line has, in their order; those of `extra` follow."""
        super().__init__(["asctime", "levelname", "name", "message"], rename_fields=_NAMES, reserved_attrs=_NOT_SHOWN)

    def format(self, record: logging.LogRecord) -> str:
        """One line, without its end."""
        if not isinstance(record, RequestRecord):
            return super().format(record)
        line = {
            "time": self.formatTime(record),
            "level": record.levelname,
            "logger": record.name,
            "message": record.msg,
            **record.fields,
        }
        if record.exc_info:
            line["exception"] = self.formatException(record.exc_info)
        return self.jsonify_log_record(line)

    def formatTime(self, record: logging.LogRecord, datefmt: str | None = None) -> str:  # noqa: ARG002, N802 - inherited
        """UTC, ISO 8601, to the millisecond."""
        second, fraction = divmod(record.created, 1)
        return f"{_until_the_second(int(second))}.{int(fraction * 1_000):03d}Z"

    def formatException(self, ei: Any) -> str:  # noqa: ANN401, N802 - inherited
        """The last calls and the exception, each line cut: its message may quote what a client sent."""
        blocks = traceback.TracebackException(*ei, limit=-MOST_FRAMES).format()
        lines = [line[:MOST_LETTERS_A_LINE] for block in blocks for line in block.splitlines()]
        return "\n".join(lines)[-MOST_LETTERS_OF_A_TRACEBACK:]

    def jsonify_log_record(self, log_data: dict[str, Any]) -> str:
        """The line itself."""
        # JSON lets a delete stand as it is, and a terminal would obey it.
        line = orjson.dumps(log_data, default=self.json_default).decode().replace("\x7f", "\\u007f")
        # Otherwise there are separators and control characters of Unicode, which some readers take for a new line.
        return line if line.isascii() else json.dumps(json.loads(line))


@lru_cache(maxsize=1)
def _until_the_second(seconds: int) -> str:
    return datetime.fromtimestamp(seconds, UTC).strftime("%Y-%m-%dT%H:%M:%S")


class LineHandler(logging.Handler):
    """Writes lines to a file descriptor, one system call each, and never waits for its reader."""

    dropped = 0  # of the whole process

    def __init__(self, descriptor: int = STANDARD_ERROR) -> None:
        """Write to *descriptor*, which stays open."""
        super().__init__()
        self.descriptor = descriptor
        self.poll = select.poll()
        self.poll.register(descriptor, select.POLLOUT)
        self.setFormatter(JsonLine())

    def emit(self, record: logging.LogRecord) -> None:
        """Write one line, or count it as dropped."""
        try:
            line = self.format(record).encode() + b"\n"
            # A full pipe is not ready, and would block; of a closed one more is said than that.
            if self.poll.poll(0) == [(self.descriptor, select.POLLOUT)]:
                os.write(self.descriptor, line)
                return
        except Exception:  # noqa: BLE001, S110 - whatever is wrong with a line, the answer goes out
            pass
        LineHandler.dropped += 1


def log_config(settings: Settings) -> dict[str, Any]:
    """What `logging.config.dictConfig` takes, for the server to apply in each of its processes.

    Args:
        settings: of which `log_level` and `log_requests` count.

    Returns:
        One handler for everything; request lines below an error are left out if `log_requests` is off.
    """
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "handlers": {"lines": {"()": f"{__name__}.{LineHandler.__name__}"}},
        "root": {"handlers": ["lines"], "level": settings.log_level.upper()},
        "loggers": {
            # The server sets up its own otherwise, in another form.
            "uvicorn": {"handlers": [], "level": "NOTSET", "propagate": True},
            REQUESTS: {"level": "NOTSET" if settings.log_requests else "ERROR"},
        },
    }


def log_warnings(settings: Settings, warnings: Iterable[str]) -> None:
    """Write lines before there is a server, in the form that all have later."""
    logging.config.dictConfig(log_config(settings))
    for warning in warnings:
        logging.getLogger(__name__).warning("%s", warning)
