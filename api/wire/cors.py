"""Cross-origin requests (the Fetch standard's CORS protocol), with rejected preflights as problem+json."""

from http import HTTPStatus

from starlette.datastructures import Headers
from starlette.middleware.cors import CORSMiddleware
from starlette.responses import Response

from api.wire.problems import problem


class ProblemCORSMiddleware(CORSMiddleware):
    """Starlette's middleware, which answers a rejected preflight as plain text."""

    def preflight_response(self, request_headers: Headers) -> Response:
        """Answer a preflight request; a rejected one names what is not allowed."""
        answer = super().preflight_response(request_headers)
        if answer.status_code < HTTPStatus.BAD_REQUEST:
            return answer
        headers = {name: value for name, value in answer.headers.items() if not name.startswith("content-")}
        reason = bytes(answer.body).decode()
        return problem(HTTPStatus.BAD_REQUEST, "preflight_rejected", f"{reason.rstrip('.')}.", headers=headers)
