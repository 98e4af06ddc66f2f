"""Runs the macro of examples/macros/schedule.fods in a headless LibreOffice against a running server.

    /usr/bin/python3 tests/outside/drive_macro.py http://127.0.0.1:PORT KEY REPOSITORY [LOCALE ...]

Needs LibreOffice Calc and its `uno` module (Debian: libreoffice-calc-nogui, python3-uno). In each locale: the
schedule is priced into numbers, pressing again changes nothing, and seven faults colour just their seven
cells. The server must have prices and times for the schedule of examples/schedule.csv.
"""
import pathlib
import shutil
import subprocess
import sys
import tempfile
import time

import uno
from com.sun.star.beans import PropertyValue

base, key, repository = sys.argv[1:4]
locales = sys.argv[4:] or ["en-US"]
workbook = pathlib.Path(repository) / "examples/macros/schedule.fods"
PROFILE = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Setup/L10N"><prop oor:name="ooSetupSystemLocale" oor:op="fuse"><value>{}</value></prop></item>
</oor:items>"""


def setting(name, value):
    return PropertyValue(name, 0, value, 0)


def desktop(profile, locale):
    """A headless office of its own, and its desktop."""
    user = pathlib.Path(profile) / "user"
    user.mkdir(parents=True)
    (user / "registrymodifications.xcu").write_text(PROFILE.format(locale))
    pipe = f"macro{time.time_ns()}"
    office = subprocess.Popen(
        ["soffice", f"-env:UserInstallation=file://{profile}", "--headless", "--norestore",
         f"--accept=pipe,name={pipe};urp;"],
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    local = uno.getComponentContext()
    resolver = local.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", local)
    for _ in range(240):
        try:
            context = resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
            return office, context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context)
        except Exception:
            time.sleep(0.25)
    raise SystemExit("LibreOffice did not come up")


def used(sheet):
    cursor = sheet.createCursor()
    cursor.gotoEndOfUsedArea(False)
    return cursor.RangeAddress.EndRow, cursor.RangeAddress.EndColumn


def column(sheet, name):
    _, last = used(sheet)
    names = [sheet.getCellByPosition(place, 0).String for place in range(last + 1)]
    return next(place for place, text in enumerate(names) if text.split(" (")[0] == name)


def everything(sheet):
    last_row, last_column = used(sheet)
    return [[(c.String, c.Value, c.CellBackColor) for c in (sheet.getCellByPosition(x, y) for x in range(last_column + 1))]
            for y in range(last_row + 1)]


def press(document):
    script = document.getScriptProvider().getScript(
        "vnd.sun.star.script:Standard.Offtake.PriceSheet?language=Basic&location=document")
    told, _, _ = script.invoke((document,), (), ())
    return told


for locale in locales:
    with tempfile.TemporaryDirectory() as profile:
        office, there = desktop(profile, locale)
        try:
            copy = pathlib.Path(profile) / "schedule.fods"
            shutil.copy(workbook, copy)
            document = there.loadComponentFromURL(
                copy.as_uri(), "_blank", 0, (setting("Hidden", True), setting("MacroExecutionMode", 4)))
            settings = document.Sheets.getByName("settings")
            settings.getCellByPosition(1, 0).String = base
            settings.getCellByPosition(1, 1).String = key
            sheet = document.Sheets.getByName("schedule")

            told = press(document)
            assert told == "3 priced, 0 faults", told
            assert settings.getCellByPosition(1, 3).String == told
            price, verdict = column(sheet, "price"), column(sheet, "verdict")
            prices = [sheet.getCellByPosition(price, row).Value for row in (1, 2, 3)]
            assert all(value > 50 for value in prices), prices
            assert sheet.getCellByPosition(verdict, 1).String.startswith("buildable")

            before = everything(sheet)
            assert press(document) == told
            assert everything(sheet) == before, "pressing again changes nothing"

            # Seven faults in three rows.
            wrong = {"Qty": [(1, "two")], "Service": [(1, "steam heating")], "Build": [(1, "welded")],
                     "Run": [(2, "b88-l-9")], "Pitch": [(2, "2-Jan")], "Stub": [(2, "")], "Branch": [(4, "copper")]}
            marked = set()
            for name, cells in wrong.items():
                for row, text in cells:
                    place = column(sheet, name)
                    sheet.getCellByPosition(place, row).String = text
                    marked.add((row, place))
            told = press(document)
            coloured = {(row, place) for row, line in enumerate(everything(sheet))
                        for place, cell in enumerate(line) if cell[2] not in (-1, 0xFFFFFF)}
            assert coloured == marked, (told, coloured ^ marked)
            assert told == "0 priced, 7 faults", told
            assert all(not formula.startswith("=") for row in range(5)
                       for formula in (sheet.getCellByPosition(place, row).Formula for place in range(used(sheet)[1] + 1)))

            settings.getCellByPosition(1, 1).String = "no such key"
            assert press(document).startswith("refused: 401"), "a wrong key is told"
            settings.getCellByPosition(1, 0).String = "http://127.0.0.1:9"
            assert press(document).startswith("not priced: "), "a server that is not there is told"
            document.close(True)
            print(f"macro in {locale}: {prices}, seven faults in seven cells")
            there.terminate()
        finally:
            office.terminate()
            office.wait(30)
