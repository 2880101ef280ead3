"""An online shop's program, on the generated Python client: the main job for all its sizes.

Run by `test_python_client.py` with the generated package on its path. Prints what it read of the answers.
"""

import json
import sys
from typing import Any

from tinwright_client import Client
from tinwright_client.api.convert import compute_conversions, get_conversion, list_conversions
from tinwright_client.api.rescale import compute_rescale
from tinwright_client.api.tins import compute_tin_measures
from tinwright_client.models import (
    Component,
    ConversionAnswer,
    ConversionItemRequest,
    ConversionsAnswer,
    ConversionsRequest,
    Formula,
    Line,
    MeasureAnswer,
    MeasureRequest,
    MeasuresName,
    Pieces,
    PolygonTinIn,
    Problem,
    ProblemError,
    RectangleTinIn,
    RescaleAnswer,
    RescaleRequest,
    RoundTinIn,
    SquareTinIn,
    TaperedRoundTinIn,
    Target,
)
from tinwright_client.types import Unset


def parkin(flour: str = "plain flour") -> Formula:
    """The bakehouse's formula, made in a 20 cm square tin."""
    batter = Component(
        name="batter",
        lines=[
            Line(ingredient=flour, quantity="2 us_cup", packing="spooned"),
            Line(ingredient="butter", amount="150", unit="g"),
            Line(ingredient="egg", quantity="4 each"),
        ],
    )
    nuggets = Component(
        name="nuggets", pieces=Pieces(count=16), lines=[Line(ingredient="rolled oats", quantity="160 g")]
    )
    return Formula(
        name="Ginger parkin",
        tin_shape=SquareTinIn(shape="square", side="20 cm", depth="5 cm"),
        filled_depth="30 mm",
        egg_class="eu_m",
        components=[batter, nuggets],
    )


def all_sizes(client: Client) -> dict[str, Any]:
    """One request for every size the shop sells: tins as data and as text, a factor, a mass."""
    targets = [
        Target(label="tray", tin_shape=RectangleTinIn(shape="rectangle", length="30 cm", width="20 cm", depth="5 cm")),
        Target(label="round", tin_shape=RoundTinIn(shape="round", diameter="23 cm", depth="7 cm")),
        Target(label="two squares", tin="square 20 x 5 cm", tins=2),
        Target(label="half", factor=0.5),
        Target(label="a kilogram", grams=1000),
    ]
    answer = compute_rescale.sync(client=client, body=RescaleRequest(formula=parkin(), targets=targets))
    assert isinstance(answer, RescaleAnswer)
    first = answer.targets[0]
    echoed = there(first.target).tin_shape
    assert isinstance(echoed, RectangleTinIn)
    components = there(first.components)
    return {
        "factors": {str(target.label): target.factor for target in answer.targets},
        "grams": {str(target.label): target.grams for target in answer.targets},
        "written_grams": answer.written.grams,
        "butter_grams": there(components[0].lines)[1].grams,
        "eggs": there(first.eggs)[0].counts[0].count,
        "pieces": there(components[1].pieces).count,
        "echoed_shape": echoed.shape,
        "echoed_length": echoed.length,
    }


def shapes(client: Client) -> dict[str, Any]:
    """The union of tins, two of its shapes."""
    hexagon = PolygonTinIn(shape="polygon", sides=6, across_flats="20 cm", depth="5 cm")
    bucket = TaperedRoundTinIn(shape="tapered_round", top_diameter="20 cm", base_diameter="10 cm", depth="6 cm")
    volumes: dict[str, Any] = {}
    for tin in (hexagon, bucket):
        answer = compute_tin_measures.sync(client=client, body=MeasureRequest(tin_shape=tin))
        assert isinstance(answer, MeasureAnswer)
        volumes[tin.shape] = answer.volume_ml
    return volumes


def conversion(client: Client) -> dict[str, Any]:
    """A single conversion by GET: its figure, a warning, and a refusal."""
    third = get_conversion.sync(client=client, amount="1/3", unit="lb", to="g")
    flour = get_conversion.sync(client=client, amount="1", unit="us_cup", to="g", ingredient="plain flour")
    assert isinstance(third, ConversionAnswer)
    assert isinstance(flour, ConversionAnswer)
    refusal = get_conversion.sync_detailed(client=client, amount="1", unit="cup", to="ml")
    assert isinstance(refusal.parsed, Problem)
    reason = refusal.parsed.errors[0]
    return {
        "grams": third.amount,
        "warning": flour.warnings[0].code,
        "status": refusal.status_code.value,
        "parameter": reason.parameter,
        "code": reason.code,
        "candidates": reason.candidates,
    }


def column(client: Client) -> dict[str, Any]:
    """A batch in which one item cannot be answered, and a table by GET."""
    items = [
        ConversionItemRequest(quantity="1 lb", to="g"),
        ConversionItemRequest(quantity="1 us_cup", to="g", ingredient="plain flower"),
        ConversionItemRequest(amount="2", unit="cup", to="ml"),
    ]
    answer = compute_conversions.sync(client=client, body=ConversionsRequest(items=items, measures=MeasuresName.US))
    rows = list_conversions.sync(client=client, item=["1|lb", "2|lb"], to="g")
    assert isinstance(answer, ConversionsAnswer)
    assert isinstance(rows, ConversionsAnswer)
    pound, refusal, cups = answer.items
    amounts = [there(item.answer).amount for item in (pound, cups, *rows.items)]
    return {"amounts": amounts, **reason_of(there(refusal.problem).errors[0])}


def refused(client: Client) -> dict[str, Any]:
    """A whole request refused."""
    request = RescaleRequest(formula=parkin("plain flower"), targets=[Target(factor=2)])
    answer = compute_rescale.sync_detailed(client=client, body=request)
    assert isinstance(answer.parsed, Problem)
    assert answer.headers["content-type"] == "application/problem+json"
    return {"status": answer.status_code.value, **reason_of(answer.parsed.errors[0])}


def reason_of(reason: ProblemError) -> dict[str, Any]:
    """What a person is reason_of."""
    return {"pointer": reason.pointer, "code": reason.code, "nearest": there(reason.candidates)[0]}


def there[T](value: T | Unset) -> T:
    """A field that must not be missing here."""
    assert not isinstance(value, Unset)
    return value


if __name__ == "__main__":
    here = Client(base_url=sys.argv[1], raise_on_unexpected_status=True)
    steps = (conversion, column, shapes, all_sizes, refused)
    json.dump({step.__name__: step(here) for step in steps}, sys.stdout)
