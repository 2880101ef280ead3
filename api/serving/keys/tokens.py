"""The query parameter `access_token`: removed from the scope before anything logs the address of a request."""

import re
from urllib.parse import unquote_to_bytes

from starlette.types import Scope

from api.wire.request_state import ACCESS_TOKEN, REMOVED_TOKENS

MAX_CREDENTIALS = 400  # our own limit: a key and its name in base64 are a third of it
# A route would decode the name of the parameter, so any letter of it may be percent-encoded.
_PARAMETER = re.compile(
    b"&"
    + b"".join(b"(?:%c|%%(?i:%02x))" % (letter, letter) for letter in ACCESS_TOKEN.encode())
    + b"(?:=([^&]*))?(?=&|$)"
)


def remove_tokens(scope: Scope) -> list[bytes]:
    """Remove every `access_token` from the query of a request.

    Args:
        scope: the scope of the request, which is changed: servers write their own log from it.

    Returns:
        The decoded values, also if another layer has removed them before.
    """
    state = scope.setdefault("state", {})
    if REMOVED_TOKENS not in state:
        query: bytes = b"&" + scope["query_string"]
        values: list[bytes] = _PARAMETER.findall(query) if scope["query_string"] else []
        if values:
            scope["query_string"] = _PARAMETER.sub(b"", query)[1:]
        state[REMOVED_TOKENS] = [unquote_to_bytes(value[:MAX_CREDENTIALS]) for value in values]
    removed: list[bytes] = state[REMOVED_TOKENS]
    return removed
