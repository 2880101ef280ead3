"""A long run by hand: `python -m tests.fuzz.run 1000000` sends a million texts to the parsers and prints figures."""

import sys
import time
from collections import Counter

from tests.fuzz.parsers import PARSERS, outcome
from tests.fuzz.texts import texts

SEED = 20_261_125


def main(count: int) -> None:
    """Divide the texts among the parsers; print the count, time, results and slowest text of each."""
    each = -(-count // len(PARSERS))
    for number, (name, parser) in enumerate(PARSERS.items()):
        results: Counter[str] = Counter()
        slowest, slow_text, begin = 0.0, "", time.process_time()
        for text in texts(parser.seeds, SEED + number, each, parser.longest):
            before = time.process_time()
            results[outcome(parser, text)] += 1
            if (took := time.process_time() - before) > slowest:
                slowest, slow_text = took, text
        spent = time.process_time() - begin
        print(f"{name}: {each:,} texts in {spent:.0f} s, slowest {slowest * 1000:.1f} ms {ascii(slow_text)[:60]}")
        print("   ", ", ".join(f"{code} {times}" for code, times in results.most_common()), flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]))
