"""The longest jobs that a card's address may hold, and addresses that take long to refuse."""

from tests.load.worst.asking import Build, HostileRequest, get

URL_BYTES = 60_000  # of the address; the service refuses a longer one than 65,536


def _card(card: str, line: str, lines: int, **more: object) -> Build:
    """A recipe of many lines, in parts of 50, each line a little different."""

    def build(turn: int) -> HostileRequest:
        texts = [f"{'' if i % 50 else f'Part {chr(97 + i // 50)}:{chr(10)}'}{i + 1}{line}" for i in range(lines)]
        return get(f"/cards/{card}", recipe="\n".join([f"Bake {turn}", "Tin: square 30 x 6 cm", *texts]), **more)

    return build


def _fields(card: str, query: bytes) -> Build:
    return lambda turn: HostileRequest(path=f"/cards/{card}", query=f"name={turn}&".encode() + query[:URL_BYTES])


JOB = {"measures": "uk", "egg_class": "eu_m", "depth": "30 mm", "oven": "150 celsius", "minutes": 48}
SIZES = [f"square {20 + i} x 6 cm" for i in range(16)]  # the most tins of a sheet
LINES = 190  # a card takes 200
TINS = [f"rectangle {20 + i} x 30 x 6 cm" for i in range(8)]  # the most sizes of a day
DAY = {"want": TINS, "order": [f"{tin}: 99 tins" for tin in TINS] * 6, "portions": 240, "bowl": "1 kg", "shelves": 4}
LABEL = {
    "want": "round 26 x 7 cm",
    "market": "us",
    "bake_loss_percent": 11,
    "portions": 90,
    "may_contain": ["milk"] * 30,
}
WORST: dict[str, Build] = {
    name: build
    for card in ("weigh", "pieces", "bake", "cuts", "sizes", "day", "label")
    for name, build in {
        f"any: /cards/{card} of many lines": _card(card, " tbsp plain flour", LINES, want="round 26 x 7 cm", **JOB),
        f"any: /cards/{card} of too many lines": _card(card, " tbsp plain flour", 480, want="x 2", **JOB),
        f"any: /cards/{card} of many eggs": _card(
            card, " medium eggs", 70, want="x 2", eggs=["eu_m", "eu_l", "us_large", "jp_ll"] * 10, **JOB
        ),
        f"any: /cards/{card} with many questions": _card(card, " cups flour", LINES, want="x 2"),
        f"any: /cards/{card} of unknown names": _card(card, " g plian fluor", LINES, want="x 2"),
        f"any: /cards/{card} with many answers": _card(
            card, " cups flour", LINES, answer=[f"{i + 1}:{i + 1} g plain flour" for i in range(LINES)]
        ),
    }.items()
}
# 100 pieces are the most of a card's map; dough pieces in the batter make the slowest window.
MAP = {"tin": "square 30 x 6 cm", "pieces": 30, "dough": "Part b", "want": "square 90 x 6 cm", "portions": 100, **JOB}
WORST |= {
    f"any: /cards/{card} with a map of many pieces": _card(card, " g plain flour", 60, bake_loss_percent=10, **MAP)
    for card in ("bake", "cuts")
}
WORST |= {
    "any: /cards/sizes of many tins": _card("sizes", " g plain flour", 25, want=SIZES, **JOB),
    "any: /cards/sizes of too many tins": _card("sizes", " g plain flour", 75, want=SIZES * 3, **JOB),
    "any: /cards/pieces of many pieces": _card(
        "pieces", " g plain flour", 49, want="square 30 x 6 cm", pieces=300, **JOB
    ),
    "any: /cards/cuts of many pieces": _card(
        "cuts", " g plain flour", 49, want="square 90 x 6 cm", portions=999, bake_loss_percent=10, **JOB
    ),
    "any: /cards/day of many lines and orders": _card("day", " tbsp plain flour", LINES, per_shelf=1, **DAY, **JOB),
    "any: /cards/day of many eggs": _card("day", " medium eggs", 70, per_shelf=1, eggs=["eu_l", "jp_ll"], **DAY, **JOB),
    "any: /cards/day of orders that cannot be read": _card("day", " g butter", 9, **{**DAY, "order": ["x: 9"] * 50}),
    "any: /cards/label of many lines": _card("label", " tbsp plain flour", LINES, **LABEL, **JOB),
    "any: /cards/label of unknown names": _card("label", " g plian fluor", LINES, **LABEL, **JOB),
    "any: /cards/start of one long line": _fields("start", b"recipe=" + b"100 g butter and " * 4_000),
    "any: /cards/start of many fields": _fields("start", b"&".join(b"x%d=1" % i for i in range(8_000))),
    "any: /cards/start of one field often": _fields("start", b"&".join([b"want=1"] * 8_000)),
    "any: /cards/weigh of one field often": _fields("weigh", b"recipe=1+g+salt&" + b"&".join([b"want=1"] * 8_000)),
    "any: /cards/weigh of line ends": _fields("weigh", b"recipe=" + b"%0A" * 19_000),
}
