"""`/`, `/changes`, `/problems` and `/problems/{slug}`: the front page, the contract's changes, each problem code."""

import csv
from dataclasses import dataclass, replace
from http import HTTPStatus
from importlib.resources import files

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from api.contract import deprecation
from api.pages.cards.cuts import EXAMPLE
from api.pages.cards.fields import query_string
from api.pages.cards.routes import ROUTES as CARDS
from api.pages.cards.start import examples
from api.pages.rendering import page
from api.wire.caching import cacheable_response
from api.wire.problems import title_of
from api.wire.public_url import public_root


@dataclass(frozen=True, slots=True, kw_only=True)
class ProblemType:
    """One problem code, explained for people."""

    code: str
    meaning: str
    remedy: str

    @property
    def title(self) -> str:
        """The same title as in the problem document."""
        return title_of(self.code)


@dataclass(frozen=True, slots=True, kw_only=True)
class Client:
    """One kind of client, with an example request and links to try, each with its words."""

    title: str
    text: str
    example: str = ""
    links: tuple[tuple[str, str], ...] = ()


def _load() -> dict[str, ProblemType]:
    text = (files("api.pages") / "problem_types.csv").read_text("utf-8")
    return {row["code"]: ProblemType(**row) for row in csv.DictReader(text.splitlines())}


PROBLEM_TYPES = _load()
ICON_KEPT_SECONDS = 86_400
_ICON = (files("api.pages") / "templates" / "icon.svg").read_bytes()
START = "/cards/start"
LOCAL = "http://127.0.0.1:8000"  # in examples, where no public URL is set
CLIENTS = (
    Client(
        title="The baker at the bench",
        text=(
            "Pages for floury hands, in English and German: paste the recipe, tap the tin, and weigh, divide, bake and"
            " cut by the cards. They need no script, and each prints on one sheet."
        ),
        links=(
            ("Start with a recipe", START),
            *((f"Weigh list: {name}", f"/cards/weigh?{query_string(job)}") for name, job in examples().items()),
            ("Cut card: Ginger parkin slab", f"/cards/cuts?{query_string(EXAMPLE)}"),
        ),
    ),
    Client(
        title="The online shop",
        text=(
            "A customer wants a custom size. The shop requests the whole formula for that size, or for all of its "
            "sizes at once."
        ),
        example=(
            'POST /v1/rescale\n{"formula": {"tin": "square 23 x 5 cm", ...},\n'
            ' "targets": [{"tin": "round 23 x 5 cm", "tins": 2}]}'
        ),
        links=(("Try it", "/docs#/rescale"),),
    ),
    Client(
        title="The office spreadsheet",
        text="A cell requests one figure. Every locale reads format=cell correctly, whatever its decimal sign.",
        example=(
            f'=WEBSERVICE("{LOCAL}/v1/convert?amount=1%201/2&unit=us_cup&to=g'
            '&ingredient=plain%20flour&packing=spooned&format=cell")*1'
        ),
        links=(("Try it", "/v1/convert?amount=1%201/2&unit=us_cup&to=g&ingredient=plain%20flour&packing=spooned"),),
    ),
)


async def home(request: Request) -> Response:
    """The front page, with one example for each kind of client."""
    root = public_root() or LOCAL
    clients = [replace(client, example=client.example.replace(LOCAL, root)) for client in CLIENTS]
    return page(request, "home.html", clients=clients)


async def problems(request: Request) -> Response:
    """The list of all problem codes."""
    return page(request, "problems.html", problems=PROBLEM_TYPES.values())


async def problem(request: Request) -> Response:
    """One problem code: what it means and what to do."""
    problem_type = PROBLEM_TYPES.get(request.path_params["slug"])
    if problem_type is None:
        return page(request, "missing.html", status=HTTPStatus.NOT_FOUND)
    return page(request, "problem.html", problem=problem_type)


async def changes(request: Request) -> Response:
    """What may change in the contract, what may not, and what is deprecated."""
    return page(request, "changes.html", deprecated=deprecation.OPERATIONS, months=deprecation.MIN_MONTHS)


async def icon(request: Request) -> Response:
    """The icon that a browser shows beside the title."""
    return cacheable_response(request, _ICON, media_type="image/svg+xml", max_age_seconds=ICON_KEPT_SECONDS)


ROUTES = (
    Route("/", home),
    Route("/problems", problems),
    Route("/problems/{slug}", problem),
    Route(deprecation.CHANGES, changes),
    Route("/icon.svg", icon),
    *CARDS,
)
