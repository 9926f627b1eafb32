"""`python -m tests.benchmarks`: do results agree, and how far from the floor is each measure?

Prints a Markdown table. Nothing fails for being slow; what disagrees fails.
"""

import argparse
import platform
import sys
from collections.abc import Callable

from tests.benchmarks import arithmetic, kills, moves, paper, sharing
from tests.benchmarks.tables import Row, table

MEASURES: dict[str, Callable[[bool], list[Row]]] = {
    "scatter": arithmetic.scatter,
    "assessment": arithmetic.assessment,
    "loads": moves.loads,
    "moves": moves.moves,
    "drags": moves.drags,
    "sharing": sharing.sharing,
    "sheet": paper.papers,
    "kills": kills.kills,
}


def main() -> None:
    """Run the measures asked for and print their table."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description=__doc__)
    parser.add_argument("--only", choices=MEASURES, action="append", help="may be repeated")
    parser.add_argument("--quick", action="store_true", help="few runs: a look, not a result")
    args = parser.parse_args()
    rows: list[Row] = []
    wrong: list[str] = []
    for name in args.only or MEASURES:
        print(f"{name} …", file=sys.stderr, flush=True)
        try:
            rows += MEASURES[name](args.quick)
        except AssertionError as error:
            wrong.append(f"{name} disagrees: {error}")
    print(f"Python {platform.python_version()}, {platform.machine()}; medians of runs' medians "
          "and of runs' 95th percentiles.\n")  # fmt: skip
    print(table(rows))
    if wrong:
        sys.exit("\n".join(wrong))


if __name__ == "__main__":
    main()
