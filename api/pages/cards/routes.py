"""The routes of all cards and of the files that they load."""

<<<<<<< HEAD
from api.pages.cards import cuts, offline, start, weigh
=======
from api.pages.cards import bake, cuts, pieces, sizes, start, weigh
>>>>>>> cards-base
from api.pages.static import ROUTES as FILES

ROUTES = (
    *start.ROUTES,
    *weigh.ROUTES,
    *sizes.ROUTES,
    *pieces.ROUTES,
    *bake.ROUTES,
    *cuts.ROUTES,
    *offline.ROUTES,
    *FILES,
)
