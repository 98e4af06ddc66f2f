"""Prints the seconds that LibreOffice takes to recalculate every cell of a sheet, once it is open.

    /usr/bin/python3 tests/outside/time_worked_sheet.py tests/worked/estimate.xlsx

Needs LibreOffice Calc and its `uno` module (Debian: libreoffice-calc-nogui, python3-uno). The median of
several goes, after one that is not counted.
"""
import pathlib
import statistics
import subprocess
import sys
import tempfile
import time

import uno
from com.sun.star.beans import PropertyValue

sheet = pathlib.Path(sys.argv[1]).resolve().as_uri()
with tempfile.TemporaryDirectory() as profile:
    pipe = f"offtake{time.time_ns()}"
    office = subprocess.Popen(
        ["soffice", f"-env:UserInstallation=file://{profile}", "--headless", "--norestore",
         f"--accept=pipe,name={pipe};urp;"],
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        local = uno.getComponentContext()
        resolver = local.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", local)
        for _ in range(120):
            try:
                context = resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
                break
            except Exception:
                time.sleep(0.5)
        desktop = context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context)
        hidden = PropertyValue("Hidden", 0, True, 0)
        document = desktop.loadComponentFromURL(sheet, "_blank", 0, (hidden,))
        document.calculateAll()
        times = []
        for _ in range(51):
            begun = time.perf_counter()
            document.calculateAll()
            times.append(time.perf_counter() - begun)
        print(statistics.median(times))
        document.close(True)
        desktop.terminate()
    finally:
        office.terminate()
        office.wait(30)
