"""The routes of all cards and of the files that they load."""

from api.pages.cards import cuts, start, weigh
from api.pages.static import ROUTES as FILES

ROUTES = (
    *start.ROUTES,
    *weigh.ROUTES,
    *cuts.ROUTES,
    *FILES,
)
