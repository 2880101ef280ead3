"""What is wrong with a cut card, by the labels of its fields and in the words of the trade."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from pydantic import ValidationError

from api.pages.cards.errors import MAX_ERRORS, MAX_NAME, schema_errors
from api.pages.cards.fields import N_, Asked
from api.pages.cards.words import Words
from domain.errors import DomainError
from domain.tins.text import unknown_shape

_MASS = N_("Write a weight, such as 940 g, 812.5 g or 1.2 kg.")
_LENGTH = N_("Write a length with its unit, such as 5 mm or 1/4 in.")
_PERCENT = N_("Write a percentage, such as 11 or 11.5 %.")
_TIN = N_(
    "Write the shape and the inner sizes with a unit: square 20 cm, 30 x 20 cm, round 23 cm, ring 25 x 8 cm, "
    "hexagon 20 cm."
)
_SIZE = N_("Write a length and a width with their unit, such as 30 x 20 cm.")
_SHAPES = {
    "oval": N_(
        "An oval cannot be planned here. Write the length and width of the rectangle that you cut out of it, or the "
        "tin that comes nearest."
    ),
    "heart": N_(
        "A heart cannot be planned here. Write the length and width of the rectangle that you cut out of it, or the "
        "tin that comes nearest."
    ),
    "star": N_(
        "A star cannot be planned here. Write the length and width of the rectangle that you cut out of it, or the "
        "tin that comes nearest."
    ),
}
_BY_CODE = {
    "unreadable_tin": _TIN,
    "unreadable_size": _SIZE,
    "slab_needed": N_("Write the tin, or the length and width of the slab; one of the two."),
    "cut_wish_needed": N_("Say how it is cut: so many pieces, or one of the other ways to cut, and only one."),
    "slab_grams_needed": N_("Write what the cooled slab weighs. Without it no piece has a weight."),
    "bake_loss_needed": N_(
        "Write what the mix loses in the oven, in percent: weigh one slab when it has cooled, and compare it with its "
        "mix."
    ),
    "given_twice": N_("Fill in one of the two: the weight of the cooled slab, or that of the raw mix."),
    "piece_too_large": N_("Not one whole piece of this size comes out of the slab."),
    "no_grid": N_("No way of cutting makes such pieces. Ask for another number or weight, or allow larger pieces."),
    "nothing_to_cut": N_("These cavities bake single pieces already: there is no slab to cut."),
    "shape_needed": N_("Write the shape of the tin, or the length and width of the slab."),
    "limit_broken": N_("Some pieces would be larger than that. Ask for more pieces, or allow larger ones."),
    "cut_mismatch": N_("This slab is not cut like that."),
}
_WAYS = N_("Use one of these: %(ways)s.")
_PAIRS = N_("Triangles come in pairs: ask for %(ways)s.")
_NEXT_COUNT = N_("%(ways)s pieces is the next number that keeps it.")
_BY_FIELD = {
    ("tin", "out_of_range"): N_("A tin is from 1 mm to 2 m each way, measured inside."),
    ("slab", "out_of_range"): N_("A slab is from 5 mm to 2 m each way."),
    ("trim", "out_of_range"): N_("The trim leaves something to cut, and is at least as wide as the knife."),
    ("portions", "out_of_range"): N_("From 1 to 1,000 pieces, each at least 5 mm across: ask for fewer."),
    ("wedges", "out_of_range"): N_("From 1 to 1,000 pieces, each at least 5 mm across: ask for fewer."),
    ("rows", "out_of_range"): N_("From 1 to 1,000 pieces, each at least 5 mm across: ask for fewer."),
    ("columns", "out_of_range"): N_("From 1 to 1,000 pieces, each at least 5 mm across: ask for fewer."),
    ("portion_size", "out_of_range"): N_("A piece is at least 5 mm each way, and a slab makes at most 1,000 of them."),
    ("portion_grams", "out_of_range"): N_("A piece of this weight would be a crumb, or more than the slab."),
    ("portion_shape", "unreadable"): N_("Choose a shape, or write two sides such as 3:2."),
    ("portion_shape", "out_of_range"): N_("A piece is at most 20 times as long as it is wide."),
    ("portion_shape", "cut_mismatch"): N_("Only a rectangular slab is cut into triangles or diamonds."),
    ("rings", "out_of_range"): N_("At most 20 rings, each with a piece or more and at least 5 mm wide: ask for fewer."),
    ("ring_width", "out_of_range"): N_(
        "A width of at least 5 mm, if “rings of one width” is chosen; else leave it empty."
    ),
    ("ring_width", "cut_mismatch"): N_("A width of rings goes with rings."),
    ("slab_grams", "out_of_range"): N_("The slab weighs more than nothing, and at most 10,000 kg."),
    ("baked_depth", "out_of_range"): N_("The slab is not higher than its tin: measure it."),
}
# Codes of an amount whose unit is missing, unknown or of another kind, and of an amount outside its limits.
_AMOUNT_CODES = frozenset({"ambiguous_unit", "unit_mismatch", "unknown_unit", "unreadable", "out_of_range"})
_AMOUNTS = {
    **dict.fromkeys(("slab_grams", "mix_grams", "portion_grams", "largest_mass"), _MASS),
    **dict.fromkeys(("trim", "knife_width", "longest_side", "ring_width", "baked_depth"), _LENGTH),
    "bake_loss_percent": _PERCENT,
    "portion_size": _SIZE,
    "slab": _SIZE,
    "tin": _TIN,
}
_RINGS = N_("Write how many pieces each ring has, from the middle outwards: 1, 6, 12.")
_PLAIN = {"rings": _RINGS, **{name: text for name, text in _AMOUNTS.items() if text in {_MASS, _PERCENT}}}


@dataclass(frozen=True, slots=True, kw_only=True)
class CutError:
    """One error: its field, what is wrong, and what else would be accepted: names of fields, or numbers."""

    name: str = ""
    message: str
    values: Mapping[str, object] = field(default_factory=dict)
    more: str = ""
    ways: tuple[str, ...] = ()

    def text(self, words: Words, labels: Mapping[str, str]) -> str:
        """What is wrong, in the language of the page.

        Args:
            words: of the page's language.
            labels: of the form's fields.
        """
        said = words.text(self.message, **self.values)
        if not self.ways:
            return said
        ways = ", ".join(words.text(labels.get(way, way)) for way in self.ways)
        more = words.text(self.more, ways=ways)
        return more if self.more == _PAIRS else f"{said} {more}"


class CutErrors(Exception):  # noqa: N818 - it carries the messages of a page
    """Everything that is wrong with a cut card."""

    def __init__(self, errors: Iterable[CutError], labels: Mapping[str, str]) -> None:
        """Keep the errors, each once, those of the form's fields first and in its order."""
        super().__init__("the card has errors")
        order = list(labels)
        unique = {(error.name, error.message): error for error in errors}.values()
        ranked = sorted(unique, key=lambda error: order.index(error.name) if error.name in labels else len(order))
        self.errors = tuple(ranked)[:MAX_ERRORS]


