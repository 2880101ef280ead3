"""Sends valid and invalid requests generated from the OpenAPI document, and checks each answer against it.

Checks that are disabled, and why:

- `positive_data_acceptance`: a request may fit the schema and still be rejected, since the domain judges names of units
  and ingredients, sizes that must fit each other and amounts as text. Our own check replaces it: such an error comes
  from the domain, and not from the models that the schema was generated from.
- `negative_data_rejection` with `format=cell`: the error has status 200 then, so that the cell shows it. A request may
  also be rejected only for its size (413, 414).
- `ignored_auth`, `use_after_free`, `ensure_resource_availability`, stateful tests: there are no accounts and no state.

The operations are in several files, since pytest-xdist gives a file to one worker. Generating the requests takes most
of the time.
"""

import os
from typing import Any

import schemathesis
from hypothesis import HealthCheck, settings
from schemathesis import Case, CheckContext, GenerationMode, Response
from schemathesis.config import SchemathesisConfig
from schemathesis.schemas import BaseSchema
from schemathesis.specs.openapi.checks import negative_data_rejection, response_schema_conformance

from api.app import create_app
from api.wire.validation import CODES

LONG = bool(os.environ.get("TINWRIGHT_EXPLORE"))
EXAMPLES = 5_000 if LONG else 200
SEED = 20_261_125
# A schema cannot exclude null inside the caller's own fields of a bake, nor say which fields go together.
BROKEN_SCHEMA = set(CODES) - {"null_value", "one_of_needed"}
REFUSED = (400, 404, 406, 413, 414, 415, 422)
DISABLED = ("positive_data_acceptance", "ignored_auth", "use_after_free", "ensure_resource_availability")

# For bodies of formulas, tins and quantities, trying each limit of each field makes 4,000 requests per operation. By
# default their parts are tried by the smaller operations (tins, eggs, convert, oven); TINWRIGHT_EXPLORE=1 tries all.
FORMULAS = tuple(f"compute_{name}" for name in ("rescale", "bake", "cost", "label", "balance"))
ORDERS = ("compute_batches",)
LARGE = (*FORMULAS, *ORDERS, "compute_cuts", "compute_pieces")
WITHOUT_COVERAGE = (
    [] if LONG else [{"include-operation-id": name, "phases": {"coverage": {"enabled": False}}} for name in LARGE]
)

SCHEMA = schemathesis.openapi.from_asgi(
    "/openapi.json",
    create_app(),
    config=SchemathesisConfig.from_dict(
        {
            **({} if LONG else {"seed": SEED}),
            "checks": {name: {"enabled": False} for name in DISABLED}
            | {"negative_data_rejection": {"expected-statuses": [*map(str, REFUSED)]}},
            "phases": {"examples": {"enabled": False}},  # tests/api/test_examples.py replays them
            "operations": WITHOUT_COVERAGE,
        }
    ),
)
often = settings(
    max_examples=EXAMPLES, deadline=None, derandomize=not LONG, database=None, suppress_health_check=list(HealthCheck)
)


def only(*names: str) -> BaseSchema:
    """The document with these operations only."""
    ids = [operation["operationId"] for path in SCHEMA.raw_schema["paths"].values() for operation in path.values()]
    return SCHEMA.exclude(operation_id=[name for name in ids if name not in names])


@schemathesis.check
def refused_by_the_domain_only(_: CheckContext, response: Response, case: Case[Any]) -> bool | None:
    """A request that fits the schema is not rejected as invalid."""
    fits = case.meta is not None and case.meta.generation.mode == GenerationMode.POSITIVE
    if not fits or response.status_code != 422:
        return None
    problem = response.json()
    others = [error for error in problem["errors"] if error["code"] in BROKEN_SCHEMA]
    assert problem["type"] != "/problems/invalid_request" or not others, others
    return None


def check_answer(case: Case[Any]) -> None:
    """Send one request and run every check on its answer."""
    response = case.call()
    excluded: list[Any] = [negative_data_rejection] if _in_a_cell(case, response) else []
    if "fields" in case.query:  # it leaves out fields that the schema requires
        excluded.append(response_schema_conformance)
    case.validate_response(response, excluded_checks=excluded)


def _in_a_cell(case: Case[Any], response: Response) -> bool:
    """Whether an error is answered as text for a spreadsheet's cell."""
    as_text = response.status_code == 200 and response.content.startswith(b"# ")
    return as_text and case.method == "GET" and "cell" in str(case.query.get("format"))
