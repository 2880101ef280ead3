"""What a label must say: nutrition after the oven, the list of ingredients, allergens; with every doubt named."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from domain.errors import NeededError, OutOfRangeError
from domain.formulas.formula import WeighedFormula
from domain.notices import Notice
from domain.shop.allergens import Market, check_allergens
from domain.shop.composition import Content, Use, composition_notices, contents_of, uses_of
from domain.shop.goods import Book
from domain.shop.ingredient_list import AllergenGroup, Entry, allergen_groups, allergen_notices, ingredient_list
from domain.shop.label_rules import LabelLine, Rounded, intake_percent, label_lines, round_for_label
from domain.shop.nutrition import Nutrient

SMALL_ALCOHOL_G = 0.1  # per 100 g finished; less is vanilla; our own limit, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class Sold:
    """How the product leaves the shop.

    One of `bake_loss_percent` (of what went in) and `baked_grams` (all of it, weighed) says what is left after the
    oven; `pieces` or `piece_grams` what one piece is, None where none is sold.
    """

    name: str
    market: Market
    bake_loss_percent: float | None = None
    baked_grams: float | None = None
    pieces: int | None = None
    piece_grams: float | None = None
    quantified: tuple[str, ...] | None = None
    may_contain: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        """Refuse what no list knows."""
        check_allergens(self.may_contain, "may_contain")


@dataclass(frozen=True, slots=True, kw_only=True)
class Declared:
    """A line of the nutrition label: exact figures and as printed, per 100 g and per piece.

    `complete` is false where an ingredient's figure is missing: then the amounts are too small.
    """

    line: LabelLine
    per_100g: float
    per_piece: float | None
    printed_per_100g: Rounded
    printed_per_piece: Rounded | None
    intake_percent_per_100g: float | None
    intake_percent_per_piece: float | None
    coverage_percent: float
    missing: tuple[str, ...]

    @property
    def complete(self) -> bool:
        """Whether every ingredient's figure is known."""
        return not self.missing


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelFigures:
    """Everything a label needs. `contents_per_100g` holds every nutrient, also those the market does not print."""

    sold: Sold
    uses: tuple[Use, ...]
    mix_g: float
    finished_g: float
    bake_loss_percent: float
    piece_g: float | None
    declared: tuple[Declared, ...]
    contents_per_100g: MappingProxyType[Nutrient, Content]
    entries: tuple[Entry, ...]
    allergens: tuple[AllergenGroup, ...]
    may_contain: tuple[str, ...]
    notices: tuple[Notice, ...]


def label(weighed: WeighedFormula, sold: Sold, book: Book) -> LabelFigures:
    """The figures of a label.

    Args:
        weighed: the formula in grams, all of which is baked.
        sold: market, bake loss and pieces.
        book: the shop's goods.
    Returns:
        Nutrition per 100 g and per piece, ingredients, allergens and what to check. In the oven only water is lost:
        every other nutrient stays, so each figure per 100 g is its mass in the mix over the finished mass.
    Raises:
        NeededError: neither bake loss nor baked mass is given.
        OutOfRangeError: more is lost than the water there is, or a piece is heavier than the whole.
        AmbiguousError: a line means several of the shop's goods.
    Source:
        Conservation of mass; rules of the market in label_rules.csv, label_rounding.csv, label_nutrients.csv.
    """
    uses = uses_of(weighed, book)
    mix_g = weighed.mass.grams
    finished_g = _finished_g(mix_g, sold)
    contents = contents_of(uses)
    loss_notices = _check_loss(mix_g - finished_g, contents, sold)
    piece_g = _piece_g(finished_g, sold)
    per_100g = _after_oven(contents, mix_g, finished_g)
    entries = ingredient_list(uses, sold.market, finished_g, sold.name, sold.quantified)
    lines = label_lines(sold.market)
    declared = tuple(_declare(line, per_100g[line.nutrient], piece_g, sold.market) for line in lines)
    return LabelFigures(
        sold=sold,
        uses=uses,
        mix_g=mix_g,
        finished_g=finished_g,
        bake_loss_percent=(
            (1 - finished_g / mix_g) * 100 if sold.bake_loss_percent is None else sold.bake_loss_percent
        ),
        piece_g=piece_g,
        declared=declared,
        contents_per_100g=per_100g,
        entries=entries,
        allergens=allergen_groups(entries),
        may_contain=_may_contain(uses, sold),
        notices=(
            *composition_notices(uses),
            *_incomplete(declared),
            *allergen_notices(uses),
            *loss_notices,
            *_alcohol(per_100g["alcohol_g"]),
        ),
    )


