"""The content of a cut card: figures, kinds of pieces, marks, alternatives, cautions."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from urllib.parse import quote, urlencode

from markupsafe import Markup

from api.drawings.cuts import draw_cuts
from api.drawings.svg import NBSP, figure
from api.pages.cards.cut_form import Asked
from domain.cutting.layouts import Alternative, CutLayout, Part, PieceKind
from domain.cutting.marks import Mark, RimMark
from domain.cutting.slabs import RectangleSlab
from domain.notices import Notice

LOST: tuple[Part, ...] = ("trim", "knife", "offcut")  # what the slab is besides its pieces
ROWS_A_TABLE = 11  # rows of marks in one table; the rest continue in a table beside it
# CSS class by number of marks; the style sheet sizes the printed drawing by it.
_MARKS_CLASSES = (("marks-few", 8), ("marks-some", 24), ("marks-many", 40))
_WISHES = (
    "rows",
    "columns",
    "portions",
    "portion_shape",
    "portion_size",
    "portion_grams",
    "wedges",
    "rings",
    "rings_by",
    "ring_width",
)
_HINTS = {
    "grid": "To the middle of each cut; inches to the nearest 1/16.",
    "wedges": "Clockwise along the rim; inches to the nearest 1/16.",
    "rings": "Rings from the middle; then clockwise along each ring's outer edge; inches to the nearest 1/16.",
}
CAUTIONS = (
    "Raw flour and raw egg are not ready to eat: keep raw mix, and whatever touched it, away from the cut slab.",
    "The centre of a slab and dough pieces set into it cook last: check the core with a probe.",
    "Weights are shares of the slab by area. Where the slab is higher or lower, pieces weigh more or less.",
    "Your local rules and a competent person decide what may be sold and how it is labelled.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One large figure of the card."""

    name: str
    value: str
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """Pieces that are alike."""

    name: str
    count: int
    size: str
    grams: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkTable:
    """Marks on one ruler: the name of each mark, then its figures in the order of `columns`."""

    caption: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherWay:
    """An alternative way to cut, with a link to its card if a query can express it."""

    text: str
    link: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """Everything that the page shows."""

    heading: str
    subheading: str
    drawing: Markup
    figures: tuple[Figure, ...]
    pieces: tuple[Row, ...]
    weighed: bool
    marks: tuple[MarkTable, ...]
    marks_hint: str
    warnings: tuple[str, ...]
    others: tuple[OtherWay, ...]
    query: str

    @property
    def marks_class(self) -> str:
        """CSS class by number of marks; with more marks the printed drawing is smaller."""
        rows = sum(len(table.rows) for table in self.marks)
        return next((name for name, most in _MARKS_CLASSES if rows <= most), "marks-most")


def card_of(layout: CutLayout, notices: tuple[Notice, ...], asked: Asked) -> Card:
    """The card of a layout.

    Args:
        layout: how the slab is divided.
        notices: its warnings.
        asked: the fields of the query.
    """
    count, slab = f"{layout.pieces} {'pieces' if layout.pieces != 1 else 'piece'}", asked.get("tin")
    origin = f"{count} from {slab}" if slab else f"{count} from a slab of {asked.get('slab')}"
    label = str(asked.get("label", ""))
    return Card(
        heading=label or origin,
        subheading="; ".join([origin] * bool(label) + list(_arranged(layout))),
        # Safe: our own drawing is built from elements, and every text in it is escaped.
        drawing=Markup(draw_cuts(layout, label)),  # noqa: S704
        figures=tuple(_figures(layout)),
        pieces=tuple(_row(kind, layout) for kind in layout.kinds),
        weighed=layout.cutting.slab_g is not None,
        marks=tuple(_mark_tables(layout)),
        marks_hint=_HINTS[layout.layout],
        warnings=tuple(notice.message for notice in notices),
        others=tuple(_other(alternative, asked) for alternative in layout.alternatives),
        query=_query(asked),
    )


def _arranged(layout: CutLayout) -> Iterator[str]:
    if layout.rows and layout.columns:
        yield f"{layout.columns} {'column' if layout.columns == 1 else 'columns'} × {layout.rows} " + (
            "row" if layout.rows == 1 else "rows"
        )
    if layout.layout == "rings":
        yield f"rings of {', '.join(str(kind.count) for kind in layout.kinds)} from the middle"
    if layout.cutting.trim_mm:
        yield f"trimmed by {_mm(layout.cutting.trim_mm)} all round"
    if layout.cutting.knife_mm:
        yield f"{_mm(layout.cutting.knife_mm)} lost at each cut"


