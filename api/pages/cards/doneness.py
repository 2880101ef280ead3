"""Doneness by place on the bake card and the cut card: the plan, the coldest piece, and the pieces that are alike."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from markupsafe import Markup

from api.drawings.language import Language
from api.drawings.style import ON_CARD
from api.pages.cards.job import CardJob
from api.pages.cards.key_figures import Answer, degrees, minutes_text
from api.pages.cards.words import NBSP, Words
from api.v1.job.baking_schemas import Bake, DonenessWish
from api.v1.job.schemas import Formula
from api.v1.job.views import bake_view
from api.wire.answers import as_plain_data
from domain.shop.goods import Book

MAX_ROWS = 6  # our own limit: more do not fit on a printed sheet beside the cuts
MAX_MAPPED = 100  # our own limit: the figures of more pieces cannot be read from a card
MIN_RUN = 3  # so many numbers in a row are written as a span


@dataclass(frozen=True, slots=True, kw_only=True)
class DonenessRow:
    """Pieces that are equally done: their numbers, how many, their coldest point and their share of crust."""

    numbers: str
    count: int
    coldest: str
    crust: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DonenessPart:
    """What a card shows of doneness: the rows from the coldest up, and what is said of the pieces beyond them."""

    plan: str
    coldest: str
    drawing: Markup
    rows: tuple[DonenessRow, ...]
    others: str


def answer_by_place(job: CardJob, shop: Book, language: Language) -> Answer:
    """The answer of `/v1/bake`, with doneness by place.

    Args:
        job: of the card, with the cuts of its target.
        shop: the book of the shop file.
        language: of the plan's words.
    """
    wish = Bake(doneness=DonenessWish(drawing=True))
    targets = [target.model_copy(update={"bake": wish}) for target in job.body.targets]
    by_place = job.body.model_copy(update={"targets": targets})
    return as_plain_data(bake_view(by_place, shop, style=ON_CARD, language=language))


def doneness_part(answer: Answer, words: Words) -> DonenessPart | None:
    """Doneness of the first target; None if it is not known.

    Args:
        answer: of `answer_by_place`.
        words: of the page.
    """
    doneness = answer["targets"][0].get("bake", {}).get("doneness")
    if doneness is None:
        return None
    portions: Sequence[Answer] = doneness["portions"]
    rows = tuple(_rows(portions, words))
    return DonenessPart(
        plan=words.text(
            "The coldest point of each piece after %(minutes)s, and lines of equal temperature at half the height. "
            "Computed: the probe decides.",
            minutes=minutes_text(words, doneness["minutes"]),
        ),
        coldest=_coldest(doneness, words),
        # Safe: our own drawings are built from elements, and every text in them is escaped.
        drawing=Markup(doneness["drawing"]),  # noqa: S704
        rows=rows[:MAX_ROWS],
        others=words.text("The table has the coldest pieces; all others are hotter.") if len(rows) > MAX_ROWS else "",
    )


def _rows(portions: Sequence[Answer], words: Words) -> Iterator[DonenessRow]:
    def shown(portion: Answer) -> tuple[float, str, str]:
        celsius = portion["coldest_celsius"]
        crust = f"{words.number(portion['crust_percent'], 0)}{NBSP}%"
        return float(f"{celsius:.1f}"), f"{words.number(celsius, 1)}{NBSP}°C", crust

    for (_, coldest, crust), group in groupby(sorted(portions, key=shown), key=shown):
        numbers = sorted(portion["portion"] for portion in group)
        yield DonenessRow(numbers=", ".join(_spans(numbers)), count=len(numbers), coldest=coldest, crust=crust)


def _spans(numbers: Iterable[int]) -> Iterator[str]:
    """Rising numbers as text, with a dash where at least three follow each other.

    >>> list(_spans([1, 2, 4, 5, 6, 9]))
    ['1', '2', '4–6', '9']
    """
    for _, group in groupby(enumerate(numbers), key=lambda each: each[1] - each[0]):
        run = [number for _, number in group]
        yield from [f"{run[0]}\N{EN DASH}{run[-1]}"] if len(run) >= MIN_RUN else map(str, run)


def _coldest(doneness: Answer, words: Words) -> str:
    portions: Sequence[Answer] = doneness["portions"]
    if len({portion["coldest_celsius"] for portion in portions}) <= 1:
        return ""
    coldest = min(portions, key=lambda portion: portion["coldest_celsius"])
    return words.text(
        "Probe piece %(number)s: it is the coldest, about %(celsius)s after %(minutes)s.",
        number=coldest["portion"],
        celsius=degrees(words, coldest["coldest_celsius"]),
        minutes=minutes_text(words, doneness["minutes"]),
    )


def missing_fields(formula: Formula) -> Iterator[str]:
    """The fields of the page without which no window can be known.

    Args:
        formula: with its bake, or without one.
    """
    if formula.bake is None or formula.bake.minutes is None:
        yield "minutes"
    if formula.tin is None:
        yield "tin"
    if formula.filled_depth is None:
        yield "depth"
