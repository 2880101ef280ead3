"""`/`, `/problems` and `/problems/{slug}`: what this is, and what each refusal means."""

import csv
from dataclasses import dataclass
from http import HTTPStatus
from importlib.resources import files

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from api.pages import cards
from api.pages.cards import EXAMPLE
from api.pages.rendering import page
from api.wire.caching import cacheable_response
from api.wire.problems import title_of


@dataclass(frozen=True, slots=True, kw_only=True)
class ProblemType:
    """A kind of refusal, for people."""

    code: str
    meaning: str
    remedy: str

    @property
    def title(self) -> str:
        """As in the problem document."""
        return title_of(self.code)


@dataclass(frozen=True, slots=True, kw_only=True)
class Client:
    """A kind of program that asks, with one example."""

    title: str
    text: str
    example: str
    link: str = ""


def _load() -> dict[str, ProblemType]:
    text = (files("api.pages") / "problem_types.csv").read_text("utf-8")
    return {row["code"]: ProblemType(**row) for row in csv.DictReader(text.splitlines())}


PROBLEM_TYPES = _load()
ICON_KEPT_SECONDS = 86_400
_ICON = (files("api.pages") / "templates" / "icon.svg").read_bytes()
CLIENTS = (
    Client(
        title="The online shop",
        text=(
            "A customer asks for a size of her own; the shop asks for the whole formula at that size, or for all its "
            "sizes in one call."
        ),
        example=(
            'POST /v1/rescale\n{"formula": {"tin": "square 20 x 5 cm", ...},\n'
            ' "targets": [{"tin": "round 23 x 5 cm", "tins": 2}]}'
        ),
        link="/docs#/rescale/rescale",
    ),
    Client(
        title="The office spreadsheet",
        text="A cell asks for one figure. format=cell is read rightly whatever sign the sheet uses for decimals.",
        example=(
            '=WEBSERVICE("http://127.0.0.1:8000/v1/convert?amount=1%201/2&unit=us_cup&to=g'
            '&ingredient=plain%20flour&packing=spooned&format=cell")*1'
        ),
        link="/v1/convert?amount=1%201/2&unit=us_cup&to=g&ingredient=plain%20flour&packing=spooned",
    ),
    Client(
        title="The bench tablet",
        text=(
            "A page for floury hands: where to put the knife, what each piece weighs, how many have a crust. It needs "
            "no script, and prints on one sheet."
        ),
        example=f"GET {EXAMPLE}",
        link=EXAMPLE,
    ),
)


async def home(request: Request) -> Response:
    """What this is, and one example for each kind of program that asks."""
    return page(request, "home.html", clients=CLIENTS)


async def problems(request: Request) -> Response:
    """Every kind of refusal."""
    return page(request, "problems.html", problems=PROBLEM_TYPES.values())


async def problem(request: Request) -> Response:
    """One kind of refusal: what it means, what to do."""
    found = PROBLEM_TYPES.get(request.path_params["slug"])
    if found is None:
        return page(request, "missing.html", status=HTTPStatus.NOT_FOUND)
    return page(request, "problem.html", problem=found)


async def icon(request: Request) -> Response:
    """What a browser shows beside the title: a slab, cut."""
    return cacheable_response(request, _ICON, media_type="image/svg+xml", max_age_seconds=ICON_KEPT_SECONDS)


ROUTES = (
    Route("/", home),
    Route("/problems", problems),
    Route("/problems/{slug}", problem),
    Route("/icon.svg", icon),
    *cards.ROUTES,
)