def _figures(layout: CutLayout) -> Iterator[Figure]:
    yield Figure(name="Pieces", value=str(layout.pieces))
    piece, areas = layout.piece, layout.areas
    if layout.layout == "grid":
        inches = " × ".join(Mark(mm=side).inches.replace(" ", NBSP) for side in (piece.length_mm, piece.width_mm))
        yield Figure(name="Each", value=f"{figure(piece.length_mm)} × {_mm(piece.width_mm)}", note=f"{inches}{NBSP}in")
    elif layout.layout == "wedges":
        yield Figure(
            name="Each wedge", value=f"{_mm(piece.length_mm)} long", note=f"{_mm(piece.width_mm)} across the rim"
        )
    if piece.grams is None:
        yield Figure(name="Weight", value="not known", note="give the weight of the slab")
    else:
        alike = len({_grams(kind.grams) for kind in layout.kinds if kind.place != "part"}) == 1
        off = "" if layout.error_percent is None else f"{layout.error_percent:+.1f} % off the weight asked for"
        yield Figure(name="Each weighs" if alike else "Weight, on average", value=_grams(piece.grams), note=off)
    yield Figure(name="Cuts to make", value=str(layout.cuts_to_make))
    lost = tuple(part for part in LOST if areas.of(part) > 0)
    if lost:
        note = "" if layout.cutting.slab_g is None else f"{_grams(layout.grams_of(*lost))} in all"
        yield Figure(name=" and ".join(lost).capitalize(), value=f"{layout.percent_of(*lost):.1f} %", note=note)


def _row(kind: PieceKind, layout: CutLayout) -> Row:
    size = f"{figure(kind.length_mm)} × {_mm(kind.width_mm)}"
    if layout.layout != "grid":
        size = f"{_mm(kind.length_mm)} long, {_mm(kind.width_mm)} across"
        if kind.ring == 0 and kind.count == 1:
            size = f"{_mm(kind.width_mm)} across"
    elif kind.place == "part":
        size = "cut short by the rim"
    return Row(name=_name(kind, layout), count=kind.count, size=size, grams=_grams(kind.grams))


def _name(kind: PieceKind, layout: CutLayout) -> str:
    if layout.layout == "wedges":
        return "Wedge"
    if layout.layout == "rings":
        return "Middle" if kind.ring == 0 else f"Ring {(kind.ring or 0) + 1}"
    if kind.place == "centre" and not isinstance(layout.slab, RectangleSlab):
        return "Whole"
    return {"corner": "Corner", "edge": "Edge", "centre": "Centre", "part": "Part"}[kind.place]


def _mark_tables(layout: CutLayout) -> Iterator[MarkTable]:
    marks = layout.marks
    for caption, found in (
        ("From the left", marks.length),
        ("From the top", marks.width),
        ("From the middle", marks.radius),
    ):
        rows = list(zip(_names(found), found, strict=True))
        yield from _tables(caption, ("mm", "in"), [(name, figure(mark.nearest_mm), mark.inches) for name, mark in rows])
    rings = {
        ring: [mark for mark in marks.rim if mark.ring == ring] for ring in sorted({mark.ring for mark in marks.rim})
    }
    for ring, found_in_ring in rings.items():
        caption = "Round the rim" if layout.layout == "wedges" else f"Round ring {ring + 1}"
        rows_of_ring = [_rim_row(i, mark) for i, mark in enumerate(found_in_ring, start=1)]
        yield from _tables(caption, ("mm", "in", "°"), rows_of_ring)


def _names(marks: tuple[Mark, ...]) -> Iterator[str]:
    """The number of each cut; trim and offcut marks by their kind."""
    cuts = iter(range(1, len(marks) + 1))
    for mark in marks:
        yield str(next(cuts)) if mark.kind == "cut" else mark.kind


def _rim_row(number: int, mark: RimMark) -> tuple[str, ...]:
    return str(number), figure(Mark(mm=mark.rim_mm).nearest_mm), Mark(mm=mark.rim_mm).inches, figure(mark.degrees)


def _tables(caption: str, columns: tuple[str, ...], rows: list[tuple[str, ...]]) -> Iterator[MarkTable]:
    """One table, or several of about equal length side by side."""
    if not rows:
        return
    tables = -(-len(rows) // ROWS_A_TABLE)
    size = -(-len(rows) // tables)
    for first in range(0, len(rows), size):
        part = tuple(rows[first : first + size])
        yield MarkTable(
            caption=f"{caption}, part {first // size + 1}" if tables > 1 else caption, columns=columns, rows=part
        )


def _other(alternative: Alternative, asked: Asked) -> OtherWay:
    """An alternative as a link, where a query can ask for just that."""
    wish: dict[str, str] = {}
    if alternative.rows is None or alternative.columns is None:
        wish = {"wedges": str(alternative.pieces)}
    elif "portion_size" not in asked or alternative.reason in {"even_grid", "more_pieces"}:
        wish = {"rows": str(alternative.rows), "columns": str(alternative.columns)}
    elif alternative.reason == "less_offcut":
        # Turned round and as many: asked for in this direction, it is the one taken.
        wish = {"portion_size": f"{alternative.length_mm:.10g} x {alternative.width_mm:.10g} mm"}
    weight = "" if alternative.grams is None else f" {_grams(alternative.grams)} each."
    text = f"{alternative.pieces} pieces. {alternative.message}{weight}"
    kept = {name: value for name, value in asked.items() if name not in _WISHES}
    return OtherWay(text=text, link=f"/cards/cuts?{_query(kept | wish)}" if wish else "")


def _query(asked: Asked) -> str:
    return urlencode(dict(asked), doseq=True, quote_via=_percent)


_percent: Callable[..., str] = quote  # a space as %20, which every client reads


def _mm(value: float) -> str:
    return f"{figure(value)}{NBSP}mm"


def _grams(value: float | None) -> str:
    return "" if value is None else f"{figure(value)}{NBSP}g"
