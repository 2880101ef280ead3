"""The most expensive requests for cuts, pieces and bakes: the most pieces, the longest searches, every drawing."""

from typing import Any

from api.v1.job.schemas import MAX_TARGETS
from tests.load.worst.asking import Build, get, post
from tests.load.worst.formulas import egg_line, formula, line

BIG = "rectangle {} x 1999 x 50 mm"


def cuts(show: str = "json", **wish: Any) -> Build:
    """One large slab with a drawing."""

    def build(turn: int) -> Any:
        return post("/v1/cuts", {"tin": BIG.format(1900 + turn), "slab_grams": 90_000, "drawing": True, **wish}, show)

    return build


def shaped(tin: str, **wish: Any) -> Build:
    """One slab of another shape with a drawing; `{}` is replaced by a number."""
    return lambda turn: post(
        "/v1/cuts", {"tin": tin.format(1900 + turn), "slab_grams": 90_000, "drawing": True, **wish}
    )


def polygon(sides: int, radius: int, **wish: Any) -> Build:
    """One polygon with rounded corners and a drawing."""

    def build(turn: int) -> Any:
        tin = {"shape": "polygon", "sides": sides, "across_flats": f"{1900 + turn} mm", "depth": "50 mm"}
        tin |= {"corner_radius": f"{radius} mm"} if radius else {}
        return post("/v1/cuts", {"tin_shape": tin, "slab_grams": 90_000, "drawing": True, **wish})

    return build


def many_cuts(tin: str, *, drawing: bool = True, **wish: Any) -> Build:
    """As many tins as allowed, each cut into many portions."""
    cuts = {"slab_grams": 90_000, "drawing": drawing, "trim": "5 mm", "knife_width": "2 mm", **wish}

    def build(turn: int) -> Any:
        targets = [
            {"tin": tin.format(1900 + i + turn / 10), "label": "x" * 120, "cuts": cuts} for i in range(MAX_TARGETS)
        ]
        return post("/v1/cuts/batch", {"targets": targets})

    return build


def refused_slabs(size: str, **wish: Any) -> Build:
    """The maximum number of slabs whose search is long and ends in an error; `{}` is replaced by a number."""
    return lambda turn: post(
        "/v1/cuts/batch",
        {
            "targets": [
                {"tin": f"rectangle {size.format(760 - i + turn / 10)}", "cuts": wish} for i in range(MAX_TARGETS)
            ]
        },
    )


def refused_polygons(across: int, **wish: Any) -> Build:
    """The maximum number of octagons whose search is long and ends in an error."""
    return lambda turn: post(
        "/v1/cuts/batch",
        {"targets": [{"tin": f"octagon {across + i}.{turn} x 50 mm", "cuts": wish} for i in range(MAX_TARGETS)]},
    )


def get_cuts(tin: str, **wish: Any) -> Build:
    """One slab as a query."""
    return lambda turn: get("/v1/cuts", tin=tin.format(1900 + turn), slab_grams=90_000, **wish)


def pieces(**more: Any) -> Build:
    """A mix divided and placed in a tin, with a drawing."""
    return lambda turn: post("/v1/pieces", {"grams": 100_000 + turn, "drawing": True, **more})


def rescale_cuts(targets: int, *, drawing: bool = True, more: dict[str, Any] | None = None, **wish: Any) -> Build:
    """A small formula for many tins, each cut into many pieces."""

    def build(turn: int) -> Any:
        wanted = [
            {"tin": f"rectangle {1900 + i}.{turn} x 1990 x 50 mm", "cuts": {"drawing": drawing, **wish}} | (more or {})
            for i in range(targets)
        ]
        return post("/v1/rescale", {"formula": formula(line, turn, 1, 1), "targets": wanted})

    return build


def bake(reference: str, target: str, pieces: bool = True, **more: Any) -> Build:
    """A bake for which every uncertain figure is varied."""

    def build(turn: int) -> Any:
        recipe = formula(line, turn, 1, 4) | {"tin": reference, "filled_depth": "32 mm"}
        recipe["bake"] = {
            "oven": f"{180 + turn / 7:.3f} celsius",
            "fan": True,
            "minutes": 44,
            "start_temperature": "8 celsius",
            "core_temperature": "97.5 celsius",
            "tin_material": "glass",
            "curve": True,
            "drawing": True,
        }
        if pieces:
            inside = {"count": 25, "diameter": "28 mm", "start_temperature": "0.5 celsius"}
            recipe["components"].append({"name": "nuggets", "lines": [line(9, turn)], "pieces": inside})
        wanted = {"tin": target, "depth": f"{55 + turn / 7:.3f} mm", "bake": {"tin_material": "silicone"}}
        return post("/v1/bake", {"formula": recipe, "targets": [wanted], **more})

    return build


