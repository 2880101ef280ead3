"""How a layer refuses a request: the same problem document that the application would send."""

from starlette.requests import Request
from starlette.types import Receive, Scope, Send

from api.wire.problems import RequestProblem, in_a_cell_if_asked, problem

CLOSE = {"Connection": "close"}  # for a refusal after which nothing more is read from the connection


async def refuse(refusal: RequestProblem, scope: Scope, receive: Receive, send: Send) -> None:
    """Answer a request with a problem document.

    Args:
        refusal: status, code, detail and headers of the problem.
        scope: of the request; a spreadsheet's cell gets the problem as a text.
        receive: of the request.
        send: of the request.
    """
    response = problem(refusal.status, refusal.code, refusal.detail, headers=refusal.headers)
    await in_a_cell_if_asked(Request(scope), response)(scope, receive, send)
