"""Requests made from the contract, right ones and wrong ones, and whether each answer is what the contract says.

What is left out, and why:

- `positive_data_acceptance`: a request may fit the schema and still be refused, since names of units and ingredients,
  sizes that fit each other and amounts as text are the domain's to judge. In its place stands a check of our own: the
  refusal is then the domain's, and not of the models that the schema was made from.
- `negative_data_rejection` where a spreadsheet's cell asks: the refusal has status 200 then, so that the cell shows it.
  A request may also be refused for its size alone (413, 414), whatever else is wrong with it.
- `ignored_auth`, `use_after_free`, `ensure_resource_availability`, stateful tests: nobody signs in, nothing is stored.

The operations stand in several files, since pytest-xdist gives a file to one worker. What takes the time is making the
requests, not answering them: nine tenths of it for small bodies, more for large ones.
"""

import os
from typing import Any

import schemathesis
from hypothesis import HealthCheck, settings
from schemathesis import Case, CheckContext, GenerationMode, Response
from schemathesis.config import SchemathesisConfig
from schemathesis.schemas import BaseSchema
from schemathesis.specs.openapi.checks import negative_data_rejection

from api.app import create_app

LONG = bool(os.environ.get("TINWRIGHT_LONG_TESTS"))
EXAMPLES = 5_000 if LONG else 200
SEED = 20_261_125
# What the models refuse by rules that stand in words only, such as "give one of tin, factor and grams".
RULES_IN_WORDS = {"value-error"}
REFUSED = (400, 404, 406, 413, 414, 415, 422)
LEFT_OUT = ("positive_data_acceptance", "ignored_auth", "use_after_free", "ensure_resource_availability")

# Bodies made of formulas, tins and quantities: trying each limit of each field makes 4,000 requests an operation. By
# default the parts are tried where they stand alone (tins, eggs, convert, oven); TINWRIGHT_LONG_TESTS=1 does them all.
FORMULAS = ("rescale", "bake", "cost", "label", "balance")
ORDERS = ("batches",)
LARGE = (*FORMULAS, *ORDERS, "cuts_object", "pieces_object")
BRIEFLY = [] if LONG else [{"include-operation-id": name, "phases": {"coverage": {"enabled": False}}} for name in LARGE]

SCHEMA = schemathesis.openapi.from_asgi(
    "/openapi.json",
    create_app(),
    config=SchemathesisConfig.from_dict(
        {
            "seed": SEED,
            "checks": {name: {"enabled": False} for name in LEFT_OUT}
            | {"negative_data_rejection": {"expected-statuses": [*map(str, REFUSED)]}},
            "phases": {"examples": {"enabled": False}},  # tests/api/test_examples.py replays them
            "operations": BRIEFLY,
        }
    ),
)
often = settings(
    max_examples=EXAMPLES, deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck)
)


def only(*names: str) -> BaseSchema:
    """The contract with these operations alone."""
    ids = [operation["operationId"] for path in SCHEMA.raw_schema["paths"].values() for operation in path.values()]
    return SCHEMA.exclude(operation_id=[name for name in ids if name not in names])


@schemathesis.check
def refused_by_the_domain_only(_: CheckContext, response: Response, case: Case[Any]) -> bool | None:
    """A request that fits the schema is not refused as one that does not."""
    fits = case.meta is not None and case.meta.generation.mode == GenerationMode.POSITIVE
    if not fits or response.status_code != 422:
        return None
    problem = response.json()
    strange = [error for error in problem["errors"] if error["code"] not in RULES_IN_WORDS]
    assert problem["type"] != "/problems/invalid-request" or not strange, strange
    return None


def check_answer(case: Case[Any]) -> None:
    """Make one request and put its answer through every check."""
    response = case.call()
    case.validate_response(response, excluded_checks=[negative_data_rejection] if _in_a_cell(case, response) else [])


def _in_a_cell(case: Case[Any], response: Response) -> bool:
    """Whether a refusal is shown in a spreadsheet's cell."""
    told = response.status_code == 200 and response.content.startswith(b"# ")
    return told and case.method == "GET" and "cell" in str(case.query.get("format"))