def bake_frozen(targets: int) -> Build:
    """The maximum number of windows with frozen pieces, each of another depth."""

    def build(turn: int) -> Any:
        recipe = formula(line, turn, 1, 4) | {"tin": "square 30 cm", "filled_depth": "32 mm"}
        recipe["bake"] = {"oven": f"{180 + turn / 7:.3f} celsius", "minutes": 44}
        inside = {"per_tin": 9, "diameter": "28 mm", "start_temperature": "-18 celsius"}
        recipe["components"].append({"name": "nuggets", "lines": [line(9, turn)], "pieces": inside})
        wanted = [{"tin": f"square {300 + 7 * i} mm", "depth": f"{40 + i + turn / 7:.3f} mm"} for i in range(targets)]
        return post("/v1/bake", {"formula": recipe, "targets": wanted})

    return build


def doneness(path: str, targets: int, side: int) -> Build:
    """A slab for each target, of many portions of which each has its doneness."""

    def build(turn: int) -> Any:
        recipe = formula(line, turn, 1, 4) | {"tin": "square 30 cm", "filled_depth": "32 mm"}
        recipe["bake"] = {
            "oven": f"{180 + turn / 7:.3f} celsius",
            "minutes": 44,
            "doneness": {"bands": [{"name": "soft", "up_to": 93}, {"name": "set"}], "drawing": True},
        }
        cut = {"rows": side, "columns": side}
        wanted = [{"tin": f"rectangle {300 + 7 * i} x {290 + turn} mm", "cuts": cut} for i in range(targets)]
        return post(path, {"formula": recipe, "targets": wanted})

    return build


def rescale_bake(targets: int, make: Any = line) -> Build:
    """A formula with a bake window for each target."""

    def build(turn: int) -> Any:
        body = formula(make, turn, 1, 4) | {"bake": {"oven": f"{180 + turn} celsius", "fan": True, "minutes": 44}}
        body["components"].append({"name": "nuggets", "lines": [line(9, turn)], "pieces": {"count": 16}})
        wanted = [
            {"tin": f"round {200 + 3 * i}.{turn} x 80 mm", "depth": f"{40 + i / 3:.2f} mm"} for i in range(targets)
        ]
        return post("/v1/rescale", {"formula": body, "targets": wanted})

    return build


RING: dict[str, Any] = {"rings": [1, *[50] * 19], "rings_by": "equal_pieces"}
SMALL_LIMIT: dict[str, Any] = {"longest_side": "5 mm"}


def _doughs(turn: int) -> dict[str, Any]:
    lines = [{"ingredient": "plain flour", "quantity": "700 g"}]
    nuggets = {"name": "nuggets", "lines": lines, "pieces": {"count": 300, "diameter": "5 mm"}}
    formula = {"name": "slab", "tin": "square 20 cm", "components": [{"name": "batter", "lines": lines}, nuggets]}
    cut = {"cuts": {"portions": 300}, "pieces": {"count": 300, "drawing": True}}
    targets = [{"tin": f"rectangle {400 + i} x {300 + turn} mm", **cut} for i in range(MAX_TARGETS)]
    return {"formula": formula, "targets": targets}


def sloping(**wish: Any) -> Build:
    """A slab of a tin with sloping walls and rounded corners."""
    return lambda turn: post(
        "/v1/cuts",
        {
            "tin_shape": {
                "shape": "tapered_rectangle",
                "top_length": f"{600 + turn % 90} mm",
                "top_width": "400 mm",
                "base_length": "580 mm",
                "base_width": "380 mm",
                "depth": "50 mm",
                "corner_radius": "15 mm",
            },
            "baked_depth": "40 mm",
            "slab_grams": 9_000,
            **wish,
        },
    )


