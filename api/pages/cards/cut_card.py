"""The content of a cut card: figures, pieces and what is lost, cuts, other ways to cut, cautions."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from markupsafe import Markup

from api.drawings.cut_words import counted_place, divided, grid_text, piece_count
from api.drawings.cuts import draw_cuts
from api.drawings.language import Language
from api.drawings.rulers import Measure, mark_text
from api.drawings.style import ON_CARD
from api.pages.cards.cut_lists import CutList, cut_lists
from api.pages.cards.fields import N_, CardFields
from api.pages.cards.key_figures import KeyFigure
from api.pages.cards.words import NBSP, Words
from api.v1.pieces.placing import PlacedPieces
from api.wire.answers import without_none
from domain.cutting.layouts import Alternative, CutLayout, PieceKind
from domain.cutting.shares import SlabRow, slab_rows
from domain.cutting.slabs import RectangleSlab
from domain.notices import Notice

WISHES = (
    "rows",
    "columns",
    "portions",
    "portion_shape",
    "portion_size",
    "portion_grams",
    "portion_rule",
    "wedges",
    "rings",
    "rings_by",
    "ring_width",
)
CAUTIONS = (
    N_("Raw flour and raw egg are not ready to eat: keep raw mix, and whatever touched it, away from the cut slab."),
    N_("The centre of a slab and dough pieces set into it cook last: check the core with a probe."),
    N_("Weights are shares of the slab by area. Where the slab is higher or lower, pieces weigh more or less."),
    N_("Your local rules and a competent person decide what may be sold and how it is labelled."),
)
NO_WEIGHT = N_("Without a bake loss or the weight of the cooled slab, pieces have no weight.")
# Warnings whose usual message names fields of a request or repeats the other ways to cut.
_WARNINGS = {
    "bake_loss_missing": NO_WEIGHT,
    "edges_trimmed": N_("The trim takes the baked edge off: corner and edge pieces have that place but no crust."),
    "nominal_size": N_("A trade name is no size: measure your tin inside before you rely on these figures."),
    "poor_shape": N_("These pieces are long and thin. The other ways to cut are easier."),
    "portions_short": N_(
        "The lightest piece weighs %(value)s g, less than the %(limit)s g wished. If pieces are sold by weight, choose "
        "“the least a piece may weigh”."
    ),
    "tapered_face": N_(
        "The walls slope: sizes are those of the top face, and each piece is weighed by its place. Write the height of "
        "the baked slab to be exact."
    ),
}
_REASONS = {
    "even_grid": N_("an even grid"),
    "less_offcut": N_("less offcut"),
    "more_pieces": N_("more pieces"),
    "near_count": N_("an easier shape"),
    "near_mass": N_("the next weight"),
    "other_shape": N_("another shape"),
    "turned": N_("turned round"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """Pieces that are alike, or what is lost; the column `together` adds up to the slab."""

    name: str
    count: str
    size: str
    each: str
    together: str
    is_total: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherWay:
    """Another way to cut, and the fields of its card."""

    text: str
    note: str
    fields: CardFields


@dataclass(frozen=True, slots=True, kw_only=True)
class CutCard:
    """Everything that the card shows."""

    origin: str
    arranged: str
    drawing: Markup
    figures: tuple[KeyFigure, ...]
    rows: tuple[Row, ...]
    weighed: bool
    lists: tuple[CutList, ...]
    lists_hint: str
    unlisted: str
    lists_class: str
    warnings: tuple[tuple[str, str], ...]  # each with its language
    others: tuple[OtherWay, ...]


def cut_card(
    layout: CutLayout,
    notices: tuple[Notice, ...],
    entered: CardFields,
    words: Words,
    *,
    name: str,
    placed: PlacedPieces | None = None,
) -> CutCard:
    """The card of a layout.

    Args:
        layout: how the slab is divided.
        notices: its warnings.
        entered: the fields as they were written.
        words: of the page's language.
        name: of the slab, for the drawing's description.
        placed: dough pieces in the slab.
    """
    language = Language(translations=words.catalogue, decimal_sign=words.decimal_sign)
    measure: Measure = "in" if entered.get("ruler") == "in" else "mm"
    pattern = None if placed is None else placed.on_cuts or placed.pattern
    ball_mm = None if placed is None else placed.diameter_mm
    drawing = draw_cuts(layout, name, pattern, ball_mm, style=replace(ON_CARD, measure=measure), language=language)
    lists = tuple(cut_lists(layout, words, language, measure))
    slab = entered.get("want") or entered.get("tin") or entered.get("slab") or ""
    return CutCard(
        origin=words.text(
            "%(pieces)s from %(slab)s",
            pieces=piece_count(layout.pieces, language),
            slab=slab if isinstance(slab, str) else slab[0],
        ),
        arranged="; ".join(_arranged(layout, language)),
        # Safe: our own drawing is built from elements, and every text in it is escaped.
        drawing=Markup(drawing),  # noqa: S704
        figures=tuple(_figures(layout, words, language, measure)),
        rows=tuple(_row(row, layout, words, language, measure) for row in slab_rows(layout)),
        weighed=layout.cutting.slab_g is not None,
        lists=lists,
        lists_hint=_hint(layout, words, measure),
        unlisted=_unlisted(layout, lists, words),
        lists_class=_class(lists),
        warnings=tuple(dict.fromkeys(_warning(notice, words) for notice in notices)),
        others=tuple(_other(each, entered, words, language, measure) for each in layout.alternatives),
    )


def _arranged(layout: CutLayout, language: Language) -> Iterator[str]:
    if layout.layout == "grid" and layout.figure == "rectangle":
        yield grid_text(layout, language)
    else:
        yield divided(layout, language)[0]
    if layout.cutting.trim_mm:
        yield language.gettext(
            "trimmed by %(trim)s all round", trim=f"{language.figure(layout.cutting.trim_mm)}{NBSP}mm"
        )
    if layout.cutting.knife_mm:
        knife = f"{language.figure(layout.cutting.knife_mm)}{NBSP}mm"
        yield language.gettext("%(knife)s lost at each cut", knife=knife)


def _figures(layout: CutLayout, words: Words, language: Language, measure: Measure) -> Iterator[KeyFigure]:
    piece = layout.piece
    yield KeyFigure(name=words.text("Pieces"), value=str(layout.pieces))
    if layout.layout == "grid":
        yield KeyFigure(name=words.text("Each"), value=_size(piece.length_mm, piece.width_mm, language, measure))
    elif layout.layout == "wedges":
        length, width = (_length(side, language, measure) for side in (piece.length_mm, piece.width_mm))
        yield KeyFigure(
            name=words.text("Each wedge"),
            value=words.text("%(length)s long", length=length),
            note=words.text("%(width)s across the rim", width=width),
        )
    if piece.grams is None:
        yield KeyFigure(
            name=words.text("Each weighs"), value="?", note=words.text("the weight of the slab is not known")
        )
    else:
        alike = len({_each(kind, words) for kind in layout.kinds if kind.place != "part"}) == 1
        off = "" if layout.error_percent is None else f"{layout.error_percent:+.1f}".replace(".", words.decimal_sign)
        yield KeyFigure(
            name=words.text("Each weighs") if alike else words.text("Weight, on average"),
            value=words.grams(piece.grams),
            note=words.text("%(percent)s %% off the weight wished", percent=off) if off else "",
        )
    yield KeyFigure(name=words.text("Cuts to make"), value=str(layout.cuts_to_make))


def _row(row: SlabRow, layout: CutLayout, words: Words, language: Language, measure: Measure) -> Row:
    together = words.grams(row.weigh_g) if row.weigh_g is not None else f"{words.number(row.percent, 1)}{NBSP}%"
    if not row.kinds:
        names = {
            "trim": words.text("Trim"),
            "knife": words.text("Lost to the knife"),
            "offcut": words.text("Offcut"),
            "slab": words.text("Slab"),
        }
        return Row(name=names[row.part], count="", size="", each="", together=together, is_total=row.part == "slab")
    kind = row.kinds[0]
    return Row(
        name=_name(row, layout, words, language),
        count=str(row.count),
        size=_kind_size(kind, layout, words, language, measure),
        each=_each(kind, words),
        together=together,
    )


def _each(kind: PieceKind, words: Words) -> str:
    if kind.grams is None:
        return ""
    low, high = kind.grams_low, kind.grams_high
    if low is None or high is None or words.grams(low) == words.grams(high):
        return words.grams(kind.grams)
    return words.text("%(low)s to %(high)s", low=words.number(low, 1), high=words.grams(high))


def _name(row: SlabRow, layout: CutLayout, words: Words, language: Language) -> str:
    kind = row.kinds[0]
    if len(row.kinds) > 1:
        places = ", ".join(counted_place(each.place, each.count, layout, language) for each in row.kinds)
        return words.text("All alike: %(places)s", places=places)
    if layout.layout == "wedges":
        return words.text("Wedge")
    if layout.layout == "rings":
        return words.text("Middle") if kind.ring == 0 else words.text("Ring %(number)s", number=(kind.ring or 0) + 1)
    if kind.place == "centre" and not isinstance(layout.slab, RectangleSlab):
        return words.text("Whole")
    names = {
        "corner": words.text("Corner"),
        "edge": words.text("Edge"),
        "centre": words.text("Centre"),
        "part": words.text("Part"),
    }
    return names[kind.place]


def _kind_size(kind: PieceKind, layout: CutLayout, words: Words, language: Language, measure: Measure) -> str:
    length, width = (_length(side, language, measure) for side in (kind.length_mm, kind.width_mm))
    if layout.layout == "grid":
        if kind.place == "part":
            return words.text("cut short by the rim") if layout.figure == "rectangle" else words.text("incomplete")
        return _size(kind.length_mm, kind.width_mm, language, measure)
    if kind.ring == 0 and kind.count == 1:
        return words.text("%(width)s across", width=width)
    return words.text("%(length)s long, %(width)s across", length=length, width=width)


def _hint(layout: CutLayout, words: Words, measure: Measure) -> str:
    nearest = (
        words.text("to the nearest half millimetre") if measure == "mm" else words.text("to the nearest 1/16 inch")
    )
    if layout.layout == "grid":
        return words.text("To the middle of each cut, %(nearest)s.", nearest=nearest)
    if layout.cutting.trim_mm:
        return words.text(
            "Trim first. Angles run clockwise from the top; the tape lies round the trimmed rim, %(nearest)s.",
            nearest=nearest,
        )
    return words.text("Angles run clockwise from the top; the tape lies round the rim, %(nearest)s.", nearest=nearest)


def _unlisted(layout: CutLayout, lists: tuple[CutList, ...], words: Words) -> str:
    """What is said of cuts beyond those that fit the card."""
    more = layout.cuts_to_make - sum(len(each.rows) for each in lists)
    if not more:
        return ""
    return words.count(
        "One more cut follows at the same distance.", "%(count)s more cuts follow at the same distances.", more
    )


def _class(lists: tuple[CutList, ...]) -> str:
    """The CSS class by the number of rows; with more rows the printed drawing is smaller."""
    rows = sum(len(each.rows) for each in lists)
    classes = (("cuts-few", 8), ("cuts-some", 24), ("cuts-many", 48))
    return next((name for name, most in classes if rows <= most), "cuts-most")


def _warning(notice: Notice, words: Words) -> tuple[str, str]:
    """The words of a warning, and their language."""
    figures = without_none(value=notice.value, limit=notice.limit)
    if message := _WARNINGS.get(notice.code):
        shown = {name: words.number(value, 1) for name, value in figures.items()}
        return words.text(message, **shown) if "%(" in message else words.text(message), words.language
    return words.by_code("warning", {"code": notice.code, "message": notice.message, **figures})


def _other(
    alternative: Alternative, entered: CardFields, words: Words, language: Language, measure: Measure
) -> OtherWay:
    """Another way to cut, as a link to a card that makes just that."""
    kept = {name: value for name, value in entered.items() if name not in WISHES}
    side = f"{alternative.length_mm:.10g} x {alternative.width_mm:.10g} mm"
    wish: dict[str, str]
    if alternative.rings:
        wish = {"rings": ", ".join(map(str, alternative.rings))}
        note = words.text("rings of %(counts)s from the middle", counts=wish["rings"])
    elif alternative.reason == "round_grid":
        wish, note = {"portion_size": side}, words.text("squares, with parts at the rim")
    elif alternative.rows is None or alternative.columns is None:
        wish, note = {"wedges": str(alternative.pieces)}, words.text("wedges")
    else:
        wish = {"rows": str(alternative.rows), "columns": str(alternative.columns)}
        if alternative.reason == "less_offcut" and "portion_size" in entered:
            # The same size turned round: a card with this size lays it out in this direction.
            wish = {"portion_size": side}
        reason = _REASONS.get(alternative.reason)
        note = "" if reason is None else words.text(reason)
    parts = [
        piece_count(alternative.pieces, language),
        _size(alternative.length_mm, alternative.width_mm, language, measure),
    ]
    if alternative.grams is not None:
        parts.append(words.grams(alternative.grams))
    return OtherWay(text=", ".join(parts), note=note, fields=kept | wish)


def _size(length_mm: float, width_mm: float, language: Language, measure: Measure) -> str:
    sides = [_bare(side, language, measure) for side in (length_mm, width_mm)]
    return f"{NBSP}× ".join(sides) + f"{NBSP}{measure}"


def _length(value_mm: float, language: Language, measure: Measure) -> str:
    return f"{_bare(value_mm, language, measure)}{NBSP}{measure}"


def _bare(value_mm: float, language: Language, measure: Measure) -> str:
    """A length as it is shown: to a tenth of a millimetre, or to a sixteenth of an inch."""
    return language.figure(value_mm) if measure == "mm" else mark_text(value_mm, "in", language).replace(" ", NBSP)
