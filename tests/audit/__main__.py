"""Print the counts, the coverage and every implausible figure; the exit status is 1 if there is one."""

import sys

from tests.audit import composition, counts, densities

CHECKS = (composition.failures, densities.failures)


def main() -> int:
    """Print the report; returns the exit status."""
    failures = list(dict.fromkeys(failure for check in CHECKS for failure in check()))
    verdict = f"{len(failures)} implausible figures" if failures else "no implausible figure"
    sys.stdout.write("\n".join([*counts.lines(), "", *failures, verdict]) + "\n")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
