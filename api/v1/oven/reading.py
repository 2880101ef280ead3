"""From oven settings in requests to the domain's oven."""

from api.v1.oven.schemas import OvenQuery, OvenRequest
from domain.baking.oven import Oven, parse_oven
from domain.errors import ErrorCollector
from domain.measures.quantities import parse_amount


def read_setting(request: OvenQuery | OvenRequest) -> Oven:
    """The oven of a request.

    Raises:
        DomainError, DomainErrors: everything that is wrong with the request.
    """
    errors, fan_offset_c = ErrorCollector(), None
    if request.fan_offset_celsius is not None:
        with errors.at("fan_offset_celsius"):
            # A number of JSON, read as the decimal that it prints as.
            fan_offset_c = parse_amount(request.fan_offset_celsius)
    with errors.at():
        oven = parse_oven(request.setting, fan=request.fan, fan_offset_c=fan_offset_c)
    errors.raise_if_any()
    return oven
