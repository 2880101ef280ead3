"""A coverage-guided run by hand: `python -m tests.fuzz.guided amount -runs=100000`.

It needs `pip install atheris` (Linux only), which is not in the test extra because nothing else needs it. A text that
reaches new branches of the parser is kept and changed further. The first fault ends the run, and its
text is printed.
"""

import importlib
import sys
import tempfile
from pathlib import Path
from typing import Any


def main(name: str, options: list[str]) -> None:
    """Run the fuzzer on one parser. Options are libFuzzer's, such as `-runs=100000` or `-seed=1`."""
    atheris: Any = importlib.import_module("atheris")
    with atheris.instrument_imports(include=["domain", "api.v1.convert"]):
        parsers: Any = importlib.import_module("tests.fuzz.parsers")
    parser = parsers.PARSERS[name]

    def run_once(data: bytes) -> None:
        parsers.outcome(parser, data.decode("utf-8", "replace")[: parser.longest])

    with tempfile.TemporaryDirectory() as folder:
        for i, text in enumerate(parser.seeds[:400]):
            (Path(folder) / str(i)).write_bytes(text.encode("utf-8", "replace"))
        atheris.Setup([sys.argv[0], *options, folder], run_once)
        atheris.Fuzz()


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2:])
