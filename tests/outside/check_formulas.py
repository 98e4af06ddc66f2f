"""One formula gives accounting the total; a linked sheet gives all of them. In LibreOffice Calc, in two locales.

    /usr/bin/python3 tests/outside/check_formulas.py http://127.0.0.1:PORT ADMIN-KEY [LOCALE ...]

The server must hold an issued quote. Held against the JSON of the same server: figures by WEBSERVICE on a link,
dates by DATEVALUE, the totals as a linked sheet in the manner of the locale, with numbers as numbers, dates as
dates, and nothing that somebody typed as a formula.
"""
import json
import sys
import tempfile
import urllib.request

from office import desktop, setting

# The names of UNO can be imported once `office` has imported `uno`.
from com.sun.star.sheet.SheetLinkMode import NORMAL

base, key = sys.argv[1:3]
locales = sys.argv[3:] or ["en-US"]
# Text filter: what parts columns (44 comma, 59 semicolon), quotes (34), UTF-8 (76), from line 1, columns, language,
# quoted is not always text (false), special numbers are looked for (true).
MANNERS = {"en-US": ("point", "44,34,76,1,,1033,false,true"), "de-DE": ("comma", "59,34,76,1,,1031,false,true")}


def call(method, path, body=None):
    data = None if body is None else json.dumps(body).encode()
    request = urllib.request.Request(base + path, data, method=method, headers={
        "Authorization": f"Bearer {key}", "Content-Type": "application/json"})
    with urllib.request.urlopen(request) as answer:
        return json.load(answer)


def linked(quote, opens):
    return base + call("POST", f"/v1/quotes/{quote}/links", {"opens": opens})["path"]


def formula(document, text):
    """What a cell of a sheet of its own comes to: its number and its text."""
    sheet = document.Sheets.getByIndex(0)
    cell = sheet.getCellByPosition(0, formula.row)
    formula.row += 1
    cell.Formula = text
    for _ in range(3):
        document.calculateAll()
    assert cell.getError() == 0, (text, cell.getError(), cell.String)
    return cell.Value, cell.String


formula.row = 0


def totals(document, address, locale):
    """The totals as a linked sheet, by heading."""
    decimal, filter_options = MANNERS[locale]
    document.Sheets.insertNewByName("totals", 1)
    sheet = document.Sheets.getByName("totals")
    sheet.link(f"{address}?decimal={decimal}", "", "Text - txt - csv (StarCalc)", filter_options, NORMAL)
    cursor = sheet.createCursor()
    cursor.gotoEndOfUsedArea(False)
    last = cursor.RangeAddress
    rows = [[sheet.getCellByPosition(column, row) for column in range(last.EndColumn + 1)] for row in range(last.EndRow + 1)]
    heading = [cell.String for cell in rows[0]]
    return [dict(zip(heading, row)) for row in rows[1:]]


def check(document, locale):
    issued = call("GET", "/v1/quotes?limit=500")["items"]
    quote = next(quote["number"] for quote in issued if quote["state"] in ("issued", "accepted"))
    shown = call("GET", f"/v1/quotes/{quote}")
    total = linked(quote, "total")
    for figure in ("gross", "net", "tax"):
        wanted = float(shown[figure]["amount"])
        place = total if figure == "gross" else f"{total}/{figure}"
        value, _ = formula(document, f'=NUMBERVALUE(WEBSERVICE("{place}");".")')
        assert value == wanted, (figure, value, wanted)
    assert formula(document, f'=WEBSERVICE("{total}/state")')[1] == shown["state"]
    number, _ = formula(document, f'=DATEVALUE(WEBSERVICE("{total}/issued_on"))')
    day, _ = formula(document, "=DATE({};{};{})".format(*(int(part) for part in shown["issued_on"].split("-"))))
    assert number == day, (number, day)

    # One customer whose name a spreadsheet would run.
    asked = shown["request"]
    named = {**asked, "customer": {"name": "=1+1"}}
    call("POST", "/v1/quotes", named)
    rows = totals(document, base + call("POST", "/v1/links", {})["path"], locale)
    books = call("GET", "/v1/quote-totals?limit=500")["items"]
    assert len(rows) == len(books), (len(rows), len(books))
    for row, item in zip(rows, books):
        for field in ("net", "tax", "gross"):
            assert row[field].Type.value == "VALUE", (field, row[field].String)
            assert row[field].Value == float(item[field]), (field, row[field].String, item[field])
        assert row["customer"].String.lstrip("'") == item["customer"], row["customer"].String
        assert row["issued_on"].Type.value == ("VALUE" if item["issued_on"] else "EMPTY")
        assert not any(cell.Type.value == "FORMULA" for cell in row.values()), item
    return f"{shown['gross']['amount']} by formula, {len(rows)} rows of totals"


for locale in locales:
    with tempfile.TemporaryDirectory() as profile:
        office, there, _ = desktop(profile, locale)
        try:
            document = there.loadComponentFromURL("private:factory/scalc", "_blank", 0, (setting("Hidden", True),))
            print(f"{locale}: {check(document, locale)}", flush=True)
            document.close(True)
            there.terminate()
        finally:
            office.terminate()
            office.wait(30)
