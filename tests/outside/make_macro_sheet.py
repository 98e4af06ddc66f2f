"""Writes examples/macros/schedule.fods: a Calc workbook with the macro of schedule.bas and a schedule to price.

    python tests/outside/make_macro_sheet.py examples/macros examples/schedule.csv
"""
import csv
import pathlib
import sys
from xml.sax.saxutils import escape

folder, schedule = pathlib.Path(sys.argv[1]), sys.argv[2]
source = (folder / "schedule.bas").read_text(encoding="utf-8")


def cell(text):
    if not text:
        return "<table:table-cell/>"
    return f'<table:table-cell office:value-type="string"><text:p>{escape(text)}</text:p></table:table-cell>'


def sheet(name, rows):
    lines = "\n".join(f"<table:table-row>{''.join(map(cell, row))}</table:table-row>" for row in rows)
    width = max(map(len, rows))
    return f'<table:table table:name="{name}"><table:table-column table:number-columns-repeated="{width}" table:default-cell-style-name="sizes"/>\n{lines}\n</table:table>'


with open(schedule, newline="", encoding="utf-8") as file:
    rows = list(csv.reader(file))
settings = [
    ["address", "http://127.0.0.1:8080"],
    ["key", ""],
    ["", "a key with the scope estimate: offtake keys create --scope estimate --label sheet"],
    ["what happened", ""],
    ["", "Tools, Macros, Run: schedule.fods, Standard, Offtake, PriceSchedule or QuoteSchedule; or give each a button."],
    ["job", "PEN-1 rev 1"],
    ["customer", "Quillmark Mechanical"],
    ["project", "Penwick school, plant room"],
    ["quote", ""],
    ["net", ""],
    ["gross", ""],
    ["", "One job is quoted once, however often the button is pressed. When the schedule changes, name the job anew."],
]
(folder / "schedule.fods").write_text(f"""<?xml version="1.0" encoding="UTF-8"?>
<office:document xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0"
 xmlns:style="urn:oasis:names:tc:opendocument:xmlns:style:1.0" xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0"
 xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" xmlns:number="urn:oasis:names:tc:opendocument:xmlns:datastyle:1.0"
 xmlns:script="urn:oasis:names:tc:opendocument:xmlns:script:1.0" xmlns:ooo="http://openoffice.org/2004/office"
 xmlns:xlink="http://www.w3.org/1999/xlink" office:version="1.2"
 office:mimetype="application/vnd.oasis.opendocument.spreadsheet">
<office:scripts><office:script script:language="ooo:Basic"><ooo:libraries><ooo:library-embedded ooo:name="Standard">
<ooo:module ooo:name="Offtake"><ooo:source-code>{escape(source)}</ooo:source-code></ooo:module>
</ooo:library-embedded></ooo:libraries></office:script></office:scripts>
<office:automatic-styles>
<number:text-style style:name="as-text"><number:text-content/></number:text-style>
<style:style style:name="sizes" style:family="table-cell" style:data-style-name="as-text"/>
</office:automatic-styles>
<office:body><office:spreadsheet>
{sheet("schedule", rows)}
{sheet("settings", settings)}
</office:spreadsheet></office:body></office:document>
""", encoding="utf-8")
