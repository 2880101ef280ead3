"""The routes of all cards and of the files that they load."""

from api.pages.cards import bake, cuts, day, label, offline, pieces, sizes, start, weigh
from api.pages.cards.addresses import with_one_address
from api.pages.static import ROUTES as FILES

CARDS = (
    *start.ROUTES,
    *weigh.ROUTES,
    *sizes.ROUTES,
    *day.ROUTES,
    *label.ROUTES,
    *pieces.ROUTES,
    *bake.ROUTES,
    *cuts.ROUTES,
)
ROUTES = (*map(with_one_address, CARDS), *offline.ROUTES, *FILES)
