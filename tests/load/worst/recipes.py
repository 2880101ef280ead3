"""Recipes as text: long, odd and hostile ones."""

from domain.reading.texts import MAX_LINES, MAX_TEXT
from tests.load.worst.asking import Build, get, post


def text(line: str) -> Build:
    """As many of these lines as a text holds, each a little different."""
    lines = [f"{i + 1} {line}" for i in range(MAX_LINES - 2)]
    return lambda turn: post(
        "/v1/formulas/read",
        {"text": "\n".join([f"{turn} g butter", *lines])[:MAX_TEXT], "language": "en", "measures": "uk"},
    )


def table(row: str) -> Build:
    """Headings and as many of these rows as a text holds."""
    rows = [row.format(i + 1) for i in range(MAX_LINES - 2)]
    return lambda turn: post(
        "/v1/formulas/read",
        {
            "text": "\n".join(["Ingredient\tQty\tUnit\tNotes", f"butter\t{turn}\tg", *rows])[:MAX_TEXT],
            "language": "en",
            "measures": "us",
        },
    )


WORST: dict[str, Build] = {
    "read_formula: ordinary lines": text("1/2 tbsp plain flour, sifted"),
    "read_formula: unknown names": text("g of moondust and starlight"),
    "read_formula: names with a slip": text("g plian fluor"),
    "read_formula: many words": text("large ripe soft warm chopped peeled bananas"),
    "read_formula: a table": table("plain flour\t{0}\tg\tsifted"),
    "read_formula: a scan": lambda turn: post(
        "/v1/formulas/read",
        {"text": "\n".join(f"l{turn + i} tbsp plain flour, sifted" for i in range(MAX_LINES)), "measures": "uk"},
    ),
    "read_formula: one line of digits": lambda turn: post("/v1/formulas/read", {"text": f"{turn}" + "1/2 " * 4_900}),
    "read_formula: several ingredients in a line": text("g butter, 2 g sugar, 3 eggs, 4 g salt with 5 g of moondust"),
    "read_formula: brackets": lambda turn: post("/v1/formulas/read", {"text": f"{turn} g butter " + "((" * 9_000}),
    "read_formula: German": lambda turn: post(
        "/v1/formulas/read", {"text": "\n".join([f"{turn + 1},5 EL weiche Butter"] * MAX_LINES), "language": "de"}
    ),
    "read_line: an ordinary line": lambda turn: get(
        "/v1/formulas/read-line", text=f"{turn + 1} 1/2 tbsp plain flour, sifted", language="en", measures="uk"
    ),
    "read_line: an unknown name": lambda turn: get(
        "/v1/formulas/read-line", text=f"{turn + 1} g of moondust and starlight and more", measures="us"
    ),
}
