"""Whole recipes as shops write them, the reading that a baker expects of each line, and how a reading is judged."""

import re
from dataclasses import dataclass
from pathlib import Path

from domain.errors import DomainError
from domain.measures.quantities import parse_quantity
from domain.measures.units import Measures
from domain.reading.texts import TextReading
from domain.reading.values import LineReading, ReadingOptions

FOLDER = Path(__file__).parent
EXPECTED = re.compile(" (?P<sign>[⇒⇨]) ")  # fixed before the first reading, and later
SIGNS = {"→": "\t", "␣": "\u00a0"}  # as the files show what an editor hides
MM = {"mm": 1.0, "cm": 10.0, "in": 25.4}
SAME_MM = 4.0  # sizes that two systems of units give side by side differ by less
SAME_SHARE = 0.006  # as far as a written third may differ from a third


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopLine:
    """A line and its expected readings: `ask`, `none`, `kept`, `heading NAME`, `oven`, `tin`, or ids with amounts."""

    text: str
    expected: tuple[str, ...]
    blind: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopRecipe:
    """A recipe with the options that its shop would send."""

    name: str
    options: ReadingOptions
    lines: tuple[ShopLine, ...]

    @property
    def text(self) -> str:
        """The recipe as it is pasted."""
        return "\n".join(line.text for line in self.lines)


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What became of a line: right, asks where nothing had to be asked, or wrong."""

    recipe: str
    line: ShopLine
    verdict: str
    readings: tuple[LineReading, ...]


def load_shop_recipes(folder: Path = FOLDER) -> list[ShopRecipe]:
    """All recipes; a line that starts with @ opens one and names its options."""
    recipes: list[ShopRecipe] = []
    for path in sorted(folder.glob("*.txt")):
        _, *blocks = path.read_text("utf-8").split("\n@ ")
        for block in blocks:
            head, *rows = block.rstrip("\n").split("\n")
            name, *settings = head.split()
            values = dict(setting.split("=") for setting in settings)
            options = ReadingOptions(
                language=values["lang"],  # type: ignore[arg-type]  # as the file says
                measures=values["measures"],  # type: ignore[arg-type]
                egg_class=values["egg"],
            )
            recipes.append(ShopRecipe(name=name, options=options, lines=tuple(_line(row) for row in rows if row)))
    return recipes


def _line(row: str) -> ShopLine:
    text, sign, expected = EXPECTED.split(row, maxsplit=1)
    for shown, written in SIGNS.items():
        text = text.replace(shown, written)
    return ShopLine(text=text, expected=tuple(each.strip() for each in expected.split(" / ")), blind=sign == "⇒")


def judge(recipe: ShopRecipe, reading: TextReading) -> list[Verdict]:
    """A verdict for every line."""
    verdicts = []
    heading = ""
    components = _components(reading)
    for number, line in enumerate(recipe.lines, start=1):
        numbered = [each for each in reading.lines if each.number == number]
        readings = tuple(each.reading for each in numbered)
        heading = line.expected[0][8:] if line.expected[0].startswith("heading ") else heading
        verdict = "right"
        if not any(_matches(expected, readings, recipe.options.measures) for expected in line.expected):
            verdict = "asks" if any(each.questions for each in readings) else "wrong"
        elif any(id(each) in components and not _same_name(heading, components[id(each)]) for each in numbered):
            verdict = "wrong"
        verdicts.append(Verdict(recipe=recipe.name, line=line, verdict=verdict, readings=readings))
    return verdicts


def _components(reading: TextReading) -> dict[int, str]:
    """The component of every line that the formula has, by the reading's identity; "" for the formula's own."""
    names = [
        "" if component.name == reading.formula.name else component.name
        for component in reading.formula.components
        for _ in component.lines
    ]
    lines = [each for each in reading.lines if each.reading.kind == "line"]
    return {id(each): name for each, name in zip(lines, names, strict=True)}


def _same_name(expected: str, name: str) -> bool:
    return expected.casefold() in name.casefold() and bool(expected) == bool(name)


def _matches(expected: str, readings: tuple[LineReading, ...], measures: Measures | None) -> bool:  # noqa: PLR0911 - one branch for each form
    if not readings:  # a row of empty cells
        return expected == "kept"
    match expected.split(maxsplit=1)[0].rstrip(";"):
        case "ask":
            return any(each.questions for each in readings)
        case "-" | "kept":
            return all(_is_plain(each) for each in readings)
        case "none":
            return all(_is_plain(each) and each.kept_as in ("no_amount", "text") for each in readings)
        case "heading":
            return readings[0].kept_as == "heading" and _same_name(expected[8:], readings[0].heading)
        case "title" | "oven" | "time" | "tin" | "yield" | "depth":
            return _is_setting(expected, readings[0])
    lines = [each for each in readings if each.kind == "line"]
    parts = expected.split(" & ")
    others = [each for each in readings if each.kind != "line"]
    return (
        len(lines) == len(parts)
        and all(_is_plain(each) for each in others)
        and all(_is_line(part, line, measures) for part, line in zip(parts, lines, strict=True))
    )


def _is_plain(reading: LineReading) -> bool:
    settings = (reading.tin, reading.oven, reading.minutes, reading.yields, reading.heading)
    return reading.kind == "kept" and not any(settings)


def _is_setting(expected: str, reading: LineReading) -> bool:
    """Whether a kept line has the settings that are expected, and no other."""
    wanted = {part.split()[0]: part.partition(" ")[2] for part in expected.split("; ")}
    if reading.kind != "kept" or ("title" in wanted and reading.kept_as != "title"):
        return False
    settings = {"oven": reading.oven, "time": reading.minutes, "tin": reading.tin, "yield": reading.yields}
    if not _is_depth(wanted.pop("depth", ""), reading):
        return False
    if any(bool(value) != (name in wanted) for name, value in settings.items()):
        return False
    return (
        ("oven" not in wanted or _is_oven(wanted["oven"], reading))
        and ("tin" not in wanted or _is_tin(wanted["tin"], reading))
        and all(_in_range(wanted[name], float(settings[name] or 0)) for name in ("time", "yield") if name in wanted)
    )


def _is_depth(wanted: str, reading: LineReading) -> bool:
    """Whether a tin is filled so deep, in millimetres."""
    number, _, unit = reading.depth.partition(" ")
    return float(wanted or 0) == (float(number) * MM[unit] if number else 0)


def _is_oven(wanted: str, reading: LineReading) -> bool:
    if wanted == "*":
        return True
    return reading.oven == wanted.removesuffix(" fan") and wanted.endswith(" fan") == bool(reading.fan)


def _is_tin(wanted: str, reading: LineReading) -> bool:
    wanted, times, count = re.sub(r" x(\d)$", r" times \1", wanted).partition(" times ")
    if reading.tins != (int(count) if times else 1) and wanted != "*":
        return False
    return wanted in ("*", reading.tin) or _sizes(wanted) == _sizes(reading.tin) or _close(wanted, reading.tin)


def _close(left: str, right: str) -> bool:
    (name, sizes), (other, others) = _sizes(left), _sizes(right)
    return (
        name == other
        and len(sizes) == len(others) > 0
        and all(abs(size - same) <= SAME_MM for size, same in zip(sizes, others, strict=True))
    )


def _sizes(tin: str) -> tuple[str, list[float]]:
    numbers = [float(number) for number in re.findall(r"\d+(?:\.\d+)?", tin)]
    unit = next((unit for unit in MM if re.search(rf"\b{unit}\b", tin)), "mm")
    sizes = [number * MM[unit] for number in numbers]
    return tin.split(maxsplit=1)[0] if tin else "", sorted(sizes[:2], reverse=True) + sizes[2:]


def _in_range(wanted: str, value: float) -> bool:
    low, _, high = wanted.partition("-")
    return float(low) <= value <= float(high or low)


def _is_line(expected: str, reading: LineReading, measures: Measures | None) -> bool:
    ids, _, quantity = expected.partition(" ")
    if ids != "*" and reading.ingredient_id not in ids.split("|"):
        return False
    amount, _, unit = quantity.partition(" ")
    if amount == "*":
        return True
    if unit == "stick":
        amount, unit = str(4 * float(amount)), "oz"
    low, _, high = amount.partition("-")
    read = _base(reading.quantity, measures)
    least, most = _base(f"{low} {unit}", measures), _base(f"{high or low} {unit}", measures)
    if read is None or least is None or most is None or read[1] != least[1]:
        return False
    return least[0] * (1 - SAME_SHARE) <= read[0] <= most[0] * (1 + SAME_SHARE)


def _base(quantity: str, measures: Measures | None) -> tuple[float, str] | None:
    try:
        parsed = parse_quantity(quantity, measures)
    except DomainError:
        return None
    return float(parsed.base), parsed.unit.dimension
