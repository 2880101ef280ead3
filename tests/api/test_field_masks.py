"""Field masks: what they select, and how an error is reported."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from api.v1.rescale.schemas import RescaleAnswer
from api.wire.field_masks import MAX_DEPTH, MAX_MASK, apply_mask, check_mask, parse_mask
from domain.errors import DomainErrors, UnreadableError

NAMES = st.sampled_from(["a", "b1", "weigh_grams", "targets"])
MASKS: st.SearchStrategy[Any] = st.recursive(
    st.dictionaries(NAMES, st.none(), min_size=1),
    lambda inner: st.dictionaries(NAMES, st.none() | inner, min_size=1),
    max_leaves=12,
)


def written(mask: Any) -> str:
    return ",".join(name if inner is None else f"{name}({written(inner)})" for name, inner in mask.items())


@given(MASKS)
def test_a_written_mask_reads_back_the_same(mask: Any) -> None:
    assert parse_mask(written(mask)) == mask


@given(st.text(alphabet="ab(),_ 1", max_size=40))
def test_any_text_is_a_mask_or_an_error(text: str) -> None:
    try:
        mask = parse_mask(text)
    except UnreadableError:
        return
    assert parse_mask(written(mask)) == mask


@pytest.mark.parametrize(
    "text",
    ["", ",", "a,", "a,,b", "a b", "(a)", "a(", "a()", "a)", "a((b))", "A", "a.b", "a(b", "é", "a" * (MAX_MASK + 1)],
)
def test_a_text_that_is_no_mask_is_refused(text: str) -> None:
    with pytest.raises(UnreadableError):
        parse_mask(text)


def test_depth_is_bounded() -> None:
    with pytest.raises(UnreadableError):
        parse_mask("a(" * MAX_DEPTH + "a" + ")" * MAX_DEPTH)


def test_the_whole_field_and_a_part_of_it_may_both_be_named() -> None:
    assert parse_mask("a(b),a(c)") == {"a": {"b": None, "c": None}}
    assert parse_mask("a(b(c)),a(b(d))") == {"a": {"b": {"c": None, "d": None}}}


def test_all_unknown_names_are_reported_with_candidates() -> None:
    with pytest.raises(DomainErrors) as raised:
        check_mask(
            parse_mask("targets(labl,components(lines(ingredient,weigh)),eggs),formula(name(x)),tin"), RescaleAnswer
        )
    errors = {error.detail.split("`")[1]: error for error in raised.value.errors}
    assert set(errors) == {"targets.labl", "targets.components.lines.weigh", "formula.name", "tin"}
    assert "label" in errors["targets.labl"].candidates
    assert "weigh_grams" in errors["targets.components.lines.weigh"].candidates
    assert all(error.path == ("fields",) for error in raised.value.errors)


def test_a_mask_of_known_names_passes() -> None:
    check_mask(parse_mask("targets(label,components(lines(ingredient,weigh_grams)),eggs)"), RescaleAnswer)


@given(MASKS, MASKS)
def test_selecting_twice_with_the_same_mask_changes_nothing(mask: Any, other: Any) -> None:
    def example(shape: Any) -> Any:
        return {name: 1 if inner is None else [example(inner)] for name, inner in shape.items()}

    answer = example(other)
    once = apply_mask(mask, answer)
    assert apply_mask(mask, once) == once
    assert set(once) == set(mask) & set(answer)
