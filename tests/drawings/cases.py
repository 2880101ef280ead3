"""Every kind of drawing, from 2 to 200 pieces; `python -m tests.drawings.cases` writes the reviewed files again.

Look at every drawing that changed before you commit it.
"""

from pathlib import Path

from api.drawings.cuts import draw_cuts
from api.drawings.doneness import draw_doneness
from api.drawings.pieces import draw_pieces
from domain.baking.cases import TIN_MATERIALS, Bake
from domain.baking.doneness import Band, doneness_by_place
from domain.baking.oven import parse_oven
from domain.baking.window import estimate_bake
from domain.cutting.cuts import cut_slab
from domain.cutting.layouts import Cutting
from domain.cutting.slabs import PolygonSlab, RectangleSlab, RingSlab, RoundSlab, Slab
from domain.cutting.wishes import CountWish, GridWish, RingsWish, SizeWish, WedgesWish, Wish
from domain.pieces.patterns import set_pieces
from domain.tins.text import parse_tin

GOLDEN = Path(__file__).parent / "golden"
HOSTILE = (
    'Parkin <script>alert("1")</script> & \x00\x1b]]> of the day, ' + "unbroken" * 12
)  # must be escaped, wrapped and shortened

SQUARE = RectangleSlab(length_mm=200, width_mm=200)
SHEET = RectangleSlab(length_mm=660.4, width_mm=457.2)
TRAY = RectangleSlab(length_mm=300, width_mm=200, corner_radius_mm=15)
LOAF = RectangleSlab(length_mm=300, width_mm=100)
TALL = RectangleSlab(length_mm=60, width_mm=360)
ROUND = RoundSlab(diameter_mm=230)
RING = RingSlab(diameter_mm=250, hole_mm=80)
HEXAGON = PolygonSlab(sides=6, across_flats_mm=240, corner_radius_mm=20)
PENTAGON = PolygonSlab(sides=5, across_flats_mm=240)
TRIMMED = Cutting(slab_g=1_500, trim_mm=5, knife_mm=2)
WEIGHED = Cutting(slab_g=960)

CUTS: dict[str, tuple[Slab, Wish, Cutting, str]] = {
    "square-16": (SQUARE, CountWish(portions=16), WEIGHED, ""),
    "tray-24-trimmed": (TRAY, CountWish(portions=24), TRIMMED, "Ginger parkin, tray"),
    "tray-offcut": (TRAY, SizeWish(length_mm=66, width_mm=43), Cutting(slab_g=1_500, knife_mm=1), ""),
    "sheet-200": (SHEET, CountWish(portions=200), Cutting(slab_g=9_000), ""),
    "sheet-200-strips": (SHEET, GridWish(rows=2, columns=100), Cutting(), ""),
    "hostile-label": (SQUARE, CountWish(portions=9), WEIGHED, HOSTILE),
    "wedges-12-trimmed": (ROUND, WedgesWish(wedges=12), Cutting(slab_g=940, knife_mm=3, trim_mm=4), ""),
    "wedges-60": (ROUND, WedgesWish(wedges=60), WEIGHED, ""),
    "ring-14": (RING, WedgesWish(wedges=14), WEIGHED, "Ring cake"),
    "rings": (ROUND, RingsWish(rings=(1, 6, 12), by="equal_pieces"), Cutting(slab_g=940, knife_mm=1), ""),
    "round-squares": (ROUND, SizeWish(length_mm=40, width_mm=40), WEIGHED, ""),
    "hexagon-trimmed": (HEXAGON, SizeWish(length_mm=40, width_mm=30), Cutting(slab_g=900, trim_mm=4), ""),
    "pentagon": (PENTAGON, SizeWish(length_mm=35, width_mm=35), WEIGHED, ""),
}
PIECES: dict[str, tuple[Slab, int, float | None]] = {
    "pieces-square-16": (SQUARE, 16, 26.0),
    "pieces-tray-13": (TRAY, 13, None),
    "pieces-round-19": (ROUND, 19, 28.0),
    "pieces-ring-12": (RING, 12, 30.0),
}
BANDS = (Band(name="soft", up_to_c=93), Band(name="firm"))
PLANS: dict[str, tuple[str, Slab, Wish, tuple[Band, ...]]] = {
    "doneness-tray-24": ("rectangle 30 x 20 cm", TRAY, CountWish(portions=24), BANDS),
    "doneness-rings": ("round 23 cm", ROUND, RingsWish(rings=(1, 6, 12)), ()),
    "doneness-ring-14": ("ring 25 x 8 cm", RING, WedgesWish(wedges=14), ()),
    "doneness-round-squares": ("round 23 cm", ROUND, SizeWish(length_mm=40, width_mm=40), BANDS),
}
# From 2 to 200 pieces on a square, a sheet, a loaf and an upright slab; only tested in the browser.
COUNTS = (2, 3, 5, 8, 12, 16, 24, 35, 54, 77, 96, 120, 150, 200)
MORE: dict[str, tuple[Slab, Wish, Cutting, str]] = {
    f"{name}-{count}-pieces": (slab, CountWish(portions=count), cutting, "")
    for name, slab, cutting, most in (
        ("square", SQUARE, TRIMMED, 200),
        ("sheet", SHEET, WEIGHED, 200),
        ("loaf", LOAF, WEIGHED, 24),
        ("tall", TALL, TRIMMED, 24),
    )
    for count in COUNTS
    if count <= most
}
MORE |= {f"wedges-{count}": (ROUND, WedgesWish(wedges=count), WEIGHED, "") for count in (1, 2, 5, 9, 16, 25, 36)}


def draw_case(name: str) -> str:
    """The drawing of one case."""
    if name in PIECES:
        slab, count, ball_mm = PIECES[name]
        return draw_pieces(set_pieces(slab, count, ball_mm), ball_mm)
    if name in PLANS:
        return _draw_plan(*PLANS[name])
    slab, wish, cutting, label = (CUTS | MORE)[name]
    return draw_cuts(cut_slab(slab, wish, cutting), label)


def _draw_plan(tin: str, slab: Slab, wish: Wish, bands: tuple[Band, ...]) -> str:
    oven, material = parse_oven("180 celsius"), TIN_MATERIALS["dull_metal"]
    bake = Bake(tin=parse_tin(tin), filled_depth_mm=40, oven=oven, start_c=20.0, material=material)
    done = doneness_by_place(estimate_bake(bake, 45, bake, 88.0), cut_slab(slab, wish, WEIGHED), bands=bands)
    return draw_doneness(done, HOSTILE if bands else "Halfmoon Wharf slab")


def write_all() -> None:
    """Write every reviewed drawing again."""
    for name in (*CUTS, *PIECES, *PLANS):
        (GOLDEN / f"{name}.svg").write_text(draw_case(name) + "\n", "utf-8")


if __name__ == "__main__":
    write_all()
