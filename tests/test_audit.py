"""The audit of the reference tables finds nothing implausible, and it does find what is."""

import re
from pathlib import Path

import pytest

from domain.recalled import RECALLED, confidence_of
from domain.reference import rows
from tests.audit import __main__ as audit
from tests.audit import counts, parts, usda, weights


def test_the_audit_of_the_tables_finds_no_fault(capsys: pytest.CaptureFixture[str]) -> None:
    assert audit.main() == 0, capsys.readouterr().out
    report = capsys.readouterr().out
    assert all(table in report for table in ("nutrition", "densities", "ingredient_allergens"))


def test_the_audit_fails_with_an_implausible_figure(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(audit, "CHECKS", (lambda: ["salt: 150 g in 100 g"],))
    assert audit.main() == 1
    assert "salt: 150 g in 100 g" in capsys.readouterr().out


def test_every_row_of_every_table_is_counted() -> None:
    assert set(counts.tables()) >= {"nutrition", "densities", "label_rounding", "units"}
    assert all(by_confidence.total() for by_confidence in counts.counts().values())


SAMPLE = Path(usda.__file__).parent / "sample"  # nine records of the raw files of usda-sr28


def test_the_rows_of_the_usda_follow_from_its_raw_files() -> None:
    numbers = {line[:7].strip("~") for line in (SAMPLE / "FOOD_DES.txt").read_text().splitlines()}
    cited = {usda.record_number(row) for row in rows("nutrition") if row["source"] == usda.SOURCE}
    assert numbers <= cited
    assert [(row["ingredient"], column) for row, column, _ in usda.differences(SAMPLE)] == []


def test_a_wrong_cell_is_found(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    right = usda.TABLE.read_text("utf-8")
    copy = tmp_path / "nutrition.csv"
    of_the_release_before = re.sub(r"^(parmesan,,,[\d.]+),28\.42,", r"\1,38.46,", right, flags=re.MULTILINE)
    assert of_the_release_before != right
    copy.write_text(of_the_release_before, "utf-8")
    monkeypatch.setattr(usda, "TABLE", copy)
    wrong = [(row["ingredient"], column, cell) for row, column, cell in usda.differences(SAMPLE)]
    assert wrong == [("parmesan", "protein_g", "28.42")]
    assert usda.main(SAMPLE, write=True) == 0
    assert copy.read_text("utf-8") == right


def test_few_figures_are_recalled_and_each_says_what_would_settle_it() -> None:
    recalled = [
        row for table in counts.tables() for row in rows(table) if row["source"] and confidence_of(row) == "recalled"
    ]
    assert len(recalled) < 60
    assert [row for row in recalled if "settle" not in row["record"]] == []


SHARES = {"density": 0.85, "composition": 0.85, "other names": 0.8, "piece weight": 0.15}  # our own limits


def test_the_larder_is_covered() -> None:
    coverage = counts.coverage()
    assert coverage["ingredients"] >= 480
    assert coverage["allergens"] == coverage["ingredients"]
    assert coverage["composition"] + coverage["stated as unknown"] == coverage["ingredients"]
    assert coverage["density"] + coverage["without density, for a reason"] == coverage["ingredients"]
    assert {name for name, share in SHARES.items() if coverage[name] < share * coverage["ingredients"]} == set()


def test_weights_of_the_usda_follow_from_its_raw_file() -> None:
    cited = {row["record"][4:9] for table in ("densities", "piece_weights") for row in rows(table)}
    assert {"20081", "19335", "01145", "12061"} <= cited
    assert list(weights.failures(SAMPLE)) == []


@pytest.mark.parametrize(
    ("right", "wrong", "ingredient"),
    [("~20081~^1^1^~cup~^125", "~20081~^1^1^~cup~^152", "plain-flour"), ("~almond~^1.2", "~almond~^2.1", "almonds")],
)
def test_a_wrong_weight_is_found(right: str, wrong: str, ingredient: str, tmp_path: Path) -> None:
    text = (SAMPLE / "WEIGHT.txt").read_text()
    changed = text.replace(right, wrong)
    assert changed != text
    (tmp_path / "WEIGHT.txt").write_text(changed)
    failures = list(weights.failures(tmp_path))
    assert failures
    assert any(ingredient in failure for failure in failures)


def test_the_answers_that_rest_on_recalled_figures_are_named() -> None:
    holding = {table for table, by_confidence in counts.counts().items() if by_confidence["recalled"]}
    assert {row["table"] for row in rows("recalled_topics")} == holding
    assert all(0 < topic.figures <= topic.of for topic in RECALLED)
    assert sum(topic.figures for topic in RECALLED) == sum(c["recalled"] for c in counts.counts().values())


def test_usable_yields_and_borrowed_figures_follow_from_the_raw_files() -> None:
    assert list(parts.failures(SAMPLE)) == []


@pytest.mark.parametrize(
    ("name", "right", "wrong", "failure"),
    [
        ("FOOD_DES", "~Skin~^36^", "~Skin~^63^", "usable_yields: banana"),
        ("NUT_DATA", "~01123~^~605~^0.038", "~01123~^~605~^0.38", "borrowed_cells: egg-yolk, trans_fat_g"),
    ],
)
def test_a_wrong_yield_or_borrowed_figure_is_found(
    name: str, right: str, wrong: str, failure: str, tmp_path: Path
) -> None:
    for file in SAMPLE.glob("*.txt"):
        text = file.read_text()
        (tmp_path / file.name).write_text(text.replace(right, wrong) if file.stem == name else text)
    assert right in (SAMPLE / f"{name}.txt").read_text()
    assert any(line.startswith(failure) for line in parts.failures(tmp_path))
