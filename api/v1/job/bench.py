"""What a job has at the bench: whose measures, the eggs at hand, and the scales."""

from api.v1.job import schemas as job
from api.wire.reading import read_egg_class, read_grams
from domain.errors import ErrorCollector
from domain.formulas.rescaling import Bench
from domain.measures.weighing import Scales
from domain.things.eggs import EggClass

_SCALES = Scales()  # the defaults of the three fields
_SCALE_FIELDS = frozenset({"scale_step", "small_scale_step", "small_scale_max"})


def read_bench(body: job.Job, own_class: EggClass | None, errors: ErrorCollector) -> Bench:
    """The bench of a job; its errors are collected.

    Args:
        body: the request.
        own_class: the egg class of the formula, which is at hand if the request names none.
        errors: collects the errors.
    """
    classes = [own_class] if own_class and not body.available_egg_classes else []
    for i, name in enumerate(body.available_egg_classes):
        with errors.at("available_egg_classes", i):
            if (egg_class := read_egg_class(name)) is not None:
                classes.append(egg_class)
    scales = _SCALES if _SCALE_FIELDS.isdisjoint(body.model_fields_set) else _scales(body, errors)
    return Bench(measures=body.measures, available_eggs=tuple(dict.fromkeys(classes)), scales=scales)


def _scales(body: job.Job, errors: ErrorCollector) -> Scales:
    step_g = small_step_g = small_max_g = None
    with errors.at():
        step_g = read_grams(body.scale_step, "scale_step", body.measures)
    with errors.at():
        small_step_g = read_grams(body.small_scale_step, "small_scale_step", body.measures)
    with errors.at():
        small_max_g = read_grams(body.small_scale_max, "small_scale_max", body.measures)
    if step_g is None or small_step_g is None or small_max_g is None:
        return _SCALES
    return Scales(step_g=step_g, small_step_g=small_step_g, small_max_g=small_max_g)
