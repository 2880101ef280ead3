"""Who may ask: every request shows a key, where the service has a keys file; plain ASGI.

A key comes as `Authorization: Bearer KEY` (RFC 6750); as HTTP Basic (RFC 7617), with the key's name as user and the key
as password, so that a browser can ask a person for it; or, since a spreadsheet's cell can set no header, as
`access_token` in the query of a GET (RFC 6750, section 2.3). That parameter is taken off the query before anything
else sees it, and off the scope itself, from which servers write their logs.
"""

import asyncio
import binascii
import hmac
import re
import signal
from base64 import b64decode
from contextlib import suppress
from http import HTTPStatus
from ipaddress import ip_address
from urllib.parse import unquote_to_bytes

from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.contract.docs import ASSETS
from api.pages.rendering import ACCESS_TOKEN
from api.serving.keys.keyring import CALCULATE, METRICS, Key, Keyring, KeysFileError, load_keys
from api.serving.observing.request_log import KEY_NAME
from api.settings import Settings
from api.wire.problems import RequestProblem, in_a_cell_if_asked, problem

_WITH_QUERY = frozenset({"GET", "HEAD"})
LONGEST_CREDENTIALS = 400  # our own limit: a key and its name in base64 take a third of it
# What says how to ask, and what a machine asks to see whether the service lives.
_OPEN = frozenset(
    {"/healthz", "/readyz", "/openapi.json", "/docs", "/icon.svg", "/problems"} | {f"/docs/{name}" for name in ASSETS}
)
_OPEN_TOO = re.compile(r"/problems/[a-z0-9-]+")
_REALM = 'realm="Tinwright"'
_HOW = (
    "Send Authorization: Bearer KEY, or Basic with the key's name as user and the key as password; a GET may have"
    " access_token=KEY in its query."
)
# The parameter, however its name is percent-encoded: a route would read it decoded.
_TAKEN = re.compile(
    b"&" + b"".join(b"(?:%c|%%(?i:%02x))" % (one, one) for one in ACCESS_TOKEN.encode()) + b"(?:=([^&]*))?(?=&|$)"
)


def check_start(settings: Settings, *, host: str, access: str | None) -> None:
    """Whether a service may start on an address.

    Args:
        settings: of which `keys_file`, `access` and those of the metrics' port count.
        host: the address it is to listen on.
        access: the command line's word in place of the setting's.

    Raises:
        ValueError: it would be open to others and nobody asked for that, or what was asked for cannot be.
    """
    is_open = (access or settings.access) == "open"
    if settings.keys_file is not None:
        try:
            load_keys(settings.keys_file)
        except KeysFileError as error:
            raise KeysFileError(f"TINWRIGHT_KEYS_FILE: {error}") from None
        if is_open:
            raise ValueError("TINWRIGHT_KEYS_FILE asks for keys, and access is to be open: leave one of the two out.")
    elif not is_open and not is_loopback(host):
        raise ValueError(
            f"{host or 'Every address'} can be reached from other machines, and no keys are asked for. Either make a"
            " key with `python -m api key new NAME --file FILE` and set TINWRIGHT_KEYS_FILE=FILE, or say that"
            " everybody may ask: --access open, or TINWRIGHT_ACCESS=open."
        )
    if settings.metrics and settings.metrics_port is not None and not is_open and settings.metrics_access is None:
        _check_metrics(settings.metrics_host)


def _check_metrics(host: str) -> None:
    """That the port for metrics alone, which asks for no key, is this machine's own."""
    if not is_loopback(host):
        raise ValueError(
            f"TINWRIGHT_METRICS_HOST: {host or 'every address'} can be reached from other machines, and the metrics'"
            " own port asks for no key. Either leave TINWRIGHT_METRICS_PORT out, so that /metrics is on the service's"
            " port, for a key with the scope metrics; or say that everybody may read it: TINWRIGHT_METRICS_ACCESS=open."
        )


def is_loopback(host: str) -> bool:
    """Whether an address is this machine's alone.

    >>> [is_loopback(host) for host in ("127.8.0.1", "::1", "localhost", "0.0.0.0", "::", "")]
    [True, True, True, False, False, False]
    """
    if host.casefold() == "localhost":
        return True  # RFC 6761, 6.3
    try:
        address = ip_address(host)
    except ValueError:
        return False
    return (getattr(address, "ipv4_mapped", None) or address).is_loopback


class Access:
    """Wraps the application; without a keyring everybody may ask."""

    def __init__(self, app: ASGIApp, *, keyring: Keyring | None) -> None:
        """Keep whom to ask."""
        self.app, self.keyring = app, keyring

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request in, or refuse it without asking for its body."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan" and self.keyring is not None:
                receive = _reloading(receive, self.keyring)
            await self.app(scope, receive, send)
            return
        # Without keys too: what was made for a service with keys goes on working with one that has none.
        in_query = _take_tokens(scope) if scope["query_string"] else []
        if self.keyring is None or scope["method"] == "OPTIONS" or _is_open(path := _path_of(scope)):
            await self.app(scope, receive, send)
            return
        try:
            key = _key_of(self.keyring, scope, in_query)
            state = scope.setdefault("state", {})
            state[KEY_NAME] = key.name
            _reach(key, METRICS if path == "/metrics" else CALCULATE)
        except RequestProblem as refusal:
            await _refuse(refusal, scope, receive, send)
            return
        if in_query:
            state[ACCESS_TOKEN] = in_query[0].decode()  # for the pages, whose links must go on working
        await self.app(scope, receive, _private(send))


