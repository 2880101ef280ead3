"""Access control as a plain ASGI layer: with a keys file, every request must send a key.

A key is sent as `Authorization: Bearer KEY` (RFC 6750); as HTTP Basic (RFC 7617) with the name of the key as user and
the key as password, so that a browser can ask a person for it; or as `access_token` in the query of a GET (RFC 6750,
section 2.3), since a spreadsheet cell can set no header. That parameter is removed from the scope before any other
layer sees it, because servers write their logs from the scope.
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

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.contract.deprecation import CHANGES
from api.contract.docs import ASSETS
from api.pages.static import PATHS as PAGE_FILES
from api.serving.keys.keyring import Key, Keyring, read_keys
from api.serving.keys.keys_file import KeysFileError
from api.serving.keys.tokens import MAX_CREDENTIALS, remove_tokens
from api.serving.keys.wrong_keys import WrongKeys
from api.settings import Settings
from api.wire.problems import RequestProblem, in_a_cell_if_asked, problem
from api.wire.request_state import ACCESS_TOKEN, KEY_NAME

_METHODS_WITH_TOKEN = frozenset({"GET", "HEAD"})
# The documentation of how to send a key, and health checks.
_OPEN_PATHS = frozenset(
    {"/healthz", "/readyz", "/openapi.json", "/docs", "/icon.svg", "/problems", CHANGES}
    | {f"/docs/{name}" for name in ASSETS}
    | PAGE_FILES
)
_OPEN_PROBLEM = re.compile(r"/problems/[a-z0-9_]+")
_REALM = 'realm="Tinwright"'
_HOW_TO_SEND = (
    "Send Authorization: Bearer KEY, or Basic with the key's name as user and the key as password; a GET may have"
    " access_token=KEY in its query."
)


def check_start(settings: Settings, *, host: str, access: str | None) -> None:
    """Check that a service may start on an address.

    Args:
        settings: the settings; only the keys file, the access and those of the metrics port count here.
        host: the address to listen on.
        access: the option of the command line, which takes precedence over the setting.

    Raises:
        ValueError: other machines could use the service and nobody asked for that, or the settings contradict each
            other.
    """
    is_open = (access or settings.access) == "open"
    if settings.keys_file is not None:
        try:
            read_keys(settings.keys_file)
        except KeysFileError as error:
            raise KeysFileError(f"TINWRIGHT_KEYS_FILE: {error}") from None
        if is_open:
            raise ValueError("TINWRIGHT_KEYS_FILE asks for keys, but the access is open: remove one of the two.")
    elif not is_open and not is_loopback(host):
        raise ValueError(
            f"{host or 'Every address'} can be reached from other machines, and no keys are set up. Either make a key"
            " with `python -m api key new NAME --file FILE` and set TINWRIGHT_KEYS_FILE=FILE, or allow everybody:"
            " --access open, or TINWRIGHT_ACCESS=open."
        )
    if settings.metrics and settings.metrics_port is not None and not is_open and settings.metrics_access is None:
        _check_metrics_host(settings.metrics_host)


def _check_metrics_host(host: str) -> None:
    if not is_loopback(host):
        raise ValueError(
            f"TINWRIGHT_METRICS_HOST: {host or 'every address'} can be reached from other machines, and the metrics"
            " port asks for no key. Either unset TINWRIGHT_METRICS_PORT, so that /metrics is on the port of the service"
            " and needs a key, or allow everybody to read it: TINWRIGHT_METRICS_ACCESS=open."
        )


def is_loopback(host: str) -> bool:
    """Tell whether an address can be reached from this machine only.

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
    """Accepts or refuses requests; without a keyring the service is open."""

    def __init__(self, app: ASGIApp, *, keyring: Keyring | None) -> None:
        """Wrap an application; without a keyring every request is accepted."""
        self.app, self.keyring = app, keyring
        self._wrong_keys = WrongKeys()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Accept a request, or refuse it without reading its body."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan" and self.keyring is not None:
                receive = _reload_on_sighup(receive, self.keyring)
            await self.app(scope, receive, send)
            return
        # Also without keys, so that addresses made for a service with keys work for one without.
        tokens = remove_tokens(scope)
        if tokens:
            send = _not_stored(send)
        if self.keyring is not None and scope["method"] != "OPTIONS" and not _is_open_path(scope):
            try:
                key = self._check_key(self.keyring, scope, tokens)
            except RequestProblem as refusal:
                await _refuse(refusal, scope, receive, send)
                return
            scope["state"][KEY_NAME] = key.name
            if tokens:
                scope["state"][ACCESS_TOKEN] = tokens[0].decode()
            send = _private(send)
        await self.app(scope, receive, send)

    def _check_key(self, keyring: Keyring, scope: Scope, tokens: list[bytes]) -> Key:
        headers = [value for name, value in scope["headers"] if name == b"authorization"]
        if len(headers) + len(tokens) > 1:
            raise RequestProblem(
                HTTPStatus.BAD_REQUEST,
                "given_twice",
                "A key was sent twice, or in two ways. Keep one of them.",
                headers=_challenge(', error="invalid_request"'),
            )
        if not headers and (not tokens or scope["method"] not in _METHODS_WITH_TOKEN):
            reason = "A key in the query is for GET." if tokens else "This service asks for a key."
            raise RequestProblem(
                HTTPStatus.UNAUTHORIZED, "key_needed", f"{reason} {_HOW_TO_SEND}", headers=_challenge()
            )
        key = keyring.find(tokens[0]) if tokens else _key_in_header(keyring, headers[0], scope)
        if key is None:
            client = scope.get("client")
            self._wrong_keys.count(client[0] if client else "an unknown address")
            raise RequestProblem(
                HTTPStatus.UNAUTHORIZED,
                "unknown_key",
                f"This service does not know the key. {_HOW_TO_SEND}",
                headers=_challenge(', error="invalid_token"'),
            )
        return key


