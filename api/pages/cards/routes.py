"""The routes of all cards and of the files that they load."""

from api.pages.cards import bake, cuts, day, label, pieces, sizes, start, weigh
from api.pages.static import ROUTES as FILES

ROUTES = (
    *start.ROUTES,
    *weigh.ROUTES,
    *sizes.ROUTES,
    *day.ROUTES,
    *label.ROUTES,
    *pieces.ROUTES,
    *bake.ROUTES,
    *cuts.ROUTES,
    *FILES,
)
