"""The text of a drawing of cuts: heading, lines, key, and the description for screen readers."""

from api.drawings.outlines import size_of
from api.drawings.page import KeyEntry, Words
from api.drawings.svg import NBSP, figure
from domain.cutting.layouts import CutLayout, Part
from domain.cutting.marks import CutMarks, Mark
from domain.cutting.slabs import RectangleSlab


def cut_words(layout: CutLayout, label: str) -> Words:
    """The heading and lines of one layout; the description for screen readers also lists the marks."""
    count = counted(layout.pieces, "piece")
    cutting = layout.cutting
    lost = [f"trim {_mm(cutting.trim_mm)} all round"] * bool(cutting.trim_mm)
    lost += [f"knife {_mm(cutting.knife_mm)}"] * bool(cutting.knife_mm)
    lines = ["; ".join(_divided(layout)), ", ".join([*lost, counted(layout.cuts_to_make, "cut")])]
    heading = label or count
    spoken = [count, *lines, *(entry.label for entry in cut_key(layout)), *_spoken(layout.marks)]
    return Words(
        heading=heading,
        lines=tuple([count] * bool(label) + lines),
        title=f"{heading}: where to cut",
        description=". ".join(spoken) + ".",
    )


def cut_key(layout: CutLayout) -> list[KeyEntry]:
    """The meaning of each hatching, with counts and masses."""
    entries = []
    whole = layout.layout == "grid" and not isinstance(layout.slab, RectangleSlab)
    for place, name in (("corner", "corner"), ("edge", "edge"), ("centre", "whole" if whole else "centre")):
        kinds = [kind for kind in layout.kinds if kind.place == place]
        masses = list(dict.fromkeys(_grams(kind.grams) for kind in kinds if kind.grams is not None))
        each = f", {' or '.join(masses)} each" if masses else ""
        if kinds:
            entries.append(KeyEntry(fill=place, label=f"{sum(kind.count for kind in kinds)} {name}{each}"))
    if parts := layout.count_of("part"):
        named = counted(parts, "part piece")
        entries.append(KeyEntry(fill="part", label=_with_mass(named, layout, "offcut")))
    lost: list[Part] = ["trim"] * (layout.areas.trim_mm2 > 0)
    lost += ["offcut"] * (not parts and layout.areas.offcut_mm2 > 0)
    if lost:
        entries.append(KeyEntry(fill="offcut", label=_with_mass(" and ".join(lost), layout, *lost)))
    return entries


def counted(number: int, name: str) -> str:
    """A count with its noun."""
    return f"{number}{NBSP}{name}" + ("" if number == 1 else "s")


def _divided(layout: CutLayout) -> list[str]:
    piece = layout.piece
    grams = "" if piece.grams is None else f", {_grams(piece.grams)}"
    if layout.layout == "wedges":
        size = f"each {_mm(piece.length_mm)} long, {_mm(piece.width_mm)} across{grams}"
        middle = f"middle {_mm(size_of(layout.slab)[0] / 2)} from the rim"
        return [f"{counted(layout.pieces, 'wedge')}, every {figure(360 / layout.pieces)}°", size, middle]
    if layout.layout == "rings":
        rings = f"rings from the middle: {', '.join(str(kind.count) for kind in layout.kinds)}"
        return [rings] if piece.grams is None else [rings, f"{_grams(piece.grams)} on average"]
    if layout.figure == "triangle":
        grid = (
            f"{counted(layout.columns or 1, 'column')} × {counted(layout.rows or 1, 'row')}, each cut corner to corner"
        )
        return [grid, f"triangles, sides {figure(piece.length_mm)} and {_mm(piece.width_mm)}{grams}"]
    if layout.figure == "diamond":
        sides = f"diamonds, sides {_mm(piece.length_mm)}{grams}"
        return [f"{counted(layout.rows or 1, 'strip')} of {_mm(piece.width_mm)}, then slanting cuts", sides]
    inches = " × ".join(Mark(mm=side).inches.replace(" ", NBSP) for side in (piece.length_mm, piece.width_mm))
    size = f"each {figure(piece.length_mm)} × {_mm(piece.width_mm)} ({inches}{NBSP}in){grams}"
    return [f"{counted(layout.columns or 1, 'column')} × {counted(layout.rows or 1, 'row')}", size]


def _with_mass(name: str, layout: CutLayout, *parts: Part) -> str:
    grams = layout.grams_of(*parts)
    return name if grams is None else f"{name}, {_grams(grams)} in all"


def _spoken(marks: CutMarks) -> list[str]:
    named = (
        ("Cuts along the length", marks.length),
        ("Cuts along the width", marks.width),
        ("Rings from the middle", marks.radius),
    )
    sentences = [f"{name} at {', '.join(figure(mark.mm) for mark in line)} mm" for name, line in named if line]
    outer = [mark for mark in marks.rim if mark.ring == marks.rim[-1].ring]
    if outer:
        sentences.append(f"Cuts round the rim at {', '.join(figure(mark.rim_mm) for mark in outer)} mm")
    return sentences


def _mm(value: float) -> str:
    return f"{figure(value)}{NBSP}mm"


def _grams(value: float) -> str:
    return f"{figure(value)}{NBSP}g"
