"""The cards that the browser tests open."""

CARDS = {
    "two": "/cards/cuts?tin=square%2020%20cm&portions=2",
    "square": "/cards/cuts?tin=square%2023%20cm&portions=16&mix_grams=1478&bake_loss_percent=11&label=Ginger%20parkin",
    "prime": "/cards/cuts?tin=rectangle%2030%20x%2020%20cm&portions=13",
    "trimmed": "/cards/cuts?tin=rectangle%2060%20x%2040%20cm&portions=48&slab_grams=8000&trim=5%20mm&knife_width=2mm",
    "tray": "/cards/cuts?tin=rectangle%2060%20x%2040%20cm&portions=200&slab_grams=8000&trim=5%20mm&knife_width=2%20mm",
    "by size": "/cards/cuts?slab=31%20x%2020%20cm&portion_size=5%20x%204%20cm",
    "wedges": "/cards/cuts?tin=round%2023%20cm&wedges=12&slab_grams=940",
    "rings": "/cards/cuts?tin=round%2023%20cm&rings=1,6,12&slab_grams=940",
    "squares of a round": "/cards/cuts?tin=round%2023%20cm&portion_size=4%20x%204%20cm&slab_grams=940",
    "hexagon": "/cards/cuts?tin=hexagon%2024%20cm&portion_size=5%20x%205%20cm",
    "ring": "/cards/cuts?tin=ring%2025%20x%208%20cm&wedges=14",
}
# The same piece counts on a square and on a round slab, from very few to very many.
COUNTED = {
    f"{shape} {pieces}": f"/cards/cuts?tin={shape}%20{size}%20cm&{wish}={pieces}"
    for shape, size, wish in (("square", 40, "portions"), ("round", 40, "wedges"))
    for pieces in (2, 12, 48, 200)
}
LONG = "Ginger%20parkin%20slab%20with%20oat-and-treacle%20nuggets%2C%20for%20the%20Saturday%20stall"
OTHERS = {
    "home": "/",
    "problems": "/problems",
    "problem": "/problems/ambiguous_unit",
    "no such problem": "/problems/none",
    "form": "/cards/cuts",
    "refused": "/cards/cuts?tin=moon&portions=x&candles=3",
    "long name": f"{CARDS['square'].partition('&label')[0]}&label={LONG}",
}
TABLET, STANDING, PHONE = (1280, 800), (800, 1280), (390, 844)
