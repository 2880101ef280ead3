"""`/cards/bake`: the oven, when to check, the window, the curve, and when the bake can be cut."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from api.pages.cards.key_figures import (
    Answer,
    KeyFigure,
    caution_texts,
    degrees,
    minutes_text,
    warning_texts,
    without_lines,
)
from api.pages.cards.words import Words

_QUARTERS = {0.0: "", 0.25: "¼", 0.5: "½", 0.75: "¾"}


@dataclass(frozen=True, slots=True, kw_only=True)
class BakeCard:
    """Everything that the page shows.

    `check_from` is None if no window can be known; `warnings` then say why.
    """

    oven: tuple[KeyFigure, ...]
    window: tuple[KeyFigure, ...]
    check_from: int | None
    level: str
    probe: str
    rule_of_thumb: str
    curve: Markup
    doneness: Markup
    coldest: str
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]


def bake_card(answer: Answer, words: Words, *, curve: str = "") -> BakeCard:
    """The card of the first target.

    Args:
        answer: of `/v1/bake`, as plain data.
        words: of the page.
        curve: the drawing of the curve; empty without a window.
    """
    target, written = answer["targets"][0], answer["written"]
    bake = target["bake"]
    with_pieces = any("pieces" in component for component in written["components"])
    doneness = bake.get("doneness", {})
    return BakeCard(
        oven=tuple(_oven(bake["oven"], words)),
        window=tuple(_window(bake, words)),
        check_from=bake.get("check_from_minutes"),
        level=_level(bake, words),
        probe=_probe(bake, words, with_pieces=with_pieces),
        rule_of_thumb=_rule_of_thumb(bake, words),
        # Safe: our own drawings are built from elements, and every text in them is escaped.
        curve=Markup(curve),  # noqa: S704
        doneness=Markup(doneness.get("drawing", "")),  # noqa: S704
        coldest=_coldest(doneness, words),
        warnings=warning_texts(words, bake["warnings"], target["warnings"], without_lines(written["warnings"])),
        cautions=caution_texts(words, written["cautions"], bake["cautions"]),
    )


def _oven(oven: Answer, words: Words) -> Iterator[KeyFigure]:
    with_fan, without = oven.get("fan_celsius"), oven.get("celsius")
    if with_fan is not None:
        yield KeyFigure(
            name=words.text("Fan"),
            value=degrees(words, with_fan),
            note=degrees(words, oven["fan_fahrenheit"], "°F"),
        )
    if without is not None:
        yield KeyFigure(
            name=words.text("No fan"),
            value=degrees(words, without),
            note=degrees(words, oven["fahrenheit"], "°F"),
        )
    if "gas_mark_nearest" in oven:
        yield KeyFigure(name=words.text("Gas mark"), value=gas_mark(oven["gas_mark_nearest"]))


def gas_mark(mark: float) -> str:
    """A gas mark as it stands on a dial.

    >>> gas_mark(3.5), gas_mark(0.25), gas_mark(4.0)
    ('3½', '¼', '4')
    """
    whole, part = divmod(mark, 1)
    return f"{int(whole) or ''}{_QUARTERS[part]}"


def _window(bake: Answer, words: Words) -> Iterator[KeyFigure]:
    if "check_from_minutes" in bake:
        yield KeyFigure(name=words.text("Check from"), value=minutes_text(words, bake["check_from_minutes"]))
        yield KeyFigure(
            name=words.text("Likely done"), value=minutes_text(words, bake["minutes_low"], bake["minutes_high"])
        )
    yield KeyFigure(name=words.text("Core when done"), value=degrees(words, bake["core_celsius"]))


def _level(bake: Answer, words: Words) -> str:
    if "level_percent" not in bake:
        return ""
    return words.text(
        "%(level)s of 100 bakes should be done in this window. Ovens differ, so check before it.",
        level=bake["level_percent"],
    )


def _probe(bake: Answer, words: Words, *, with_pieces: bool) -> str:
    core = degrees(words, bake["core_celsius"])
    if with_pieces:
        return words.text(
            "The probe decides, not the clock: %(core)s in the middle of the slab, and in the middle of a dough piece "
            "there. Dough pieces cook last.",
            core=core,
        )
    return words.text("The probe decides, not the clock: %(core)s in the middle of the slab.", core=core)


def _rule_of_thumb(bake: Answer, words: Words) -> str:
    rule = bake.get("rule_of_thumb")
    if rule is None:
        return ""
    return words.text("The trade's rule of thumb says %(minutes)s.", minutes=minutes_text(words, rule["minutes"]))


def _coldest(doneness: Answer, words: Words) -> str:
    portions: Sequence[Answer] = doneness.get("portions", ())
    if len({portion["coldest_celsius"] for portion in portions}) <= 1:
        return ""
    coldest = min(portions, key=lambda portion: portion["coldest_celsius"])
    return words.text(
        "Probe piece %(number)s: it is the coldest, about %(celsius)s after %(minutes)s.",
        number=coldest["portion"],
        celsius=degrees(words, coldest["coldest_celsius"]),
        minutes=minutes_text(words, doneness["minutes"]),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class CoolingCard:
    """When the bake can be cut: a window, the air that was assumed, and the limits that this cooling may miss."""

    cut: KeyFigure
    level: str
    limits: tuple[str, ...]
    warnings: tuple[str, ...]


def cooling_card(answer: Answer, words: Words) -> CoolingCard:
    """The part of the card about cooling.

    Args:
        answer: of `/v1/cool`, as plain data, with a core temperature for cutting.
        words: of the page.
    """
    cut = next(each for each in answer["milestones"] if each["step"] == "cut")
    return CoolingCard(
        cut=KeyFigure(
            name=words.text("Cut after"),
            value=minutes_text(words, cut["minutes_low"], cut["minutes_high"]),
            note=words.text("core at %(celsius)s", celsius=degrees(words, cut["celsius"])),
        ),
        level=words.text(
            "%(level)s of 100 batches should be ready in this window, in air of %(air)s.",
            level=answer["level_percent"],
            air=degrees(words, answer["surroundings_celsius"]),
        ),
        limits=tuple(
            words.text("%(agency)s: %(limit)s.", agency=rule["agency"], limit=rule["text"])
            for rule in answer["rules"]
            if rule["outcome"] in {"unsure", "not_within"}
        ),
        warnings=warning_texts(words, answer["warnings"]),
    )
