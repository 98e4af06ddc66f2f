#!/usr/bin/env python3
"""Checks quotations that came as workbooks, with readers that are not ours.

usage: check_quote_sheet.py FILE.xlsx [FILE.xlsx ...]      (FILE.json must lie beside each)

openpyxl reads the types of cells; LibreOffice works every formula out anew, whatever results the
file carries, and must come to the cents that FILE.json says. Needs `openpyxl` and `soffice`.
"""

import csv
import datetime
import json
import pathlib
import subprocess
import sys
import tempfile
import zipfile
import re
from decimal import Decimal

import openpyxl


def recalculated(path, folder):
    """The first sheet as LibreOffice works it out: the results in the file are made wrong first."""
    wrong = pathlib.Path(folder) / (path.stem + "-wrong.xlsx")
    changed = 0
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(wrong, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            data = old.read(name)
            if name == "xl/worksheets/sheet1.xml":
                text, changed = re.subn(r"</f><v>[^<]*</v>", "</f>", data.decode())
                data = text.encode()
            new.writestr(name, data)
    assert changed > 2, f"{path}: {changed} formulas carry a result"
    subprocess.run(
        ["soffice", "--headless", f"-env:UserInstallation=file://{folder}/profile", "--convert-to",
         "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,false", "--outdir", folder, str(wrong)],
        check=True, capture_output=True, timeout=180)
    with open(pathlib.Path(folder) / (path.stem + "-wrong.csv"), newline="", encoding="utf-8") as file:
        return list(csv.reader(file))


def options(book, offer):
    """The sheet of options says what the offer says."""
    assert len(book.worksheets) == (3 if offer["options"] else 2), book.sheetnames
    for row, option in zip(range(5, 5 + len(offer["options"])), offer["options"]):
        sheet = book.worksheets[2]
        assert (sheet.cell(row, 1).value, sheet.cell(row, 2).value) == (option["name"], option["instead_of"])
        for column, name in ((5, "net"), (6, "tax")):
            assert Decimal(str(sheet.cell(row, column).value)) == Decimal(option[name]), (row, name)


def check(path):
    offer = json.loads(path.with_suffix(".json").read_text())
    book = openpyxl.load_workbook(path)
    sheet = book.worksheets[0]
    formulas = [cell for row in sheet.iter_rows() for cell in row if cell.data_type == "f"]
    for cell in formulas:
        assert re.fullmatch(r"=(ROUND\((SUM\(E\d+:E\d+\)|C\d+\*D\d+),\d\)|E\d+)", cell.value), cell.value
    for other in book.worksheets[1:]:
        for row in other.iter_rows():
            # Options have one formula each, which adds their own net and tax, and no other sheet reads it.
            for cell in (cell for cell in row if cell.data_type == "f"):
                assert offer["options"] and other is book.worksheets[2], other.title
                assert re.fullmatch(rf"=ROUND\(E{cell.row}\+F{cell.row},\d\)", cell.value), cell.value
    options(book, offer)
    dates = [cell for row in sheet.iter_rows() for cell in row if isinstance(cell.value, datetime.datetime)]
    assert [cell.value.date().isoformat() for cell in dates] == [offer["issued_on"], offer["valid_until"]], dates
    start = next(row[0].row for row in sheet.iter_rows() if row[0].value == "Mark")
    lines, itemised = offer["lines"], offer["presentation"] == "itemised"
    for row, line in zip(range(start + 1, start + 1 + len(lines)), lines):
        assert sheet.cell(row, 1).value == line["mark"]
        assert sheet.cell(row, 3).data_type == "n" and sheet.cell(row, 3).value == line["quantity"]
        if not itemised:
            assert [sheet.cell(row, column).value for column in (4, 5)] == [None, None], row
            continue
        assert sheet.cell(row, 4).data_type == "n"
        assert Decimal(str(sheet.cell(row, 4).value)) == Decimal(line["unit_price"])
    with tempfile.TemporaryDirectory() as folder:
        worked = recalculated(path, folder)
    places = -Decimal(offer["net"]).as_tuple().exponent
    amount = lambda row: Decimal(worked[row - 1][4].replace(",", "")).quantize(Decimal(1).scaleb(-places))
    for row, line in zip(range(start + 1, start + 1 + len(lines)), lines if itemised else []):
        assert amount(row) == Decimal(line["amount"]), (row, amount(row), line["amount"])
    net = start + len(lines) + 1
    last = max(cell.row for cell in formulas)
    taxes = sum((amount(row) for row in range(net + 1, last)), Decimal(0))
    assert (amount(net), taxes, amount(last)) == tuple(Decimal(offer[name]) for name in ("net", "tax", "gross"))
    print(f"{path.name}: {len(formulas)} formulas worked out anew, net {amount(net)}, gross {amount(last)}")


if len(sys.argv) < 2:
    sys.exit(2)
for argument in sys.argv[1:]:
    check(pathlib.Path(argument))
