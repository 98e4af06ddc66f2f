"""Prices and quotes the schedule of a Calc workbook with offtake; the Python twin of schedule.bas.

Put this file into `Scripts/python` of your LibreOffice user folder (Linux: ~/.config/libreoffice/4/user/Scripts/python),
open schedule.fods, and run `PriceSchedule` or `QuoteSchedule` under Tools, Macros. Debian: libreoffice-script-provider-python.

The sheet `settings` holds the address (B1) and a key with the scope "estimate" (B2); what happened stands in B4. A
quote takes the name of the job (B6), the customer (B7) and the project (B8), and leaves its number, net and
gross below them. One job is quoted once, however often the button is pressed.

Prices are no check of a design by a licensed person: mind what stands under stops and cautions.
"""
import csv
import io
import json
import urllib.error
import urllib.parse
import urllib.request

FAULTY = 0xFFD9D0
RESULTS = ("verdict", "stops", "cautions", "hours", "cost", "unit_price", "price", "mass", "joints", "faults")
TOLD, JOB, CUSTOMER, PROJECT, NUMBER, NET, GROSS = 3, 5, 6, 7, 8, 9, 10


def PriceSchedule(document=None):
    """Writes what each row comes to beside it, and colours the cells that have a fault."""
    return run(document, price)


def QuoteSchedule(document=None):
    """Makes a draft quote of the schedule, and writes its number and totals on the sheet `settings`."""
    return run(document, quote)


def run(document, job):
    document = document or XSCRIPTCONTEXT.getDocument()  # noqa: F821 (LibreOffice puts it there)
    try:
        told = job(document)
    except (OSError, ValueError) as error:
        told = f"not done: {error}"
    setting(document, TOLD).String = told
    return told


def setting(document, row):
    return document.Sheets.getByName("settings").getCellByPosition(1, row)


def price(document):
    sheet = document.Sheets.getByName("schedule")
    table, places = read(sheet)
    status, answer, _ = post(document, "/v1/schedules?format=json", table)
    if status != 200:
        return f"refused: {status} {answer['detail']}"
    write(sheet, places, answer)
    bad = sum(len(row.get("faults", [])) for row in answer["rows"])
    return f"{answer['summary']['ok']} priced, {bad} faults"


def quote(document):
    job, customer, project = (setting(document, row).String.strip() for row in (JOB, CUSTOMER, PROJECT))
    if not (job and customer and project):
        return "not quoted: name the job, the customer and the project on the sheet settings"
    table, _ = read(document.Sheets.getByName("schedule"))
    query = urllib.parse.urlencode({"customer": customer, "project": project})
    once = urllib.parse.quote(job, safe="")
    status, answer, headers = post(document, f"/v1/schedules/quotes?{query}", table, {"Idempotency-Key": once})
    if status != 201:
        for row in (NUMBER, NET, GROSS):
            setting(document, row).String = ""
        told = f"not quoted: {status} {answer['detail']}"
        in_cells = any("sheet_row" in fault for fault in answer.get("errors", []))
        return f"{told} {price(document)}" if in_cells else told
    setting(document, NUMBER).String = answer["number"]
    setting(document, NET).Value = float(answer["net"]["amount"])
    setting(document, GROSS).Value = float(answer["gross"]["amount"])
    before = ", as before" if headers.get("Idempotency-Replayed") == "true" else ""
    return f"quoted as {answer['number']}{before}"


def read(sheet):
    """The rows of the sheet that are not blank, without the columns of an answer; and where they stand."""
    cursor = sheet.createCursor()
    cursor.gotoEndOfUsedArea(False)
    whole = [[cell.String for cell in sheet_row(sheet, row)] for row in range(cursor.RangeAddress.EndRow + 1)]
    kept = [column for column, name in enumerate(whole[0]) if name.split(" (")[0] not in RESULTS]
    table = [(row, [cells[column] for column in kept]) for row, cells in enumerate(whole)]
    table = [(row, cells) for row, cells in table if any(cells)]
    return [cells for _, cells in table], [row for row, _ in table]


def write(sheet, places, answer):
    headings = [text.String for text in sheet_row(sheet, places[0])]
    columns = {}
    for name in RESULTS:
        known = [column for column, text in enumerate(headings) if text.split(" (")[0] == name]
        if not known:
            known = [len(headings)]
            headings.append(name)
        columns[name] = known[0]
        sheet.getCellByPosition(known[0], places[0]).String = name
    # The server counts the rows it was sent, the heading as the first.
    for row in answer["rows"]:
        cells = {column: sheet.getCellByPosition(column, places[row["row"] - 1]) for column in range(len(headings))}
        for cell in cells.values():
            cell.CellBackColor = -1
        for name, column in columns.items():
            show(cells[column], row.get(name))
        for fault in row.get("faults", []):
            if fault.get("column") in headings:
                cells[headings.index(fault["column"])].CellBackColor = FAULTY


def sheet_row(sheet, row):
    cursor = sheet.createCursor()
    cursor.gotoEndOfUsedArea(False)
    return [sheet.getCellByPosition(column, row) for column in range(cursor.RangeAddress.EndColumn + 1)]


def show(cell, found):
    """A figure as a number, anything else as text, nothing as a formula."""
    if isinstance(found, dict):
        found = found.get("amount", found.get("value"))
    if isinstance(found, list):
        cell.String = " | ".join(fault["detail"] if isinstance(fault, dict) else fault for fault in found)
        return
    try:
        cell.Value = float(found)
    except (TypeError, ValueError):
        cell.String = found or ""


def post(document, path, table, headers=None):
    address = setting(document, 0).String.rstrip("/")
    text = io.StringIO()
    csv.writer(text).writerows(table)
    request = urllib.request.Request(address + path, text.getvalue().encode(), {
        "Authorization": f"Bearer {setting(document, 1).String}", "Content-Type": "text/csv; charset=utf-8",
        **(headers or {})})
    try:
        with urllib.request.urlopen(request, timeout=60) as answer:
            return answer.status, json.load(answer), answer.headers
    except urllib.error.HTTPError as refused:
        return refused.code, json.load(refused), refused.headers


g_exportedScripts = PriceSchedule, QuoteSchedule
