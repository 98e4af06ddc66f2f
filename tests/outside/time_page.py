"""Prints the seconds that WeasyPrint takes to print a page as PDF, its version, and the pages that come of it.

    venv/bin/python tests/outside/time_page.py page.html

The median of several goes, after one that is not counted; starting Python and reading fonts for the first time is not
in it. Needs PyPI's weasyprint.
"""
import statistics
import sys
import time

import weasyprint

with open(sys.argv[1], encoding="utf-8") as file:
    text = file.read()

fonts = weasyprint.text.fonts.FontConfiguration()
times, pages = [], 0
for go in range(8):
    begun = time.perf_counter()
    document = weasyprint.HTML(string=text).render(font_config=fonts)
    document.write_pdf()
    if go:
        times.append(time.perf_counter() - begun)
    pages = len(document.pages)
print(statistics.median(times), weasyprint.__version__, pages)
