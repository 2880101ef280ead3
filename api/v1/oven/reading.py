"""From oven settings in requests to the domain's oven."""

from api.v1.oven.schemas import OvenQuery, OvenRequest
from api.wire.reading import read_quantity
from domain.baking.oven import Oven, parse_oven
from domain.errors import ErrorCollector
from domain.measures.quantities import parse_amount


def read_setting(request: OvenQuery | OvenRequest) -> Oven:
    """The oven of a request.

    Raises:
        DomainError, DomainErrors: everything that is wrong with the request.
    """
    errors, fan_offset_c, quantity = ErrorCollector(), None, None
    if request.fan_offset_celsius is not None:
        with errors.at("fan_offset_celsius"):
            fan_offset_c = parse_amount(request.fan_offset_celsius)
    if not isinstance(request.setting, str):
        with errors.at("setting"):
            quantity = read_quantity(request.setting)
        if quantity is None:
            errors.raise_if_any()
    with errors.at():
        if isinstance(request.setting, str):
            oven = parse_oven(request.setting, fan=request.fan, fan_offset_c=fan_offset_c)
        else:
            oven = Oven(quantity=quantity, fan=request.fan, fan_offset_c=fan_offset_c)
    errors.raise_if_any()
    return oven
