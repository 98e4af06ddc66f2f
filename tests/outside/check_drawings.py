"""Checks the drawings and totals that the demo wrote, with tools from outside the project.

Usage: check_drawings.py FOLDER. Needs `xmllint` on the path. The papers are checked by
check_pdf.py.
"""

import csv
import subprocess
import sys
from decimal import Decimal
from pathlib import Path


def run(*command):
    """The outcome of a command as (ok, what it said)."""
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    return done.returncode == 0, (done.stdout + done.stderr).strip()


def checks(folder):
    """Every check as (name, ok, what was said)."""
    drawings = sorted(folder.glob("*.svg"))
    yield "the demo wrote its drawings", len(drawings) >= 6, str(folder)
    for drawing in drawings:
        yield (f"{drawing.name}: well-formed (xmllint)", *run("xmllint", "--noout", "--nonet", str(drawing)))
    with open(folder / "quote-totals.csv", newline="", encoding="utf-8") as sheet:
        rows = list(csv.DictReader(sheet))
    sums = all(Decimal(row["net"]) + Decimal(row["tax"]) == Decimal(row["gross"]) for row in rows)
    yield "quote-totals.csv: net + tax = gross in every row", bool(rows) and sums, str(rows)


def main():
    passed = failed = 0
    for name, ok, said in checks(Path(sys.argv[1])):
        print(("ok    " if ok else "FAILED ") + name)
        if ok:
            passed += 1
        else:
            failed += 1
            print("      " + said)
    print(f"drawings: {passed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