def _key_in_header(keyring: Keyring, value: bytes, scope: Scope) -> Key | None:
    """The key of an Authorization header."""
    scheme, _, credentials = value[:MAX_CREDENTIALS].partition(b" ")
    credentials = credentials.strip()
    if scheme.lower() == b"bearer":
        return keyring.find(credentials)
    if scheme.lower() == b"basic":
        _check_site(Headers(scope=scope))
        with suppress(binascii.Error):
            user, _, password = b64decode(credentials, validate=True).partition(b":")
            key = keyring.find(password)
            return key if key and hmac.compare_digest(key.name.encode(), user) else None
    return None


def _check_site(headers: Headers) -> None:
    """Refuse Basic in what a page of another site loads: the browser adds the stored password by itself."""
    if headers.get("sec-fetch-site") == "cross-site" and headers.get("sec-fetch-mode") != "navigate":
        raise RequestProblem(
            HTTPStatus.FORBIDDEN,
            "cross_site_request",
            "A page of another site cannot use the password that the browser stores; send Authorization: Bearer KEY.",
        )


def _is_open_path(scope: Scope) -> bool:
    path: str = scope["path"].removeprefix(scope.get("root_path", ""))
    return path in _OPEN_PATHS or _OPEN_PROBLEM.fullmatch(path) is not None


def _challenge(error: str = "") -> dict[str, str]:
    return {"WWW-Authenticate": f"Bearer {_REALM}{error}"}


async def _refuse(refusal: RequestProblem, scope: Scope, receive: Receive, send: Send) -> None:
    response = problem(refusal.status, refusal.code, refusal.detail, headers=refusal.headers)
    if refusal.status == HTTPStatus.UNAUTHORIZED:
        response.headers.append("WWW-Authenticate", f'Basic {_REALM}, charset="UTF-8"')
    response = in_a_cell_if_asked(Request(scope), response)
    if scope["method"] == "HEAD":
        response.body = b""
    await response(scope, receive, send)


def _private(send: Send) -> Send:
    """Replace `public` in Cache-Control by `private`.

    With `public`, a shared cache may store even the answer to a request with Authorization (RFC 9111, 3.5), and would
    then answer requests without a key. `Vary` would not help: the cache would still answer for a removed key.
    """

    async def private_send(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(raw=list(message["headers"]))
            control = headers.get("cache-control", "")
            if control.startswith("public"):
                headers["cache-control"] = control.replace("public", "private", 1)
            message = {**message, "headers": headers.raw}
        await send(message)

    return private_send


def _not_stored(send: Send) -> Send:
    """Forbid every cache to store the answer to an address that has a key in it, since it stores the address too."""

    async def unstored_send(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(raw=list(message["headers"]))
            headers["cache-control"] = "private, no-store"
            message = {**message, "headers": headers.raw}
        await send(message)

    return unstored_send


def _reload_on_sighup(receive: Receive, keyring: Keyring) -> Receive:
    """Reload the keys on SIGHUP, from the start of the application to its stop."""

    async def receive_and_watch() -> Message:
        message = await receive()
        # Some systems have no SIGHUP, and only the main thread can handle signals.
        with suppress(AttributeError, NotImplementedError, RuntimeError, ValueError):
            loop = asyncio.get_running_loop()
            if message["type"] == "lifespan.startup":
                # In a thread, so that a slow disk or a locked file delays no request.
                loop.add_signal_handler(signal.SIGHUP, loop.run_in_executor, None, keyring.reload)
            else:
                loop.remove_signal_handler(signal.SIGHUP)
        return message

    return receive_and_watch