def _key_of(keyring: Keyring, scope: Scope, in_query: list[bytes]) -> Key:
    given = [value for name, value in scope["headers"] if name == b"authorization"]
    if len(given) + len(in_query) > 1:
        raise RequestProblem(
            HTTPStatus.BAD_REQUEST,
            "given-twice",
            "A key was sent twice, or in two ways. Keep one of them.",
            headers=_challenge(', error="invalid_request"'),
        )
    if not given and (not in_query or scope["method"] not in _WITH_QUERY):
        why = "A key in the query is for GET." if in_query else "This service asks for a key."
        raise RequestProblem(HTTPStatus.UNAUTHORIZED, "key-needed", f"{why} {_HOW}", headers=_challenge())
    key = keyring.find(in_query[0]) if in_query else _authorized(keyring, given[0])
    if key is None:
        why, error = "No such key is known here.", ', error="invalid_token"'
        raise RequestProblem(HTTPStatus.UNAUTHORIZED, "unknown-key", f"{why} {_HOW}", headers=_challenge(error))
    return key


def _authorized(keyring: Keyring, value: bytes) -> Key | None:
    """The key of an Authorization header."""
    scheme, _, credentials = value[:LONGEST_CREDENTIALS].partition(b" ")
    credentials = credentials.strip()
    if scheme.lower() == b"bearer":
        return keyring.find(credentials)
    if scheme.lower() == b"basic":
        with suppress(binascii.Error):
            user, _, password = b64decode(credentials, validate=True).partition(b":")
            key = keyring.find(password)
            return key if key and hmac.compare_digest(key.name.encode(), user) else None
    return None


def _path_of(scope: Scope) -> str:
    path: str = scope["path"]
    return path.removeprefix(scope.get("root_path", ""))


def _is_open(path: str) -> bool:
    return path in _OPEN or _OPEN_TOO.fullmatch(path) is not None


def _take_tokens(scope: Scope) -> list[bytes]:
    """Every `access_token` of the query, which has none afterwards."""
    query: bytes = b"&" + scope["query_string"]
    found = _TAKEN.findall(query)
    if found:
        scope["query_string"] = _TAKEN.sub(b"", query)[1:]
    return [unquote_to_bytes(value[:LONGEST_CREDENTIALS]) for value in found]


def _reach(key: Key, needed: str) -> None:
    if needed not in key.scopes:
        raise RequestProblem(
            HTTPStatus.FORBIDDEN,
            "key-out-of-scope",
            f"This key is known, and does not open this; a key with the scope {needed} does.",
            headers=_challenge(f', error="insufficient_scope", scope="{needed}"'),
        )


def _challenge(error: str = "") -> dict[str, str]:
    return {"WWW-Authenticate": f"Bearer {_REALM}{error}"}


async def _refuse(refusal: RequestProblem, scope: Scope, receive: Receive, send: Send) -> None:
    response = problem(refusal.status, refusal.code, refusal.detail, headers=refusal.headers)
    if refusal.status == HTTPStatus.UNAUTHORIZED:
        response.raw_headers.append((b"www-authenticate", f'Basic {_REALM}, charset="UTF-8"'.encode()))
    response = in_a_cell_if_asked(Request(scope), response)
    if scope["method"] == "HEAD":
        response.body = b""
    await response(scope, receive, send)


def _private(send: Send) -> Send:
    """What only who has a key may see is kept by no cache that answers others.

    RFC 9111, 3.5: with `public` a shared cache may keep even the answer to a request with Authorization, and would
    then give it away without asking for a key. `Vary` would not help: it has the cache answer for a removed key.
    """

    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = message["headers"]
            for i, (name, value) in enumerate(headers):
                if name == b"cache-control" and value.startswith(b"public"):
                    headers = [*headers[:i], (name, value.replace(b"public", b"private", 1)), *headers[i + 1 :]]
            message = {**message, "headers": headers}
        await send(message)

    return sending


def _reloading(receive: Receive, keyring: Keyring) -> Receive:
    """From its start to its stop, the process reads its keys anew on SIGHUP."""

    async def receiving() -> Message:
        message = await receive()
        # Not on every system, and only the main thread is told of signals: in others there is nothing to set up.
        with suppress(AttributeError, NotImplementedError, RuntimeError, ValueError):
            loop = asyncio.get_running_loop()
            if message["type"] == "lifespan.startup":
                loop.add_signal_handler(signal.SIGHUP, keyring.reload)
            else:
                loop.remove_signal_handler(signal.SIGHUP)
        return message

    return receiving