def field_errors(error: ValidationError) -> Iterator[CutError]:
    """The errors of fields that violate the schema."""
    for each in schema_errors(error):
        plain = None if each.values else _PLAIN.get(each.name)
        yield CutError(name=each.name[:MAX_NAME], message=plain or each.message, values=each.values)


def cut_error(error: DomainError, asked: Asked) -> CutError:
    """The error of the domain, with the field that it is about.

    Args:
        error: with the path of a parameter of `/v1/cuts`.
        asked: the fields as they were written.
    """
    name, code = str(error.path[0]) if error.path else "", error.code
    if code == "unknown_shape":
        shape = unknown_shape(str(asked.get(name, "")))
        return CutError(name=name, message=_SHAPES.get(shape or "", _TIN))
    message = _BY_FIELD.get((name, code)) or _BY_CODE.get(code)
    if message is None and code in _AMOUNT_CODES:
        message = _AMOUNTS.get(name)
    more, ways = _ways(code, error.candidates)
    return CutError(name=name, message=message or error.detail, more=more, ways=ways)


def _ways(code: str, candidates: Sequence[str]) -> tuple[str, tuple[str, ...]]:
    """What else would be accepted: ways to cut by the names of their fields, or numbers of pieces."""
    if not candidates or code not in {"cut_mismatch", "limit_broken"}:
        return "", ()
    if code == "limit_broken":
        return _NEXT_COUNT, tuple(candidates)
    if all(each.isdecimal() for each in candidates):
        return _PAIRS, tuple(candidates)
    return _WAYS, tuple(name for each in candidates for name in each.split(" and "))