def _finished_g(mix_g: float, sold: Sold) -> float:
    if sold.baked_grams is not None:
        if sold.baked_grams > mix_g * (1 + 1e-9):
            raise OutOfRangeError(
                f"The bake weighs more than the mix, {mix_g:.0f} g: give all of it, and only it.", path=("baked_grams",)
            )
        return min(sold.baked_grams, mix_g)
    if sold.bake_loss_percent is None:
        raise NeededError(
            "Say bake_loss_percent (0 for what is not baked) or baked_grams: figures per 100 g rest on it.",
            path=("bake_loss_percent",),
            code="bake-loss-needed",
        )
    return mix_g * (1 - sold.bake_loss_percent / 100)


def _after_oven(
    contents: MappingProxyType[Nutrient, Content], mix_g: float, finished_g: float
) -> MappingProxyType[Nutrient, Content]:
    per_100g = {}
    for nutrient, content in contents.items():
        amount = content.amount - (mix_g - finished_g) if nutrient == "water_g" else content.amount
        per_100g[nutrient] = replace(content, amount=max(0.0, amount) / finished_g * 100)
    return MappingProxyType(per_100g)


def _check_loss(lost_g: float, contents: MappingProxyType[Nutrient, Content], sold: Sold) -> tuple[Notice, ...]:
    field = "baked_grams" if sold.baked_grams is not None else "bake_loss_percent"
    volatile_g = contents["water_g"].amount + contents["alcohol_g"].amount
    if lost_g <= volatile_g * (1 + 1e-9):
        return ()
    if not contents["water_g"].missing:
        raise OutOfRangeError(
            f"{lost_g:.0f} g are lost and the mix holds {volatile_g:.0f} g of water.",
            path=(field,),
            code="loss-over-water",
        )
    message = f"{lost_g:.0f} g are lost and {volatile_g:.0f} g of water are known of; not all ingredients' is."
    return (Notice(code="loss_unchecked", message=message, path=(field,)),)


def _piece_g(finished_g: float, sold: Sold) -> float | None:
    if sold.piece_grams is not None:
        if sold.piece_grams > finished_g * (1 + 1e-9):
            raise OutOfRangeError("One piece would be heavier than the whole bake.", path=("piece_grams",))
        return sold.piece_grams
    return None if sold.pieces is None else finished_g / sold.pieces


def _declare(line: LabelLine, content: Content, piece_g: float | None, market: Market) -> Declared:
    per_piece = None if piece_g is None else content.amount * piece_g / 100
    return Declared(
        line=line,
        per_100g=content.amount,
        per_piece=per_piece,
        printed_per_100g=round_for_label(content.amount, line.nutrient, market),
        printed_per_piece=None if per_piece is None else round_for_label(per_piece, line.nutrient, market),
        intake_percent_per_100g=intake_percent(content.amount, line.intake),
        intake_percent_per_piece=None if per_piece is None else intake_percent(per_piece, line.intake),
        coverage_percent=min(content.coverage_percent, 100.0),
        missing=content.missing,
    )


def _incomplete(declared: Sequence[Declared]) -> tuple[Notice, ...]:
    return tuple(
        Notice(
            code="nutrition_incomplete",
            message=f"{one.line.label_name}: no figure for {', '.join(one.missing)}; too small by theirs.",
        )
        for one in declared
        if not one.complete
    )


def _may_contain(uses: Sequence[Use], sold: Sold) -> tuple[str, ...]:
    from_goods = (allergen for use in uses if use.good is not None for allergen in use.good.may_contain)
    return tuple(dict.fromkeys((*sold.may_contain, *from_goods)))


def _alcohol(content: Content) -> tuple[Notice, ...]:
    if content.amount < SMALL_ALCOHOL_G:
        return ()
    message = f"{content.amount:.1f} g alcohol in 100 g is counted as kept; the oven drives some of it off."
    return (Notice(code="alcohol_kept", message=message),)
