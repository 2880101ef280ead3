"""From requests of `/v1/cool` to the domain's body and temperatures."""

from dataclasses import dataclass

from api.v1.cool.schemas import CoolRequest
from api.v1.job.baking import read_optional_celsius
from api.v1.tins.reading import read_tin_of, tin_field
from api.wire.reading import read_length_mm
from domain.cooling.cooled_bodies import Ball, Composition, CoolingBody, InTin, composition_from_percent
from domain.cooling.places import check_place
from domain.errors import ErrorCollector, NeededError, at_arguments

STEPS = ("unmould", "cut", "core")


@dataclass(frozen=True, slots=True, kw_only=True)
class CoolQuestion:
    """What cools, and the temperatures to wait for by the request's field."""

    body: CoolingBody
    wanted_c: dict[str, float]


def read_cooling(request: CoolRequest) -> CoolQuestion:
    """The body and the temperatures of a request.

    Raises:
        DomainErrors: everything that is wrong with it.
    """
    errors, form = ErrorCollector(), None
    with errors.at():
        form = _read_form(request)
    with errors.at("place"):
        check_place(request.place)
    celsius = dict[str, float | None]()
    fields = ("start_temperature", "surroundings", *(f"{step}_temperature" for step in STEPS))
    for name in fields:
        with errors.at():
            celsius[name] = read_optional_celsius(getattr(request, name), name)
    if all(getattr(request, f"{step}_temperature") is None for step in STEPS):
        names = tuple(f"{step}_temperature" for step in STEPS)
        message = f"Give a temperature to wait for: one of {', '.join(names)}."
        errors.errors.append(NeededError(message, path=("core_temperature",), candidates=names, code="one_of_needed"))
    errors.raise_if_any()
    start_c, sent = celsius["start_temperature"], request.composition
    if form is None or start_c is None:
        raise AssertionError("a field without a value has an error")
    with at_arguments(tin=(tin_field(request.tin_shape, "tin"),), filled_depth=("depth",)):
        body = CoolingBody(
            form=form,
            start_c=start_c,
            place=request.place,
            in_tin=request.in_tin,
            covered=request.covered,
            surroundings_c=celsius["surroundings"],
            grams=request.grams,
            composition=Composition() if sent is None else composition_from_percent(**sent.model_dump()),
        )
    wanted = {name: celsius[name] for name in fields[2:]}
    return CoolQuestion(body=body, wanted_c={name: c for name, c in wanted.items() if c is not None})


def _read_form(request: CoolRequest) -> InTin | Ball:
    errors, tin, depth_mm = ErrorCollector(), None, None
    if request.ball_diameter is not None:
        for name in ("tin", "tin_shape", "depth"):
            if getattr(request, name) is not None:
                message = f"A ball has no {name}: give `ball_diameter` alone, or leave it out."
                errors.errors.append(NeededError(message, path=(name,), code="one_of_needed"))
        with errors.at():
            ball = Ball(diameter_mm=read_length_mm(request.ball_diameter, "ball_diameter"))
        errors.raise_if_any()
        return ball
    with errors.at():
        tin = read_tin_of(request.tin, request.tin_shape, "tin")
    with errors.at("depth"):
        if request.depth is None:
            raise NeededError("Give the height of the bake or dough in its tin.", code="depth_needed")
    with errors.at():
        if request.depth is not None:
            depth_mm = read_length_mm(request.depth, "depth")
    errors.raise_if_any()
    if tin is None or depth_mm is None:
        raise AssertionError("a field without a value has an error")
    return InTin(tin=tin, depth_mm=depth_mm)
