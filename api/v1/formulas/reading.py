"""From requests to the domain's reader."""

from api.v1.formulas.schemas import ReadLineQuery, ReadRequest
from domain.errors import AmbiguousError, ErrorCollector, NeededError
from domain.reading.texts import TextReading, read_text
from domain.reading.values import Question, ReadingOptions
from domain.reading.weights import WeighedReading, weigh_line
from domain.things.eggs import find_egg_class


def read_recipe(request: ReadRequest) -> TextReading:
    """A recipe as it was read.

    Raises:
        DomainError, DomainErrors: everything that is wrong with the request.
    """
    errors = ErrorCollector()
    options = _options(request, errors)
    if (request.text is None) == (request.lines is None):
        message = "Give one of text and lines."
        errors.errors.append(NeededError(message, path=("text",), candidates=("text", "lines"), code="one_of_needed"))
        errors.raise_if_any()
    # A line of `lines` is one line, whatever it holds.
    text = request.text if request.text is not None else "\n".join(_one_line(line) for line in request.lines or ())
    answers = {answer.line: _one_line(answer.text) for answer in request.answers}
    reading: TextReading | None = None
    with errors.at("text" if request.text is not None else "lines"):
        reading = read_text(text, options, answers)
    errors.raise_if_any()
    if reading is None:
        raise AssertionError("a recipe that was not read has an error")
    return reading


def read_one_line(query: ReadLineQuery) -> WeighedReading:
    """One line in grams.

    Raises:
        DomainError, DomainErrors: everything that is wrong with the query; a question is an error here, because a cell
            shows a figure or the reason why there is none.
    """
    errors = ErrorCollector()
    options = _options(query, errors)
    errors.raise_if_any()
    with errors.at():
        reading = weigh_line(_one_line(query.text), options)
        if isinstance(reading, WeighedReading):
            return reading
        errors.errors.append(_as_error(reading))
    errors.raise_if_any()
    raise AssertionError  # unreachable: an error was collected


def _as_error(question: Question) -> AmbiguousError:
    return AmbiguousError(
        question.message,
        path=(question.field or "text",),
        candidates=tuple(choice.text for choice in question.choices),
        code="line_unclear",
    )


def _options(request: ReadRequest | ReadLineQuery, errors: ErrorCollector) -> ReadingOptions:
    if request.egg_class is not None:
        with errors.at("egg_class"):
            find_egg_class(request.egg_class)
    return ReadingOptions(
        language=request.language, measures=request.measures, decimal=request.decimal, egg_class=request.egg_class
    )


def _one_line(text: str) -> str:
    return text.replace("\r", " ").replace("\n", " ")
