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
TINS = [f"square {20 + i} x 6 cm" for i in range(16)]
LINES = 190  # a card takes 200
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
WORST |= {
    "any: /cards/sizes of many tins": _card("sizes", " g plain flour", 25, want=TINS, **JOB),
    "any: /cards/sizes of too many tins": _card("sizes", " g plain flour", 75, want=TINS * 3, **JOB),
    "any: /cards/day of many orders": _card(
        "day", " g plain flour", 49, want=TINS[:8], order=[f"{tin}: 3 tins" for tin in TINS[:8]], **JOB
    ),
    "any: /cards/pieces of many pieces": _card(
        "pieces", " g plain flour", 49, want="square 30 x 6 cm", pieces=300, **JOB
    ),
    "any: /cards/cuts of many pieces": _card(
        "cuts", " g plain flour", 49, want="square 90 x 6 cm", portions=999, bake_loss_percent=10, **JOB
    ),
    "any: /cards/start of one long line": _fields("start", b"recipe=" + b"100 g butter and " * 4_000),
    "any: /cards/start of many fields": _fields("start", b"&".join(b"x%d=1" % i for i in range(8_000))),
    "any: /cards/start of one field often": _fields("start", b"&".join([b"want=1"] * 8_000)),
    "any: /cards/weigh of one field often": _fields("weigh", b"recipe=1+g+salt&" + b"&".join([b"want=1"] * 8_000)),
    "any: /cards/weigh of line ends": _fields("weigh", b"recipe=" + b"%0A" * 19_000),
}
