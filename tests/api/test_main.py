"""The commands: serve, try, openapi."""

import json
import re
import socket
import subprocess
import sys
import time
from pathlib import Path

import httpx
import pytest

from api.__main__ import main
from api.contract import docs
from api.contract.examples import FOLDER


def test_try_prints_a_table(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["try", str(FOLDER / "rescale-parkin.json")]) == 0
    printed = capsys.readouterr().out
    assert "ground ginger" in printed
    assert re.search(r"^ground ginger +[\d.]+ +metric_tsp ", printed, re.MULTILINE)


@pytest.mark.parametrize(
    ("example", "row"),
    [
        ("batches-monday", r"parkin +parkin batter +[\d.]+$"),
        ("label-parkin-uk", r"protein_g +protein +g +[\d.]+ +"),
        ("cuts-parkin", r"corner +4 +57.5 +57.5 +"),
        ("rescale-refused", r"/formula/tin +"),
    ],
)
def test_every_list_of_an_answer_is_a_table(capsys: pytest.CaptureFixture[str], example: str, row: str) -> None:
    main(["try", example])
    printed = capsys.readouterr().out
    assert re.search(f"^{row}", printed, re.MULTILINE), printed
    assert "{'" not in printed


def test_try_answers_a_bundled_example_by_its_name(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["try", "rescale-parkin"]) == 0
    assert "ground ginger" in capsys.readouterr().out
    assert main(["try", "rescale-parkin-of-nobody"]) == 2
    assert "rescale-parkin-of-nobody" in capsys.readouterr().err


def test_try_reports_a_rejected_request(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["try", str(FOLDER / "rescale-refused.json")]) == 1
    assert "/formula/tin" in capsys.readouterr().out


@pytest.mark.parametrize("text", ["", "{", "[1]", '{"path": 1}'])
def test_try_explains_an_unusable_file(capsys: pytest.CaptureFixture[str], tmp_path: Path, text: str) -> None:
    file = tmp_path / "example.json"
    assert main(["try", str(file)]) == 2
    assert "example.json: is no file, and no bundled example" in capsys.readouterr().err
    file.write_text(text, "utf-8")
    assert main(["try", str(file)]) == 2
    assert "example.json" in capsys.readouterr().err


def test_openapi_prints_the_contract(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["openapi"]) == 0
    assert json.loads(capsys.readouterr().out)["info"]["title"] == "Tinwright"


def test_openapi_is_printed_into_the_file_of_the_contract(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    committed, empty = docs.COMMITTED.read_bytes(), tmp_path / "openapi.json"
    empty.touch()  # as a shell does for `>`
    monkeypatch.setattr(docs, "COMMITTED", empty)
    assert main(["openapi"]) == 0
    assert capsys.readouterr().out.encode() == committed


def test_the_server_serves() -> None:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    server = subprocess.Popen([sys.executable, "-m", "api", "--port", str(port)])
    try:
        answer = None
        for _ in range(150):
            try:
                answer = httpx.get(f"http://127.0.0.1:{port}/healthz")
                break
            except httpx.TransportError:
                time.sleep(0.1)
        assert answer is not None
        assert answer.json() == {"status": "ok"}
    finally:
        server.terminate()
        assert server.wait(timeout=60) == 0


@pytest.mark.parametrize("option", [["--port", "99999"], ["--port", "-1"], ["--port", "http"]])
def test_an_invalid_port_is_refused_at_once(capsys: pytest.CaptureFixture[str], option: list[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(option)
    assert ended.value.code == 2
    assert option[0] in capsys.readouterr().err
