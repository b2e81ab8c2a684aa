#!/usr/bin/env python3
"""Makes the demo's input files: what the office of an invented company would have.

    python3 demo/make_demo.py           writes the files and the tables in README.md
    python3 demo/make_demo.py --check   checks the files as they are; changes nothing

Only Python's own library (3.11 or newer) is used. The same bytes come out on each run.
"""

import sys
from pathlib import Path

sys.dont_write_bytecode = True

from making import check, readme, reckon, script  # noqa: E402

HERE = Path(__file__).resolve().parent
MADE = ("people", "jobs", "instruments", "equipment", "sheets", "paper", "badges",
        "inspections", "office", "photos")


def write_all():
    """Write every file; remove made files that are no longer made."""
    files = script.build()
    for folder in MADE:
        (HERE / folder).mkdir(exist_ok=True)
        for path in sorted((HERE / folder).iterdir()):
            if f"{folder}/{path.name}" not in files:
                path.unlink()
    for name, text in files.items():
        (HERE / name).write_bytes(text if isinstance(text, bytes) else text.encode())
    page = HERE / "README.md"
    page.write_bytes(readme.filled(page.read_text(encoding="utf-8"), HERE).encode())
    (HERE / reckon.FILE).write_bytes(reckon.text(HERE).encode())


def main():
    """Write or check; say the totals."""
    if sys.argv[1:] not in ([], ["--check"]):
        print("usage: make_demo.py [--check]", file=sys.stderr)
        return 2
    if not sys.argv[1:]:
        write_all()
    problems = check.problems(HERE, script.build(), MADE)
    for problem in problems:
        print(f"problem: {problem}", file=sys.stderr)
    print(readme.counts(HERE))
    print(readme.totals(HERE))
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main())
