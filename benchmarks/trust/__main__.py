"""Print every table, or those that are named. Exits 1 where an aim is missed."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable

from benchmarks.trust import measure, mends
from benchmarks.trust.table import Table

TABLES: dict[str, Callable[[bool], Table]] = {
    "mends": mends.table,
    "coverage": measure.coverage,
    "chance": measure.chance,
    "blame": measure.blame,
    "along": measure.along,
    "alarms": measure.alarms,
}
"""Every table by its name, in the order of printing. Each is told whether to be quick."""


def main() -> int:
    parser = argparse.ArgumentParser(prog="benchmarks.trust", description=__doc__)
    parser.add_argument("names", nargs="*", metavar="NAME", help=f"of: {', '.join(TABLES)}")
    parser.add_argument("--quick", action="store_true", help="a tenth of the tries")
    given = parser.parse_args()
    unknown = [name for name in given.names if name not in TABLES]
    if unknown:
        parser.error(f"no table is called {', '.join(unknown)}; there are {', '.join(TABLES)}")
    met = True
    for name in given.names or TABLES:
        table = TABLES[name](given.quick)
        met = met and table.met
        print(table.markdown(), flush=True)
    return 0 if met else 1


if __name__ == "__main__":
    sys.exit(main())
