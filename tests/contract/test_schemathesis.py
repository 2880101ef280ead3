"""Requests made from the contract, right ones and wrong ones, and whether each answer is what the contract says.

What is left out, and why:

- `positive_data_acceptance`: a request may fit the schema and still be refused, since names of units and ingredients,
  sizes that fit each other and amounts as text are the domain's to judge. In its place stands a check of our own: the
  refusal is then the domain's, and not of the models that the schema was made from.
- An integer written as `12.0`: JSON Schema calls it an integer, the models ask for one without a point.
- `negative_data_rejection` where a spreadsheet's cell asks: the refusal has status 200 then, so that the cell shows it.
- `ignored_auth`, `use_after_free`, `ensure_resource_availability`, stateful tests: nobody signs in, nothing is stored.
"""

import os
from typing import Any

import schemathesis
from hypothesis import HealthCheck, settings
from schemathesis import Case, CheckContext, GenerationMode, Response
from schemathesis.config import SchemathesisConfig
from schemathesis.specs.openapi.checks import negative_data_rejection

from api.app import create_app

MOST_EXAMPLES = 30
SEED = 20_261_125
# What the models refuse by rules that stand in words only, such as "give one of tin, factor and grams".
RULES_IN_WORDS = {"value-error"}
LEFT_OUT = ("positive_data_acceptance", "ignored_auth", "use_after_free", "ensure_resource_availability")

# Bodies made of formulas, tins and quantities: trying each limit of each field makes 4,000 requests an operation. By
# default the parts are tried where they stand alone (tins, eggs, convert, oven); TINWRIGHT_LONG_TESTS=1 does them all.
LARGE = ("rescale", "cuts", "pieces", "bake", "batches", "cost", "label", "balance")
BRIEFLY = [] if os.environ.get("TINWRIGHT_LONG_TESTS") else [f"POST /v1/{name}" for name in LARGE]

SCHEMA = schemathesis.openapi.from_asgi(
    "/openapi.json",
    create_app(),
    config=SchemathesisConfig.from_dict(
        {
            "seed": SEED,
            "checks": {name: {"enabled": False} for name in LEFT_OUT},
            "phases": {"examples": {"enabled": False}},  # tests/api/test_examples.py replays them
            "operations": [{"include-name": name, "phases": {"coverage": {"enabled": False}}} for name in BRIEFLY],
        }
    ),
)


@schemathesis.check
def refused_by_the_domain_only(_: CheckContext, response: Response, case: Case[Any]) -> bool | None:
    """A request that fits the schema is not refused as one that does not."""
    fits = case.meta is not None and case.meta.generation.mode == GenerationMode.POSITIVE
    if not fits or response.status_code != 422:
        return None
    problem = response.json()
    strange = [error for error in problem["errors"] if not _may_be_refused(error, case)]
    assert problem["type"] != "/problems/invalid-request" or not strange, strange
    return None


def _may_be_refused(error: dict[str, Any], case: Case[Any]) -> bool:
    if error["code"] in RULES_IN_WORDS:
        return True
    return error["code"] == "int-type" and isinstance(at_pointer(case.body, error["pointer"]), float)


def at_pointer(body: Any, pointer: str) -> Any:
    """What stands at an RFC 6901 pointer."""
    for part in pointer.split("/")[1:]:
        name = part.replace("~1", "/").replace("~0", "~")
        body = body[int(name)] if isinstance(body, list) else body[name]
    return body


@SCHEMA.parametrize()
@settings(
    max_examples=MOST_EXAMPLES,
    deadline=None,
    derandomize=True,
    database=None,
    suppress_health_check=list(HealthCheck),
)
def test_answers_are_as_the_contract_says(case: Case[Any]) -> None:
    response = case.call()
    case.validate_response(response, excluded_checks=[negative_data_rejection] if in_a_cell(case, response) else [])


def in_a_cell(case: Case[Any], response: Response) -> bool:
    """Whether a refusal is shown in a spreadsheet's cell."""
    told = response.status_code == 200 and response.content.startswith(b"# ")
    return told and case.method == "GET" and "cell" in str(case.query.get("format"))
