"""The text of a drawing of cuts: heading, lines, key, and the description for screen readers."""

from api.drawings.language import ENGLISH, Language
from api.drawings.outlines import size_of
from api.drawings.page import KeyEntry, Words
from api.drawings.svg import NBSP
from domain.cutting.layouts import CutLayout, Part, Place
from domain.cutting.marks import CutMarks, Mark
from domain.cutting.slabs import RectangleSlab


def cut_words(layout: CutLayout, label: str, language: Language = ENGLISH) -> Words:
    """The heading and lines of one layout; the description for screen readers also lists the marks."""
    count = piece_count(layout.pieces, language)
    cutting, gettext = layout.cutting, language.gettext
    lost = [gettext("trim %(trim)s all round", trim=_mm(cutting.trim_mm, language))] * bool(cutting.trim_mm)
    lost += [gettext("knife %(knife)s", knife=_mm(cutting.knife_mm, language))] * bool(cutting.knife_mm)
    cuts = _kept_together(language.ngettext("%(count)s cut", "%(count)s cuts", layout.cuts_to_make))
    lines = ["; ".join(divided(layout, language)), ", ".join([*lost, cuts])]
    heading = label or count
    spoken = [count, *lines, *(entry.label for entry in cut_key(layout, language)), *_spoken(layout.marks, language)]
    return Words(
        heading=heading,
        lines=tuple([count] * bool(label) + lines),
        title=gettext("%(name)s: where to cut", name=heading),
        description=". ".join(spoken) + ".",
    )


def cut_key(layout: CutLayout, language: Language = ENGLISH, *, with_losses: bool = True) -> list[KeyEntry]:
    """The meaning of each hatching, with counts and masses; those of what is lost only `with_losses`."""
    entries, gettext = list[KeyEntry](), language.gettext
    for place in ("corner", "edge", "centre"):
        kinds = [kind for kind in layout.kinds if kind.place == place]
        masses = list(dict.fromkeys(_grams(kind.grams, language) for kind in kinds if kind.grams is not None))
        if kinds:
            name = counted_place(place, sum(kind.count for kind in kinds), layout, language)
            either = gettext(" or ").join(masses)
            label = gettext("%(pieces)s, %(grams)s each", pieces=name, grams=either) if masses else name
            entries.append(KeyEntry(fill=place, label=label))
    if parts := layout.count_of("part"):
        named = counted_place("part", parts, layout, language)
        label = _with_mass(named, layout, language, "offcut") if with_losses else named
        entries.append(KeyEntry(fill="part", label=label))
    lost: list[Part] = ["trim"] * (layout.areas.trim_mm2 > 0)
    lost += ["offcut"] * (not parts and layout.areas.offcut_mm2 > 0)
    if lost:
        named = gettext(" and ").join(gettext("trim") if part == "trim" else gettext("offcut") for part in lost)
        label = _with_mass(named, layout, language, *lost) if with_losses else named
        entries.append(KeyEntry(fill="offcut", label=label))
    return entries


def piece_count(number: int, language: Language = ENGLISH) -> str:
    """A number of pieces."""
    return _kept_together(language.ngettext("%(count)s piece", "%(count)s pieces", number))


def dough_piece_count(number: int, language: Language = ENGLISH) -> str:
    """A number of dough pieces."""
    return _kept_together(language.ngettext("%(count)s dough piece", "%(count)s dough pieces", number))


def counted_place(place: Place, count: int, layout: CutLayout, language: Language = ENGLISH) -> str:
    """How many pieces are in a place."""
    whole = layout.layout == "grid" and not isinstance(layout.slab, RectangleSlab)
    match place:
        case "corner":
            return language.ngettext("%(count)s corner", "%(count)s corner", count)
        case "edge":
            return language.ngettext("%(count)s edge", "%(count)s edge", count)
        case "part":
            return _kept_together(language.ngettext("%(count)s part piece", "%(count)s part pieces", count))
        case _ if whole:
            return language.ngettext("%(count)s whole", "%(count)s whole", count)
    return language.ngettext("%(count)s centre", "%(count)s centre", count)


