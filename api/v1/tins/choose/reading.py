"""From the request of `/v1/tins/choose` to the domain's question."""

from typing import NamedTuple

from api.v1.job.reading import read_formula, read_portions
from api.v1.shop.reading import line_reader
from api.v1.tins.choose.schemas import ChooseRequest
from api.v1.tins.reading import read_tin_of, tin_field
from api.wire.reading import read_optional_mm
from domain.errors import ErrorCollector, MismatchError, NeededError
from domain.formulas.choosing import MixToBake, depths_of, mix_to_bake
from domain.formulas.formula import weigh_formula
from domain.formulas.plausibility import tin_size_notices
from domain.formulas.targets import Portions
from domain.notices import Notice
from domain.shop.goods import Book
from domain.tins.choice import Depths, OwnTin


class ChooseQuestion(NamedTuple):
    """A request, read."""

    mix: MixToBake
    own: tuple[OwnTin, ...]
    depths: Depths
    portions: Portions | None
    notices: tuple[Notice, ...]


def read_choose(body: ChooseRequest, book: Book) -> ChooseQuestion:
    """Read the mix, the tins and the wish.

    Args:
        body: the request.
        book: of the shop file.
    Raises:
        DomainErrors: everything that is wrong.
    """
    errors, own = ErrorCollector(), list[OwnTin]()
    mix, portions, low_mm, high_mm = None, None, None, None
    notices = list[Notice]()
    with errors.at():
        mix = _mix(body, book, notices)
    for i, tin in enumerate(body.tins):
        with errors.at("tins", i):
            own.append(OwnTin(tin=read_tin_of(tin.tin, tin.tin_shape, "tin"), count=tin.count))
            path = ("tins", i, tin_field(tin.tin_shape, "tin"))
            notices += [notice.within(*path) for notice in tin_size_notices(own[-1].tin)]
    if body.portions is not None:
        with errors.at():
            if body.grams is not None:
                raise MismatchError("Give one of `grams` and `portions`.", path=("grams",), code="given_twice")
        with errors.at("portions"):
            portions = read_portions(body.portions, body.bake_loss_percent, body.measures)
    with errors.at():
        low_mm = read_optional_mm(body.depth_low, "depth_low")
    with errors.at():
        high_mm = read_optional_mm(body.depth_high, "depth_high")
    errors.raise_if_any()
    if mix is None:
        raise AssertionError("a mix without errors is read")
    return ChooseQuestion(mix, tuple(own), depths_of(mix, low_mm, high_mm), portions, tuple(notices))


def _mix(body: ChooseRequest, book: Book, notices: list[Notice]) -> MixToBake:
    if body.formula is not None:
        errors = ErrorCollector()
        for name in ("g_per_ml", "rise"):
            if getattr(body, name) is not None:
                message = f"The formula has its own `{name}`: give it there."
                errors.errors.append(MismatchError(message, path=(name,), code="given_twice"))
        formula = read_formula(body.formula, body.measures, errors, line_reader=line_reader(book))
        errors.raise_if_any()
        with errors.at("formula"):
            weighed = weigh_formula(formula)
        errors.raise_if_any()
        notices += [notice.within("formula") for notice in weighed.notices]
        return mix_to_bake(weighed)
    if body.g_per_ml is None:
        raise NeededError("Give `formula`, or the density of the mix.", path=("g_per_ml",), code="density_needed")
    return MixToBake(g_per_ml=body.g_per_ml, kind=body.rise or "chemically_raised")
