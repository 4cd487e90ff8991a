"""Run the benchmarks and print their table: `python -m tests.bench [NAME ...]`."""

import os
import platform
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

from sqlite_utils.utils import sqlite3

from tests.bench import checklist, field, hand_over, house, record, report, search
from tests.bench.measure import HEADING, Line, row

BENCHMARKS: dict[str, Callable[[Path], Line | list[Line]]] = {
    "checklists": checklist.load,
    "house": house.generate_against_insert,
    "house-saved": house.save_against_insert,
    "pack": record.pack_against_dump,
    "entries": record.ingest_against_insert,
    "verify": record.verify_against_digests,
    "report": report.report_against_one_page,
    "hand-over": hand_over.pack_of_ten_years,
    "search": search.hundred_thousand_notes,
    "field": field.on_a_slow_phone,
}


def main(names: list[str]) -> int:
    unknown = [name for name in names if name not in BENCHMARKS]
    if unknown:
        print(f"There is no benchmark {unknown[0]}. There are: {', '.join(BENCHMARKS)}.", file=sys.stderr)
        return 2
    print(
        f"Python {platform.python_version()}, SQLite {sqlite3.sqlite_version}, {os.cpu_count()} processors; "
        f"medians of runs taken in turn\n\n{HEADING}",
        flush=True,
    )
    for name in names or BENCHMARKS:
        with tempfile.TemporaryDirectory(prefix="inspect-app-bench-") as folder:
            found = BENCHMARKS[name](Path(folder))
            print("\n".join(row(line) for line in (found if isinstance(found, list) else [found])), flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
