"""An online shop's program, on the generated Python client as it came: the main job for all its sizes.

Run by `test_python_client.py` with the generated package in reach. Prints what it understood of the answers.
"""

import json
import sys
from typing import Any

from tinwright_client import Client
from tinwright_client.api.convert import compute_conversions, get_conversion
from tinwright_client.api.cuts import compute_cuts
from tinwright_client.api.rescale import compute_rescale
from tinwright_client.api.tins import compute_tin_measures
from tinwright_client.models import (
    ComponentIn,
    ConvertAnswer,
    ConvertAnswers,
    ConvertItem,
    ConvertProblem,
    ConvertRequest,
    CutsAnswer,
    CutSlabIn,
    CutsOfTinsAnswer,
    CutsProblem,
    CutsRequest,
    DivisionIn,
    FormulaIn,
    LineIn,
    MeasureAnswer,
    MeasureRequest,
    MeasuresName,
    PolygonTinIn,
    Problem,
    QuantityObject,
    RectangleTinIn,
    RescaleAnswer,
    RescaleRequest,
    RoundTinIn,
    SquareTinIn,
    TaperedRoundTinIn,
    TargetIn,
)
from tinwright_client.types import Unset


def parkin(flour: str = "plain flour") -> FormulaIn:
    """The bakehouse's formula, made in a 20 cm square tin."""
    batter = ComponentIn(
        name="batter",
        lines=[
            LineIn(ingredient=flour, quantity="2 us_cup", packing="spooned"),
            LineIn(ingredient="butter", quantity=QuantityObject(amount=150, unit="g")),
            LineIn(ingredient="egg", quantity=QuantityObject(amount="4", unit="each")),
        ],
    )
    nuggets = ComponentIn(
        name="nuggets", pieces=DivisionIn(count=16), lines=[LineIn(ingredient="rolled oats", quantity="160 g")]
    )
    return FormulaIn(
        name="Ginger parkin",
        tin=SquareTinIn(shape="square", side="20 cm", depth="5 cm"),
        filled_depth="30 mm",
        egg_class="eu_m",
        components=[batter, nuggets],
    )


def all_sizes(client: Client) -> dict[str, Any]:
    """One call for every size the shop sells: tins as objects and as text, a factor, a mass."""
    tray = RectangleTinIn(shape="rectangle", length=QuantityObject(amount=30, unit="cm"), width="20 cm", depth="5 cm")
    targets = [
        TargetIn(label="tray", tin=tray),
        TargetIn(label="round", tin=RoundTinIn(shape="round", diameter="23 cm", depth="7 cm")),
        TargetIn(label="two squares", tin="square 20 x 5 cm", tins=2),
        TargetIn(label="half", factor=0.5),
        TargetIn(label="a kilogram", grams=1000),
    ]
    answer = compute_rescale.sync(client=client, body=RescaleRequest(formula=parkin(), targets=targets))
    assert isinstance(answer, RescaleAnswer)
    first = answer.targets[0]
    assert isinstance(first.tin, RectangleTinIn)
    assert isinstance(first.tin.length, QuantityObject)
    pieces = first.components[1].pieces
    assert not isinstance(pieces, Unset)
    return {
        "factors": {str(target.label): target.factor for target in answer.targets},
        "grams": {str(target.label): target.grams for target in answer.targets},
        "written_grams": answer.formula.grams,
        "butter_grams": first.components[0].lines[1].grams,
        "eggs": first.eggs[0].counts[0].count,
        "pieces": pieces.count,
        "echoed_shape": first.tin.shape,
        "echoed_length": first.tin.length.amount,
    }


def shapes(client: Client) -> dict[str, Any]:
    """The union of tins, two of its shapes."""
    hexagon = PolygonTinIn(shape="polygon", sides=6, across_flats="20 cm", depth="5 cm")
    bucket = TaperedRoundTinIn(shape="tapered_round", top_diameter="20 cm", base_diameter="10 cm", depth="6 cm")
    found: dict[str, Any] = {}
    for tin in (hexagon, bucket):
        answer = compute_tin_measures.sync(client=client, body=MeasureRequest(tin=tin))
        assert isinstance(answer, MeasureAnswer)
        found[tin.shape] = answer.volume_ml
    return found


def column(client: Client) -> dict[str, Any]:
    """A batch in which one item cannot be answered, and the single question by GET."""
    items = [
        ConvertItem(quantity="1 lb", to="g"),
        ConvertItem(quantity="1 us_cup", to="g", ingredient="flowerpot"),
        ConvertItem(quantity=QuantityObject(amount=2, unit="cup"), to="ml"),
    ]
    answer = compute_conversions.sync(client=client, body=ConvertRequest(items=items, measures=MeasuresName.US))
    assert isinstance(answer, ConvertAnswers)
    pound, refused, cups = answer.items
    assert isinstance(pound, ConvertAnswer)
    assert isinstance(refused, ConvertProblem)
    assert isinstance(cups, ConvertAnswer)
    single = get_conversion.sync(client=client, amount="1 1/2", unit="lb", to="g")
    assert isinstance(single, ConvertAnswer)
    many = get_conversion.sync(client=client, item=["1|lb", "2|lb"], to="g")
    assert isinstance(many, ConvertAnswers)
    return {"amounts": [pound.amount, cups.amount, single.amount], "rows": len(many.items), **reported(refused.problem)}


def cutting(client: Client) -> dict[str, Any]:
    """Two slabs, one of which cannot be cut so."""
    tins = [CutSlabIn(tin="rectangle 30 x 20 x 5 cm", rows=3, columns=4), CutSlabIn(tin="round 20 x 5 cm", rows=0)]
    refused = compute_cuts.sync(client=client, body=CutsRequest(tins=tins))
    assert isinstance(refused, Problem)
    tins[1] = CutSlabIn(tin="no such tin", wedges=8)
    answer = compute_cuts.sync(client=client, body=CutsRequest(tins=tins))
    assert isinstance(answer, CutsOfTinsAnswer)
    slab, bad = answer.tins
    assert isinstance(slab, CutsAnswer)
    assert isinstance(bad, CutsProblem)
    return {"count": slab.pieces, "area_mm2": slab.piece.area_mm2, "schema": reported(refused), **reported(bad.problem)}


def refused(client: Client) -> dict[str, Any]:
    """A whole request refused."""
    request = RescaleRequest(formula=parkin("flowerpot"), targets=[TargetIn(factor=2)])
    answer = compute_rescale.sync_detailed(client=client, body=request)
    assert isinstance(answer.parsed, Problem)
    assert answer.headers["content-type"] == "application/problem+json"
    return {"status": answer.status_code.value, "same_status": answer.parsed.status, **reported(answer.parsed)}


def reported(problem: Problem) -> dict[str, Any]:
    """The fields of a problem that a person would see."""
    first = problem.errors[0]
    return {"pointer": first.pointer, "code": first.code, "candidates": isinstance(first.candidates, list)}


if __name__ == "__main__":
    here = Client(base_url=sys.argv[1], raise_on_unexpected_status=True)
    steps = (all_sizes, shapes, column, cutting, refused)
    json.dump({step.__name__: step(here) for step in steps}, sys.stdout)
