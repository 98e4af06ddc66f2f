"""Runs the macros of examples/macros in a headless LibreOffice against a running server.

    /usr/bin/python3 tests/outside/drive_macro.py http://127.0.0.1:PORT KEY REPOSITORY [LOCALE ...]

Needs LibreOffice Calc and its `uno` module (Debian: libreoffice-calc-nogui, libreoffice-script-provider-python,
python3-uno). In each locale, with the macro in Basic and with its twin in Python: the schedule is priced into
numbers, pressing again changes nothing, the first quote is made, pressing again makes no other, and seven faults
colour just their seven cells. The server must have prices and times for the schedule of examples/schedule.csv.
"""
import json
import pathlib
import shutil
import sys
import tempfile
import urllib.request

from office import desktop, setting

base, key, repository = sys.argv[1:4]
locales = sys.argv[4:] or ["en-US"]
workbook = pathlib.Path(repository) / "examples/macros/schedule.fods"


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


BASIC = "vnd.sun.star.script:Standard.Offtake.{}Sheet?language=Basic&location=document"
PYTHON = "vnd.sun.star.script:schedule.py${}Schedule?language=Python&location=user"


def presses(document, places):
    """The two buttons."""
    scripts = places(document)
    return [lambda script=script: script.invoke((document,), (), ())[0] for script in scripts]


def in_basic(document):
    provider = document.getScriptProvider()
    return [provider.getScript(BASIC.format(verb)) for verb in ("Price", "Quote")]


def in_python(office):
    def places(_document):
        factory = office.ServiceManager.createInstanceWithContext(
            "com.sun.star.script.provider.MasterScriptProviderFactory", office)
        provider = factory.createScriptProvider("user")
        return [provider.getScript(PYTHON.format(verb)) for verb in ("Price", "Quote")]
    return places


def quotes():
    request = urllib.request.Request(f"{base}/v1/quotes?limit=500", headers={"Authorization": f"Bearer {key}"})
    with urllib.request.urlopen(request) as answer:
        return [quote["number"] for quote in json.load(answer)["items"]]


def check(document, places, locale):
    settings = document.Sheets.getByName("settings")
    settings.getCellByPosition(1, 0).String = base
    settings.getCellByPosition(1, 1).String = key
    # Accents and inch marks go through; one job for each way of pressing.
    settings.getCellByPosition(1, 5).String = f"Bøiler ½″ {locale} {places.__qualname__}"
    settings.getCellByPosition(1, 6).String = 'Ø "Sørensen" ½″'
    sheet = document.Sheets.getByName("schedule")
    price, quote = presses(document, places)

    told = price()
    assert told == "3 priced, 0 faults", told
    assert settings.getCellByPosition(1, 3).String == told
    prices, verdict = column(sheet, "price"), column(sheet, "verdict")
    prices = [sheet.getCellByPosition(prices, row).Value for row in (1, 2, 3)]
    assert all(value > 50 for value in prices), prices
    assert sheet.getCellByPosition(verdict, 1).String.startswith("buildable")
    before = everything(sheet)
    assert price() == told
    assert everything(sheet) == before, "pressing again changes nothing"

    known = quotes()
    told = quote()
    made = [number for number in quotes() if number not in known]
    assert len(made) == 1 and told == f"quoted as {made[0]}", (told, made)
    number, net, gross = (settings.getCellByPosition(1, row) for row in (8, 9, 10))
    assert number.String == made[0]
    # What was priced row by row is what was quoted, as numbers.
    assert abs(net.Value - sum(prices)) < 0.005, (net.Value, prices)
    assert gross.Value > net.Value, (net.Value, gross.Value)
    assert quote() == f"{told}, as before", "pressing again makes no other"
    assert price() == "3 priced, 0 faults"
    assert quote() == f"{told}, as before", "nor does pricing in between"
    assert quotes() == known + made
    request = urllib.request.Request(f"{base}/v1/quotes/{made[0]}", headers={"Authorization": f"Bearer {key}"})
    with urllib.request.urlopen(request) as answer:
        assert json.load(answer)["customer"]["name"] == 'Ø "Sørensen" ½″'

    # Seven faults in three rows.
    wrong = {"Qty": [(1, "two")], "Service": [(1, "steam heating")], "Build": [(1, "welded")],
             "Run": [(2, "b88-l-9")], "Pitch": [(2, "2-Jan")], "Stub": [(2, "")], "Branch": [(4, "copper")]}
    marked = set()
    for name, cells in wrong.items():
        for row, text in cells:
            place = column(sheet, name)
            sheet.getCellByPosition(place, row).String = text
            marked.add((row, place))

    def coloured():
        return {(row, place) for row, line in enumerate(everything(sheet))
                for place, cell in enumerate(line) if cell[2] not in (-1, 0xFFFFFF)}

    told = price()
    assert coloured() == marked, (told, coloured() ^ marked)
    assert told == "0 priced, 7 faults", told
    assert all(not formula.startswith("=") for row in range(5)
               for formula in (sheet.getCellByPosition(place, row).Formula for place in range(used(sheet)[1] + 1)))
    told = quote()
    assert told.startswith("not quoted: 422 "), told
    assert quotes() == known + made and number.String == ""
    settings.getCellByPosition(1, 5).String += " rev 2"
    for row, place in marked:
        sheet.getCellByPosition(place, row).CellBackColor = -1
    told = quote()
    assert told.endswith("0 priced, 7 faults") and coloured() == marked, "the sheet shows why it is not quoted"
    assert quotes() == known + made

    settings.getCellByPosition(1, 1).String = "no such key"
    assert price().startswith("refused: 401"), "a wrong key is told"
    settings.getCellByPosition(1, 0).String = "http://127.0.0.1:9"
    assert price().startswith("not "), "a server that is not there is told"
    return f"{prices}, {made[0]}, seven faults in seven cells"


for locale in locales:
    with tempfile.TemporaryDirectory() as profile:
        scripts = pathlib.Path(profile) / "user/Scripts/python"
        scripts.mkdir(parents=True)
        shutil.copy(workbook.parent / "schedule.py", scripts)
        office, there, context = desktop(profile, locale)
        try:
            for places in (in_basic, in_python(context)):
                copy = pathlib.Path(profile) / "schedule.fods"
                shutil.copy(workbook, copy)
                document = there.loadComponentFromURL(
                    copy.as_uri(), "_blank", 0, (setting("Hidden", True), setting("MacroExecutionMode", 4)))
                print(f"{places.__qualname__.split('.')[0]}, {locale}: {check(document, places, locale)}", flush=True)
                document.close(True)
            there.terminate()
        finally:
            office.terminate()
            office.wait(30)
