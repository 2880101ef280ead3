"""What is wrong with a card, by the labels of its fields and in words of the trade."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from pydantic import ValidationError

from api.pages.cards.cut_errors import cut_message
from api.pages.cards.fields import LABELS, N_
from api.pages.cards.words import Words
from domain.errors import DomainError, DomainErrors, Path

MAX_ERRORS = 20  # our own limit
MAX_NAME = 40  # our own limit: characters shown of an unknown field's name
_WHOLE, _NUMBER, _ONCE = (
    N_("Write a whole number, such as 16."),
    N_("Write a number, such as 940 or 62.5."),
    N_("Fill this in once only."),
)
# The messages of the validation library are for programmers; these are for bakers.
_SCHEMA = {
    "int_parsing": _WHOLE,
    "int_parsing_size": _WHOLE,
    "int_from_float": _WHOLE,
    "float_parsing": _NUMBER,
    "finite_number": _NUMBER,
    "greater_than_equal": N_("At least %(ge)s."),
    "less_than_equal": N_("At most %(le)s."),
    "greater_than": N_("Above %(gt)s."),
    "less_than": N_("Below %(lt)s."),
    "string_too_long": N_("At most %(max_length)s characters."),
    "too_long": N_("At most %(max_length)s of them."),
    "literal_error": N_("One of %(expected)s."),
    "extra_forbidden": N_("This page has no such field; leave it out."),
    "string_type": _ONCE,
    "int_type": _ONCE,
    "float_type": _ONCE,
}
_RINGS = N_("Write how many pieces each ring has, from the middle outwards: 1, 6, 12.")
_LENGTH = N_("Write a length with its unit, such as 26 mm or 1 1/4 in.")
_TIN = N_(
    "Write its shape and inner sizes with a unit: square 20 cm, rectangle 30 x 20 x 5 cm, round 23 x 7 cm, "
    "ring 25 x 8 cm, cavities 12 x 80 ml."
)
_TIN_OR_AMOUNT = N_("Write a tin, such as square 20 x 5 cm, an amount such as 1500 g, or a factor such as x 2.5.")
TOO_DEEP_FOR_CUP = N_(
    "This is more than the depth of a cup. Write at most that depth, or give the cup's depth with the tin, such as "
    "cavities 12 x 80 ml x 35 mm."
)
_EGG_CLASS = N_("Choose a class from the list.")
# An amount whose unit is missing, unknown or of another kind.
_UNIT_CODES = frozenset({"ambiguous_unit", "unit_mismatch", "unknown_unit", "unreadable"})
# Errors whose candidates are in the message or in a list of the form.
_LISTED_ELSEWHERE = frozenset(
    {"cut_wish_needed", "slab_needed", "unit_mismatch", "unknown_egg_class", "unknown_shape", "unreadable_tin"}
)
_BY_FIELD = {
    **{(name, code): _LENGTH for name in ("depth", "want_depth") for code in _UNIT_CODES},
    ("oven", "unreadable_oven"): N_("Write the oven's setting, such as 150 celsius, 150 celsius fan or gas mark 4."),
    ("tin", "unreadable_tin"): _TIN,
    ("want", "unreadable_tin"): _TIN_OR_AMOUNT,
    ("eggs", "unknown_egg_class"): _EGG_CLASS,
    ("egg_class", "unknown_egg_class"): _EGG_CLASS,
}
# Errors whose messages name fields of a request.
_BY_CODE = {
    "label_needed": N_("Say which size the tins have, such as round 23 x 7 cm: 3 tins."),
    "loss_over_water": N_("The bake cannot lose more than the water in the mix."),
    "market_needed": N_("Say for which market the label is."),
    "tins_per_shelf_needed": N_("Say how many tins stand on one shelf."),
    "unknown_allergen": N_("The lists of allergens have no such name. Write it as they do, such as almond or sesame."),
    "unreadable_order": N_(
        "Write an order as a tin, a colon and a number of tins or pieces, such as round 23 x 7 cm: 3 tins."
    ),
    "tin_needed": N_("Say which tin the recipe was made in, such as square 23 x 5 cm."),
    "filled_depth_needed": N_("Say how high the raw mix stands in the recipe's own tin, such as 26 mm."),
    "depth_needed": N_("Write the depth of the tin too, such as round 26 x 6 cm."),
    "too_deep_for_cavity": TOO_DEEP_FOR_CUP,
    "no_depth": N_("Only the volume of this tin is known, so the height of the mix cannot be computed."),
    "pieces_needed": N_("Fill in one of the fields about dough pieces."),
    "given_twice": N_("Fill in one of the two: this field, or the one that says the same in another way."),
}
# Fields of the request of `/v1/rescale`, by the fields of the page; the longest path that fits counts.
_FIELDS: Mapping[Path, str] = {
    ("formula", "tin"): "tin",
    ("formula", "filled_depth"): "depth",
    ("formula", "egg_class"): "egg_class",
    ("formula", "bake"): "oven",
    ("formula", "bake", "minutes"): "minutes",
    ("formula", "bake", "core_temperature"): "core",
    ("formula", "components"): "recipe",
    ("formula",): "recipe",
    ("measures",): "measures",
    ("available_egg_classes",): "eggs",
    ("targets",): "want",
    ("text",): "recipe",
    ("orders",): "order",
    ("mixing_bowl_grams",): "bowl",
    ("oven_shelves",): "shelves",
    ("shop", "market"): "market",
    ("shop", "may_contain"): "may_contain",
    ("shop", "bake_loss_percent"): "bake_loss_percent",
    ("answers",): "answer",
}
_FIELDS_OF_TARGET = {"depth": "want_depth", "tins": "tins", "tins_per_shelf": "per_shelf"}
_FIELDS_OF_PIECES = {
    "count": "pieces",
    "grams_each": "piece_grams",
    "per_tin": "pieces_per_tin",
    "per_cavity": "pieces_per_cavity",
    "per_portion": "pieces_per_portion",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class CardError:
    """One error: its field, what is wrong in English, and what would be accepted."""

    name: str = ""
    message: str
    code: str = "invalid_request"
    candidates: tuple[str, ...] = ()
    values: Mapping[str, object] = field(default_factory=dict)

    @property
    def in_form(self) -> bool:
        """Whether the pages have this field."""
        return self.name in LABELS

    def label(self, words: Words) -> str:
        """The label of the field on the page."""
        return words.text(LABELS[self.name]) if self.in_form else self.name[:MAX_NAME]

    def text(self, words: Words) -> tuple[str, str]:
        """What is wrong, and the language that this is said in."""
        message = words.catalogue.gettext(self.message)
        if self.values:
            return message % self.values, words.language
        if message != self.message:
            return message, words.language
        return words.by_code("problem", {"code": self.code, "message": self.message})

    def accepted(self, words: Words) -> tuple[str, ...]:
        """What would be accepted; fields of the pages by their labels."""
        names = [name for each in self.candidates for name in each.split(" and ")]
        return tuple(words.text(LABELS[name]) if name in LABELS else name for name in names)


class CardErrors(Exception):  # noqa: N818 - it carries the messages of a page
    """Everything that keeps a card from being drawn; `reading` is the recipe as far as it was read."""

    def __init__(self, errors: Iterable[CardError], reading: Mapping[str, Any] | None = None) -> None:
        """Keep the errors, those of the pages' fields first and in their order, each once."""
        super().__init__("the card has errors")
        order = list(LABELS)
        unique = {(each.name, each.message): each for each in errors}.values()
        ranked = sorted(unique, key=lambda error: order.index(error.name) if error.in_form else len(order))
        self.errors, self.reading = tuple(ranked)[:MAX_ERRORS], reading


