#!/usr/bin/env python3
"""Prints pages of quotations with a browser and looks where their sheets break.

usage: check_print.py CHROMIUM PAGE.html [PAGE.html ...]

The heading of a manifold, its description, drawing and data must stand on one sheet, and the
paragraph before the options must not break. Needs `pdftotext` (poppler). Exits 1 when a page
breaks where it must not, 2 when nothing was looked at.
"""

import pathlib
import re
import subprocess
import sys
import tempfile

HEADING = re.compile(r"^\S.*, quantity \d+$")
# The first and the last words of what must stay together.
LEAD = ("Each may be ordered with this quotation", "one can be ordered.")


def sheets(chromium, page):
    """The text of every sheet of a page as it is printed."""
    with tempfile.TemporaryDirectory() as folder:
        pdf = f"{folder}/print.pdf"
        subprocess.run(
            [chromium, "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer",
             f"--print-to-pdf={pdf}", pathlib.Path(page).resolve().as_uri()],
            check=True, capture_output=True, timeout=120,
        )
        text = subprocess.run(
            ["pdftotext", "-layout", pdf, "-"], check=True, capture_output=True, timeout=60
        ).stdout.decode()
    return text.split("\f")


def parts(sheet):
    """Each manifold's heading on a sheet, and what follows it there."""
    found = []
    for line in sheet.splitlines():
        if HEADING.match(line.strip()):
            found.append((line.strip(), []))
        elif found:
            found[-1][1].append(line)
    return [(heading, "\n".join(lines)) for heading, lines in found]


def main():
    chromium, *pages = sys.argv[1:]
    looked, faults = 0, []
    for page in pages:
        for number, sheet in enumerate(sheets(chromium, page), 1):
            for heading, rest in parts(sheet):
                looked += 1
                for wanted in ("Manifold of", "Service", "Dry mass"):
                    if wanted not in rest:
                        faults.append(f"{page}: {wanted!r} of {heading!r} is not on its sheet, {number}")
            if LEAD[0] in sheet and LEAD[1] not in sheet:
                faults.append(f"{page}: the paragraph before the options breaks after sheet {number}")
    print("\n".join(faults) or f"print: {looked} manifolds stand whole on their sheets")
    return 2 if looked == 0 else int(bool(faults))


if __name__ == "__main__":
    sys.exit(main())
