"""The part of the card of the bake about cooling: when the core is cool enough to cut."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from api.pages.cards.errors import TOO_DEEP_FOR_CUP, CardError, CardErrors
from api.pages.cards.fields import N_
from api.pages.cards.job import CardJob
from api.pages.cards.key_figures import Answer, KeyFigure, Note, degrees, minutes_text, warning_notes
from api.pages.cards.words import Words
from api.v1.cool.answers import cool_answer
from api.v1.cool.reading import read_cooling
from api.v1.cool.schemas import CoolRequest
from api.wire.answers import without_none
from domain.cooling.cooling import estimate_cooling
from domain.errors import DomainError, DomainErrors

COOLING_FIELDS = ("baked_depth", "cut_temperature", "cool_place")
USUAL_PLACE = "rack"
USUAL_CUT = "30 °C"  # common practice: warm to the hand, and the crumb holds
PLACES = {
    "rack": N_("on a rack"),
    "bench": N_("on the bench"),
    "fridge": N_("in the fridge"),
    "blast_chiller": N_("in the blast chiller"),
}
# Fields of the request of `/v1/cool`, by the fields of the page.
_FIELDS = {"depth": "baked_depth", "cut_temperature": "cut_temperature", "place": "cool_place", "grams": "baked_depth"}
_BY_CODE = {"too_deep_for_cavity": TOO_DEEP_FOR_CUP}


@dataclass(frozen=True, slots=True, kw_only=True)
class CoolingCard:
    """When the bake can be cut: a window, the air that was assumed, and the limits that this cooling may miss."""

    cut: KeyFigure
    level: str
    limits: tuple[str, ...]
    warnings: tuple[Note, ...]


def cooling_context(job: CardJob, words: Words, baked: Answer) -> dict[str, Any]:
    """What the card shows of the cooling; without the height of the bake only the fields that ask for it.

    Args:
        job: with the answer of its first target.
        words: of the page.
        baked: the answer of `/v1/bake`, as plain data.
    Raises:
        CardErrors: everything that is wrong with the fields of the cooling.
    """
    request = _request(job, baked)
    return {
        "cooling": None if request is None else cooling_card(_answer(request, job), words),
        "cooling_fields": COOLING_FIELDS,
        "places": [(place, words.text(name)) for place, name in PLACES.items()],
        "usual_cut": USUAL_CUT,
    }


def _request(job: CardJob, baked: Answer) -> Mapping[str, Any] | None:
    tin = tin_of(job)
    if tin is None or job.query.baked_depth is None:
        return None
    slab = job.target.get("cuts", {}).get("slab", {})
    return without_none(
        tin=tin,
        depth=job.query.baked_depth,
        grams=slab.get("grams"),
        start_temperature=f"{baked['targets'][0]['bake']['core_celsius']} celsius",
        place=job.query.cool_place or USUAL_PLACE,
        cut_temperature=job.query.cut_temperature or USUAL_CUT,
    )


def tin_of(job: CardJob) -> str | None:
    """The tin of the first target; without a wish, that of the formula."""
    target = job.body.targets[0] if job.body.targets else None
    if target is None or (target.tin is None and target.factor is None and target.grams is None):
        return job.body.formula.tin
    return target.tin


def _answer(request: Mapping[str, Any], job: CardJob) -> Answer:
    try:
        body = CoolRequest.model_validate(request)
        question = read_cooling(body)
        estimate = estimate_cooling(question.body, question.wanted_c)
    except ValidationError as error:
        places = [(str(each["loc"][0]), f"{each['msg']}.", "invalid_request") for each in error.errors()]
        raise _errors(places, job) from None
    except (DomainError, DomainErrors) as error:
        several = error.errors if isinstance(error, DomainErrors) else [error]
        places = [(str(each.path[0]) if each.path else "", each.detail, each.code) for each in several]
        raise _errors(places, job) from None
    return cool_answer(estimate, question.wanted_c, "tin", curve=False)


def _errors(places: list[tuple[str, str, str]], job: CardJob) -> CardErrors:
    return CardErrors(
        [
            CardError(name=_FIELDS.get(place, "baked_depth"), message=_BY_CODE.get(code, text), code=code)
            for place, text, code in places
        ],
        job.reading,
    )


def cooling_card(answer: Answer, words: Words) -> CoolingCard:
    """The part of the card about cooling.

    Args:
        answer: of `/v1/cool`, as plain data, with a core temperature for cutting.
        words: of the page.
    """
    cut = next(each for each in answer["milestones"] if each["step"] == "cut")
    return CoolingCard(
        cut=KeyFigure(
            name=words.text("Cut after"),
            value=minutes_text(words, cut["minutes_low"], cut["minutes_high"]),
            note=words.text("core at %(celsius)s", celsius=degrees(words, cut["celsius"])),
        ),
        level=words.text(
            "%(level)s of 100 batches should be ready in this window, in air of %(air)s.",
            level=answer["level_percent"],
            air=degrees(words, answer["surroundings_celsius"]),
        ),
        limits=tuple(
            words.text("%(agency)s: %(limit)s.", agency=rule["agency"], limit=rule["text"])
            for rule in answer["rules"]
            if rule["outcome"] in {"unsure", "not_within"}
        ),
        warnings=warning_notes(words, answer["warnings"]),
    )