def schema_errors(error: ValidationError) -> Iterator[CardError]:
    """The errors of fields that do not hold the text, the number or the choice that they take."""
    for each in error.errors(include_url=False, include_input=False):
        limits = each.get("ctx", {})
        whole = {name: int(x) if isinstance(x, float) and x.is_integer() else x for name, x in limits.items()}
        name = str(each["loc"][0]) if each["loc"] else ""
        message = _SCHEMA.get(each["type"])
        if name == "rings" and message == _WHOLE:
            message = _RINGS
        if message is None:
            yield CardError(name=name, message=f"{each['msg']}.")
        else:
            yield CardError(name=name, message=message, values=whole if "%(" in message else {})


def domain_errors(error: DomainError | DomainErrors) -> Iterator[CardError]:
    """The errors of the domain, each with the field of the page that it is about."""
    for each in error.errors if isinstance(error, DomainErrors) else [error]:
        yield _card_error(field_of(each.path), each.code, each.detail, each.candidates)


def problem_errors(problem: Mapping[str, Any]) -> Iterator[CardError]:
    """The errors of a target that has a problem in the place of its answer."""
    for each in problem["errors"]:
        pointer = each.get("pointer", "")
        path = tuple(int(part) if part.isdecimal() else part for part in pointer.split("/")[1:])
        yield _card_error(field_of(path), each["code"], each["message"], tuple(each.get("candidates", ())))


def field_of(path: Path) -> str:
    """The field of the page for a path in the request.

    >>> field_of(("targets", 0, "depth")), field_of(("formula", "components", 0, "lines", 3, "unit"))
    ('want_depth', 'recipe')
    """
    if path[:1] == ("products",):  # the day has one product, which is the job
        path = path[2:] or ("formula",)
    if "pieces" in path[1:-1] and (name := _FIELDS_OF_PIECES.get(str(path[-1]))):
        return name
    if "pieces" in path:
        return "pieces"
    if "cuts" in path:
        return str(path[-1]) if path[-1] in LABELS else "portions"
    if path[:1] == ("targets",) and len(path) > 2:
        return _FIELDS_OF_TARGET.get(str(path[2]), "want")
    for length in range(len(path), 0, -1):
        if name := _FIELDS.get(path[:length]):
            return name
    return _FIELDS_OF_PIECES.get(str(path[0]), str(path[0])) if path else ""


def _card_error(name: str, code: str, message: str, candidates: tuple[str, ...]) -> CardError:
    message = _BY_FIELD.get((name, code)) or cut_message(name, code) or _BY_CODE.get(code) or message
    return CardError(name=name, message=message, code=code, candidates=() if code in _LISTED_ELSEWHERE else candidates)
