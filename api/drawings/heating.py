"""A chart of core temperatures against time, with the window shaded; it is legible in greyscale."""

import hashlib
import math
from collections.abc import Callable
from dataclasses import dataclass
from xml.etree import ElementTree as ET

from api.drawings.language import ENGLISH, Language
from api.drawings.svg import INK, LINE_HEIGHT, element, number, serialised, text, width_of, wrapped
from domain.baking.window import BakeEstimate, CurvePoint

# In units of the drawing, which are about pixels on a screen.
WIDTH, RIGHT, PLOT_HEIGHT = 760.0, 24.0, 340.0
TICKS_WANTED = 8
HEADROOM_C = 4  # distance between the hottest point and the frame
FAINT, SHADE, HATCH = "#c8c8c8", "#e4e4e4", "#a0a0a0"
SOLID, FINE, DOTTED = "", "6 4", "2 5"


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartStyle:
    """Sizes of text, the room left of the plot, and columns of the key; a heading of 0 leaves out the text above."""

    heading: float
    label: float
    tick: float
    left: float
    key_columns: int


CHART_ALONE = ChartStyle(heading=20.0, label=15.0, tick=14.0, left=74.0, key_columns=2)
# The page of a card has the words, and the chart is read from a distance of 1 m.
CHART_ON_CARD = ChartStyle(heading=0.0, label=27.0, tick=28.0, left=108.0, key_columns=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plot:
    """The place of minutes and temperatures on the drawing."""

    top: float
    most_minutes: float
    least_c: float
    most_c: float
    style: ChartStyle
    language: Language

    @property
    def left(self) -> float:
        """The place of the temperature axis."""
        return self.style.left

    @property
    def bottom(self) -> float:
        """The height of the time axis."""
        return self.top + PLOT_HEIGHT

    def x(self, minutes: float) -> float:
        """Horizontal place of a time."""
        return self.left + minutes / self.most_minutes * (WIDTH - self.left - RIGHT)

    def y(self, celsius: float) -> float:
        """Vertical place of a temperature."""
        return self.bottom - (celsius - self.least_c) / (self.most_c - self.least_c) * PLOT_HEIGHT


def draw_heating(
    estimate: BakeEstimate,
    reference_minutes: float,
    curve: tuple[CurvePoint, ...],
    *,
    style: ChartStyle = CHART_ALONE,
    language: Language = ENGLISH,
) -> str:
    """Draw one estimate.

    Args:
        estimate: the estimate to draw.
        reference_minutes: how long the reference bakes.
        curve: the points from `heating_curve`.
        style: sizes of text.
        language: of the words.
    Returns:
        SVG text with title and description. It shows the curves of the target, of its slowest and fastest case and of
        the reference, the window as a shaded area, the time to check from, and the core temperature.
    """
    title = language.gettext(
        "Core temperature: done between %(low)s and %(high)s minutes",
        low=estimate.minutes_low,
        high=estimate.minutes_high,
    )
    description = _describe(estimate, reference_minutes, language)
    root, prefix = _root(title, description)
    top = RIGHT
    if style.heading:
        text(root, RIGHT, style.heading + 10, title, style.heading, weight="bold").set("fill", INK)
        top = style.heading + 20
        for line in wrapped(description, style.label, WIDTH - 2 * RIGHT, 4):
            top += style.label * LINE_HEIGHT
            text(root, RIGHT, top, line, style.label).set("fill", INK)
        top += 34
    else:
        top += style.tick
    plot = _plot(top, curve, style, language)
    _window(root, plot, estimate, prefix)
    _axes(root, plot)
    _curves(root, plot, estimate, reference_minutes, curve)
    bottom = _key(root, plot, prefix, estimate)
    root.set("viewBox", f"0 0 {number(WIDTH)} {number(bottom)}")
    root[2].set("height", number(bottom))  # the white background
    return serialised(root)


def _describe(estimate: BakeEstimate, reference_minutes: float, language: Language) -> str:
    values: dict[str, str | float] = {
        "minutes": language.figure(estimate.minutes),
        "celsius": language.figure(estimate.core_c),
        "check": estimate.check_from_minutes,
        "reference": language.figure(reference_minutes),
    }
    if estimate.target.has_pieces:
        return language.gettext(
            "Target: %(minutes)s minutes to a core of %(celsius)s °C, in the middle of a dough piece; "
            "check from %(check)s minutes with a probe. "
            "Reference: %(reference)s minutes. An estimate: the core temperature decides.",
            **values,
        )
    return language.gettext(
        "Target: %(minutes)s minutes to a core of %(celsius)s °C; "
        "check from %(check)s minutes with a probe. "
        "Reference: %(reference)s minutes. An estimate: the core temperature decides.",
        **values,
    )


def _root(title: str, description: str) -> tuple[ET.Element, str]:
    prefix = "h" + hashlib.blake2b(description.encode(), digest_size=4).hexdigest()
    root = ET.Element("svg", {"role": "img", "aria-labelledby": f"{prefix}-title {prefix}-desc"})
    root.set("font-family", "sans-serif")
    element(root, "title", id=f"{prefix}-title").text = title
    element(root, "desc", id=f"{prefix}-desc").text = description
    element(root, "rect", width=WIDTH, height=1.0, fill="#ffffff")
    return root, prefix


def _plot(top: float, curve: tuple[CurvePoint, ...], style: ChartStyle, language: Language) -> Plot:
    coldest = min(min(p.slowest_c, p.reference_c, p.core_c) for p in curve)
    hottest = max(max(p.fastest_c, p.reference_c) for p in curve)
    return Plot(
        top=top,
        most_minutes=curve[-1].minutes,
        least_c=math.floor(coldest / 10) * 10,
        most_c=math.ceil((hottest + HEADROOM_C) / 10) * 10,
        style=style,
        language=language,
    )


def _window(root: ET.Element, plot: Plot, estimate: BakeEstimate, prefix: str) -> None:
    defs, tick = element(root, "defs"), plot.style.tick
    pattern = element(defs, "pattern", id=f"{prefix}-window", width=8, height=8, patternUnits="userSpaceOnUse")
    element(pattern, "rect", width=8, height=8, fill=SHADE)
    element(pattern, "path", d="M-2 2L2 -2M0 8L8 0M6 10L10 6", stroke=HATCH, stroke_width=0.8)
    left, right = plot.x(estimate.minutes_low), plot.x(min(estimate.minutes_high, plot.most_minutes))
    element(root, "rect", x=left, y=plot.top, width=right - left, height=PLOT_HEIGHT, fill=f"url(#{prefix}-window)")
    for minutes in (estimate.minutes_low, estimate.minutes_high):
        _line(root, plot.x(minutes), plot.top, plot.x(minutes), plot.bottom, stroke=INK, width=1)
    check = plot.x(estimate.check_from_minutes)
    _line(root, check, plot.top, check, plot.bottom, stroke=INK, width=1, dash=FINE)
    window = plot.language.gettext("%(low)s to %(high)s minutes", low=estimate.minutes_low, high=estimate.minutes_high)
    start = min(left + 2, WIDTH - RIGHT - width_of(window, tick))
    # "check from" ends at its own line, or before the window's text where the two lines are close.
    end = min(check, start - tick)
    text(root, start, plot.top - 8, window, tick, weight="bold").set("fill", INK)
    words = plot.language.gettext("check from %(minutes)s", minutes=estimate.check_from_minutes)
    text(root, end, plot.top - 8, words, tick, anchor="end").set("fill", INK)


def _axes(root: ET.Element, plot: Plot) -> None:
    tick, label, gettext = plot.style.tick, plot.style.label, plot.language.gettext
    for minutes in _ticks(0, plot.most_minutes):
        x = plot.x(minutes)
        _line(root, x, plot.bottom, x, plot.bottom + 5, stroke=INK, width=1)
        shown = plot.language.figure(minutes)
        text(root, x, plot.bottom + tick * 1.43, shown, tick, anchor="middle").set("fill", INK)
    for celsius in _ticks(plot.least_c, plot.most_c):
        y = plot.y(celsius)
        _line(root, plot.left, y, WIDTH - RIGHT, y, stroke=FAINT, width=0.7)
        _line(root, plot.left - 5, y, plot.left, y, stroke=INK, width=1)
        shown = plot.language.figure(celsius)
        text(root, plot.left - 9, y + tick / 3, shown, tick, anchor="end").set("fill", INK)
    _line(root, plot.left, plot.bottom, WIDTH - RIGHT, plot.bottom, stroke=INK, width=1.2)
    _line(root, plot.left, plot.top, plot.left, plot.bottom, stroke=INK, width=1.2)
    middle = (plot.left + WIDTH - RIGHT) / 2
    time = gettext("time in the oven, minutes")
    text(root, middle, plot.bottom + label * 2.8, time, label, anchor="middle").set("fill", INK)
    up = (plot.top + plot.bottom) / 2
    core = gettext("core temperature, °C")
    text(root, RIGHT, up, core, label, anchor="middle", turned=True).set("fill", INK)


def _ticks(low: float, high: float) -> list[float]:
    """A few round figures between two ends."""
    raw = (high - low) / TICKS_WANTED
    scale = 10.0 ** math.floor(math.log10(raw))
    step = next(nice * scale for nice in (1, 2, 5, 10) if nice * scale >= raw)
    return [step * i for i in range(math.ceil(low / step), math.floor(high / step + 1e-9) + 1)]


def _curves(
    root: ET.Element, plot: Plot, estimate: BakeEstimate, reference_minutes: float, curve: tuple[CurvePoint, ...]
) -> None:
    core = plot.y(estimate.core_c)
    _line(root, plot.left, core, WIDTH - RIGHT, core, stroke=INK, width=1.2, dash=FINE)
    for read, width, dash in _STYLES:
        points = " ".join(f"{number(plot.x(p.minutes))},{number(plot.y(read(p)))}" for p in curve)
        polyline = element(root, "polyline", points=points, fill="none", stroke=INK, stroke_width=width)
        if dash:
            polyline.set("stroke-dasharray", dash)
    x, y = plot.x(reference_minutes), core
    element(root, "circle", cx=x, cy=y, r=6, fill="#ffffff", stroke=INK, stroke_width=2)
    x = plot.x(estimate.minutes)
    element(root, "rect", x=x - 6, y=y - 6, width=12, height=12, fill=INK)


def _key(root: ET.Element, plot: Plot, prefix: str, estimate: BakeEstimate) -> float:
    """Draw the key and return the height at which it ends."""
    gettext, label = plot.language.gettext, plot.style.label
    done = gettext("done: core at %(celsius)s °C", celsius=plot.language.figure(estimate.core_c))
    entries = (
        (gettext("this tin, central estimate"), 3.0, SOLID, "square"),
        (gettext("the bake that works"), 2.2, DOTTED, "circle"),
        (gettext("this tin, slowest and fastest case"), 1.1, SOLID, ""),
        (done, 1.2, FINE, ""),
        (gettext("window"), 0.0, SOLID, "window"),
    )
    columns = plot.style.key_columns
    top = plot.bottom + label * 4.13
    for i, (words, width, dash, mark) in enumerate(entries):
        x, y = RIGHT + 16 + i % columns * (WIDTH - RIGHT) / 2, top + (i // columns) * label * 1.6
        if width:
            _line(root, x, y, x + 44, y, stroke=INK, width=width, dash=dash)
        if mark == "square":
            element(root, "rect", x=x + 16, y=y - 6, width=12, height=12, fill=INK)
        elif mark == "circle":
            element(root, "circle", cx=x + 22, cy=y, r=6, fill="#ffffff", stroke=INK, stroke_width=2)
        elif mark == "window":
            fill = f"url(#{prefix}-window)"
            element(root, "rect", x=x, y=y - 7, width=44, height=14, fill=fill, stroke=INK, stroke_width=1)
        text(root, x + 54, y + label / 3, words, label).set("fill", INK)
    return top + -(-len(entries) // columns) * label * 1.6 + 4


def _line(
    root: ET.Element, x1: float, y1: float, x2: float, y2: float, *, stroke: str, width: float, dash: str = ""
) -> None:
    line = element(root, "line", x1=x1, y1=y1, x2=x2, y2=y2, stroke=stroke, stroke_width=width)
    if dash:
        line.set("stroke-dasharray", dash)


_STYLES: tuple[tuple[Callable[[CurvePoint], float], float, str], ...] = (
    (lambda p: p.reference_c, 2.2, DOTTED),
    (lambda p: p.slowest_c, 1.1, SOLID),
    (lambda p: p.fastest_c, 1.1, SOLID),
    (lambda p: p.core_c, 3.0, SOLID),
)