WORST: dict[str, Build] = {
    "compute_cuts_batch: 50 slabs refused, a limit no grid keeps": refused_slabs(
        "{} x 557 mm", portions=1, **SMALL_LIMIT
    ),
    "compute_cuts_batch: 50 slabs refused, a long search for a count": refused_slabs(
        "{} x 997 mm", portions=1, slab_grams=10, longest_side="6 mm"
    ),
    "compute_cuts_batch: 50 slabs, a prime count": refused_slabs("{} x 557 mm", portions=997),
    "compute_cuts_batch: 50 narrow slabs, a count of poor shape": refused_slabs("{} x 12 mm", portions=100),
    "compute_cuts_batch: 50 slabs by mass": many_cuts("square {} x 50 mm", drawing=False, portion_grams=91),
    "compute_cuts_batch: 50 slabs with round corners by mass": lambda turn: post(
        "/v1/cuts/batch",
        {
            "targets": [
                {
                    "tin_shape": {
                        "shape": "rectangle",
                        "length": f"{1_900 + i}.{turn} mm",
                        "width": "1440 mm",
                        "corner_radius": "4 mm",
                    },
                    "cuts": {"slab_grams": 90_000, "portion_grams": 1_093, "largest_mass": "1200 g"},
                }
                for i in range(MAX_TARGETS)
            ],
        },
    ),
    "compute_cuts_batch: 50 rounds in wedges with a knife": many_cuts("round {} x 50 mm", wedges=289),
    "compute_cuts_batch: 50 rounds by mass with a wide knife": many_cuts(
        "round {} x 50 mm", drawing=False, portion_grams=1_000, knife_width="4.9 mm"
    ),
    "compute_cuts_batch: 50 octagons refused, a limit is broken": refused_polygons(
        560, portion_size="10.9 x 548.6 mm", longest_side="20 mm"
    ),
    "compute_cuts_batch: 50 octagons refused, more than 1,000": refused_polygons(1_560, portion_size="45 x 45 mm"),
    "compute_cuts_batch: 50 octagons refused, nothing fits": refused_polygons(560, portion_size="5 x 559 mm"),
    "get_cuts: refused, a limit no grid keeps": lambda turn: get(
        "/v1/cuts", slab=f"76{turn} x 557 mm", portions=1, longest_side="5 mm"
    ),
    "get_cuts: card refused, a limit no grid keeps": lambda turn: get(
        "/cards/cuts", slab=f"76{turn} x 557 mm", portions=1, longest_side="5 mm"
    ),
    "compute_rescale: 50 refused, a limit no grid keeps": rescale_cuts(50, drawing=False, portions=1, **SMALL_LIMIT),
    "compute_rescale: 50 refused, more than 1,000 pieces": rescale_cuts(50, drawing=False, portion_size="45 x 45 mm"),
    "compute_cuts: slivers of 18 round corners": polygon(18, 900, portion_size="5 x 900 mm"),
    "compute_cuts: rows of slivers of 19 round corners": polygon(19, 900, rows=340, columns=2),
    "compute_cuts: 1,000 in a grid": cuts(rows=40, columns=25),
    "compute_cuts: 961 pieces": cuts(portions=961),
    "compute_cuts: by mass": cuts(portion_grams=91.37),
    "compute_cuts: grid, XML": cuts("xml", rows=40, columns=25),
    "compute_cuts: round by size": shaped("round {} x 50 mm", portion_size="58 x 54 mm"),
    "compute_cuts: round by mass": shaped("round {} x 50 mm", portion_grams=110),
    "compute_cuts: round wedges": shaped("round {} x 50 mm", wedges=1_000),
    "compute_cuts: rings": shaped("round {} x 50 mm", **RING),
    "compute_cuts: polygon by size": shaped("octagon {} x 50 mm", portion_size="58 x 54 mm"),
    "compute_cuts: 20 sides by size": polygon(20, 0, portion_size="58 x 54 mm"),
    "compute_cuts: 20 round corners by size": polygon(
        20, 945, portion_size="58 x 50 mm", trim="2 mm", knife_width="1 mm"
    ),
    "compute_cuts: 5 round corners by size": polygon(5, 600, portion_size="55 x 57 mm"),
    "compute_cuts: 4 sides, more than 1,000 whole": polygon(4, 300, portion_size="43 x 42 mm"),
    "compute_cuts: 4 round corners by size": polygon(4, 940, portion_size="56 x 53 mm"),
    "compute_cuts: slivers of 20 round corners": polygon(20, 900, portion_size="5 x 900 mm"),
    "compute_cuts: slivers of a round": shaped("round {} x 50 mm", portion_size="5 x 900 mm"),
    "compute_cuts_batch: 50 octagons in slivers": many_cuts("octagon {} x 50 mm", portion_size="5 x 1300 mm"),
    "compute_cuts_batch: 50 octagons in slivers, not drawn": many_cuts(
        "octagon {} x 50 mm", drawing=False, portion_size="5 x 900 mm"
    ),
    "compute_cuts_batch: 50 octagons, small": many_cuts(
        "octagon {} x 50 mm", drawing=False, portion_size="120 x 110 mm"
    ),
    "compute_cuts_batch: 50 times 20 rings": many_cuts(
        "round {} x 50 mm", rings=[1] + [2] * 19, rings_by="equal_pieces"
    ),
    "compute_cuts_batch: 50 times 6 rings": many_cuts("round {} x 50 mm", rings=[1] + [2] * 5, rings_by="equal_pieces"),
    "compute_cuts: 3 sides by size": polygon(3, 20, portion_size="60 x 61 mm"),
    "compute_cuts: 20 sides in rows": polygon(20, 600, rows=31, columns=32),
    "compute_cuts: rectangle with round corners": shaped(
        "rectangle {} x 1999 x 50 mm", rows=40, columns=25, knife_width="1 mm", trim="2 mm"
    ),
    "compute_cuts_batch: 50 grids": many_cuts(BIG, rows=10, columns=10),
    "compute_cuts_batch: 50 grids in a limit": many_cuts(BIG, portions=997, longest_side="80 mm", largest_mass="92 g"),
    "compute_cuts_batch: 50 rounds by size": many_cuts("round {} x 50 mm", portion_size="200 x 180 mm"),
    "compute_cuts_batch: 50 octagons by size": many_cuts("octagon {} x 50 mm", portion_size="200 x 180 mm"),
    "compute_cuts_batch: 50 rounds, nothing fits": many_cuts("round {} x 50 mm", portion_size="1340 x 1340 mm"),
    "compute_cuts_batch: 50 octagons, one fits": many_cuts("octagon {} x 50 mm", portion_size="1200 x 1200 mm"),
    "compute_cuts_batch: 50 rings": many_cuts("round {} x 50 mm", **RING),
    "compute_cuts_batch: 50 without drawings": many_cuts(BIG, drawing=False, rows=50, columns=20),
    "compute_cuts: 1,000 triangles": shaped(BIG, portions=1_000, portion_shape="triangle", knife_width="1 mm"),
    "compute_cuts: many diamonds": shaped(BIG, portions=990, portion_shape="diamond", knife_width="1 mm"),
    "compute_cuts_batch: 50 times 100 diamonds": many_cuts(BIG, drawing=False, portions=100, portion_shape="diamond"),
    "compute_cuts_batch: 50 thin wedges": many_cuts("round {} x 50 mm", drawing=False, wedges=120),
    "compute_cuts_batch: 50 slabs by at least a mass": many_cuts(
        "square {} x 50 mm", drawing=False, portion_grams=91, portion_rule="at_least"
    ),
    "compute_cuts: sloping walls, 1,000 pieces": sloping(portions=1_000),
    "compute_cuts: sloping walls, 400 triangles": sloping(portions=400, portion_shape="triangle"),
    "compute_pieces: 50 targets of 300 pieces on their cuts": lambda turn: post("/v1/pieces", _doughs(turn)),
    "compute_pieces: 300 on the cuts of a round": pieces(
        count=300, tin="round 1999 x 50 mm", diameter="20 mm", cuts={"rings": [1] + [52] * 19}
    ),
    "compute_pieces: 300 on the cuts of a square": pieces(
        count=300, tin="square 1999 x 50 mm", diameter="20 mm", cuts={"portions": 150}
    ),
    "get_cuts: rings, drawn": get_cuts(
        "round {} x 50 mm", rings=[1] + [52] * 19, rings_by="equal_pieces", drawing="true"
    ),
    "get_cuts: svg of 1,000": get_cuts(BIG, rows=40, columns=25, format="svg"),
    "get_cuts: round, svg": get_cuts("round {} x 50 mm", portion_size="58 x 54 mm", format="svg"),
    "get_cuts: octagon, svg": get_cuts("octagon {} x 50 mm", portion_size="58 x 54 mm", format="svg"),
    "get_cuts: wedges, svg": get_cuts("round {} x 50 mm", wedges=1_000, format="svg"),
    "get_cuts: rings, svg": get_cuts("round {} x 50 mm", rings=[1] + [52] * 19, rings_by="equal_pieces", format="svg"),
    "compute_pieces: 300 in a square": pieces(count=300, tin="square 1999 x 50 mm", diameter="20 mm"),
    "compute_pieces: 300 in a round": pieces(count=300, tin="round 1999 x 50 mm", diameter="20 mm"),
    "compute_pieces: 300 in a ring": pieces(count=300, tin="ring 1999 x 900 x 50 mm", diameter="20 mm"),
    "compute_pieces: 300 in an octagon": pieces(count=300, tin="octagon 1999 x 50 mm", diameter="20 mm"),
    "compute_pieces: 300 in a strip": pieces(count=300, tin="rectangle 2000 x 20 x 50 mm", diameter="5 mm"),
    "compute_pieces: 9,900 on a tray": pieces(count=99_991, tray="rectangle 2000 x 2000 mm", diameter="20 mm"),
    "compute_pieces: 60 lines": lambda turn: post(
        "/v1/pieces",
        {"lines": [line(i, turn) for i in range(60)], "count": 299, "tin": "square 60 cm", "drawing": True},
    ),
    "compute_pieces: 60 lines of eggs": lambda turn: post(
        "/v1/pieces",
        {"lines": [egg_line(i, turn) for i in range(60)], "egg_class": "eu_m", "scoop": 40, "g_per_ml": 1.1},
    ),
    "compute_pieces: 300 in a wide strip": pieces(count=300, tin="rectangle 2000 x 150 x 50 mm", diameter="5 mm"),
    "compute_pieces: 300 in rows": pieces(count=293, tin="rectangle 1999 x 1500 x 50 mm", diameter="5 mm"),
    "get_pieces: svg": lambda turn: get(
        "/v1/pieces", grams=10_000 + turn, count=300, tin="round 1999 x 50 mm", diameter="20 mm", format="svg"
    ),
    "compute_rescale: 50 grids of 1,000, drawn": rescale_cuts(50, rows=40, columns=25),
    "compute_rescale: 50 grids of 1,000": rescale_cuts(50, drawing=False, rows=40, columns=25),
    "compute_rescale: 50 grids of 1,000 for portions": rescale_cuts(
        50,
        drawing=False,
        more={"portions": {"count": 1_000, "grams_each": 50}},
        rows=40,
        columns=25,
        bake_loss_percent=10,
    ),
    "compute_rescale: 50 by size": rescale_cuts(50, portion_size="300 x 280 mm"),
    "compute_rescale: 50 in a limit": rescale_cuts(50, drawing=False, portions=997, longest_side="62 mm"),
    "compute_rescale: 25 windows with pieces": rescale_bake(25),
    "compute_bake: doneness of 400": doneness("/v1/bake", 1, 20),
    "compute_bake: doneness of 50 slabs": doneness("/v1/bake", 50, 20),
    "compute_rescale: doneness of 400": doneness("/v1/rescale", 1, 20),
    "compute_rescale: doneness of 50 slabs": doneness("/v1/rescale", 50, 3),
    "compute_cuts_batch: doneness of 400": doneness("/v1/cuts/batch", 1, 20),
    "compute_bake: 25 windows with frozen pieces": bake_frozen(25),
    "compute_bake: squares": bake("square 20 cm", "rectangle 20 x 31 x 9 cm"),
    "compute_bake: round to ring": bake("round 20 x 9 cm", "ring 25 x 8 x 9 cm"),
    "compute_bake: rounds, no pieces": bake("round 20 x 9 cm", "round 31 x 9 cm", pieces=False),
    "compute_bake: round to square": bake("round 20 x 9 cm", "square 31 x 9 cm"),
    "compute_bake: octagon": bake("octagon 20 x 9 cm", "hexagon 31 x 9 cm"),
    "compute_bake: long": bake("square 20 cm", "rectangle 20 x 31 x 29 cm"),
}