def divided(layout: CutLayout, language: Language = ENGLISH) -> list[str]:
    """How the slab is divided, and what one piece measures."""
    piece, gettext, figure = layout.piece, language.gettext, language.figure
    grams = "" if piece.grams is None else f", {_grams(piece.grams, language)}"
    if layout.layout == "wedges":
        wedges = _kept_together(language.ngettext("%(count)s wedge", "%(count)s wedges", layout.pieces))
        size = gettext(
            "each %(length)s long, %(width)s across",
            length=_mm(piece.length_mm, language),
            width=_mm(piece.width_mm, language),
        )
        middle = gettext("middle %(radius)s from the rim", radius=_mm(size_of(layout.slab)[0] / 2, language))
        turn = gettext("%(wedges)s, every %(degrees)s°", wedges=wedges, degrees=figure(360 / layout.pieces))
        return [turn, f"{size}{grams}", middle]
    if layout.layout == "rings":
        counts = ", ".join(str(kind.count) for kind in layout.kinds)
        rings = gettext("rings from the middle: %(counts)s", counts=counts)
        if piece.grams is None:
            return [rings]
        return [rings, gettext("%(grams)s on average", grams=_grams(piece.grams, language))]
    if layout.figure == "triangle":
        grid = gettext("%(grid)s, each cut corner to corner", grid=grid_text(layout, language))
        sides = gettext(
            "triangles, sides %(length)s and %(width)s",
            length=figure(piece.length_mm),
            width=_mm(piece.width_mm, language),
        )
        return [grid, f"{sides}{grams}"]
    if layout.figure == "diamond":
        strips = _kept_together(language.ngettext("%(count)s strip", "%(count)s strips", layout.rows or 1))
        sides = gettext("diamonds, sides %(length)s", length=_mm(piece.length_mm, language))
        cut = gettext("%(strips)s of %(width)s, then slanting cuts", strips=strips, width=_mm(piece.width_mm, language))
        return [cut, f"{sides}{grams}"]
    inches = " × ".join(Mark(mm=side).inches.replace(" ", NBSP) for side in (piece.length_mm, piece.width_mm))
    millimetres = f"{figure(piece.length_mm)} × {_mm(piece.width_mm, language)}"
    size = gettext("each %(size)s (%(inches)s)", size=millimetres, inches=f"{inches}{NBSP}in")
    return [grid_text(layout, language), f"{size}{grams}"]


def grid_text(layout: CutLayout, language: Language = ENGLISH) -> str:
    """The columns and rows of a grid."""
    columns = language.ngettext("%(count)s column", "%(count)s columns", layout.columns or 1)
    rows = language.ngettext("%(count)s row", "%(count)s rows", layout.rows or 1)
    return f"{_kept_together(columns)} × {_kept_together(rows)}"


def _with_mass(name: str, layout: CutLayout, language: Language, *parts: Part) -> str:
    grams = layout.grams_of(*parts)
    if grams is None:
        return name
    return language.gettext("%(parts)s, %(grams)s in all", parts=name, grams=_grams(grams, language))


def _spoken(marks: CutMarks, language: Language) -> list[str]:
    gettext, figure = language.gettext, language.figure
    sentences = []
    if marks.length:
        places = ", ".join(figure(mark.mm) for mark in marks.length)
        sentences.append(gettext("Cuts along the length at %(places)s mm", places=places))
    if marks.width:
        places = ", ".join(figure(mark.mm) for mark in marks.width)
        sentences.append(gettext("Cuts along the width at %(places)s mm", places=places))
    if marks.radius:
        places = ", ".join(figure(mark.mm) for mark in marks.radius)
        sentences.append(gettext("Rings from the middle at %(places)s mm", places=places))
    outer = [mark for mark in marks.rim if mark.ring == marks.rim[-1].ring]
    if outer:
        places = ", ".join(figure(mark.rim_mm) for mark in outer)
        sentences.append(gettext("Cuts round the rim at %(places)s mm", places=places))
    return sentences


def _kept_together(text: str) -> str:
    """A count and its noun on one line."""
    return text.replace(" ", NBSP, 1)


def _mm(value: float, language: Language) -> str:
    return f"{language.figure(value)}{NBSP}mm"


def _grams(value: float, language: Language) -> str:
    return f"{language.figure(value)}{NBSP}g"
