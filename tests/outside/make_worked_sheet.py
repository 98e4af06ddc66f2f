"""Writes tests/worked/estimate.xlsx: an estimate worked by hand, every figure a formula over what is given.

    python tests/outside/make_worked_sheet.py tests/worked/estimate.xlsx

A spreadsheet program recalculates it (tests/worked/sheet.rs has LibreOffice do so), and the program's
own estimate of the same schedule is held against it to the cent. The formulas are those of the trade
and of any costing handbook, written here a second time and in another language; dimensions of tube are
those of ASTM B88, cup depths those of the Copper Tube Handbook's consumption tables; prices, wages and
times are made up. Written with openpyxl 3.1.5.
"""
import sys

from openpyxl import Workbook
from openpyxl.styles import Font

book = Workbook()
sheet = book.active
sheet.title = "Estimate"
given = book.create_sheet("Given")
bold = Font(bold=True)


class Given:
    """What is given: a name, a value, where it comes from; answers the cell that holds it."""

    def __init__(self):
        self.cells = {}
        given.append(["what", "value", "where it comes from"])

    def add(self, name, value, source):
        given.append([name, value, source])
        self.cells[name] = f"Given!$B${given.max_row}"

    def __getitem__(self, name):
        return self.cells[name]


g = Given()
TUBE = "ASTM B88, type L"
for name, value, source in [
    ("run OD", 2.125, TUBE), ("run wall", 0.070, TUBE),
    ("branch OD", 1.125, TUBE), ("branch wall", 0.050, TUBE),
    ("run cup", 1.34, "cup depth"), ("branch cup", 0.91, "cup depth"),
    # A: collars formed.
    ("A quantity", 3, "design"), ("A outlets", 6, "design"), ("A first", 4, "design"),
    ("A pitch", 5, "design"), ("A beyond", 4, "design"),
    # B: built up from tees.
    ("B quantity", 2, "design"), ("B outlets", 3, "design"), ("B first", 5, "design"),
    ("B pitch", 6, "design"), ("B beyond", 5, "design"),
    # C: bought.
    ("C quantity", 1, "design"),
    ("stub", 3, "design"),
    ("collar laps", 3, "walls of the branch, model plumbing codes"),
    ("collar gap", 0.003, "brazing filler, radial"), ("cup gap", 0.005, "consumption table, radial"),
    ("cup share", "=2/3", "consumption table"), ("filler density", 8.2, "g/cm3"),
    ("grams a pound", 453.59237, "definition"), ("cm an inch", 2.54, "definition"),
    ("tee allowance", 0.0625, "centre to stop beyond half the other leg, a stand-in"),
    # Prices.
    ("price b88-l-2", 12.00, "made up"), ("price b88-l-1", 4.80, "made up"),
    ("break b88-l-2 from", 10, "made up"), ("break b88-l-2 price", 11.65, "made up"),
    ("price cap-2", 8.00, "made up"), ("price tee", 24.00, "made up"),
    ("price BCuP-3", 30.00, "made up"), ("price consumables", 0.90, "made up"),
    ("price manifold", 310.00, "made up"),
    # The shop.
    ("tube waste", 0.08, "made up"), ("filler allowance", 1.5, "made up"),
    ("fitters", 2, "made up"), ("fitter wage", 41.30, "made up"),
    ("helpers", 1, "made up"), ("helper wage", 23.00, "made up"),
    ("burden", 0.345, "made up"), ("helper burden", 0.2, "made up"),
    ("small tools", 0.03, "made up"), ("collar charge", 1.20, "made up"),
    ("overhead", 0.152, "made up"), ("contingency", 0.02, "made up"),
    ("margin", 0.12, "made up"), ("discount", 0.015, "made up"),
    ("tax", 0.0725, "made up"), ("labour tax", 0.02, "made up"),
    # Times.
    ("slope", 0.90, "made up; Crawford's unit curve"),
    ("in place", 1.2, "made up; bears on joining of B"),
    ("set-up", 4, "made up; minutes a batch of every operation"),
]:
    g.add(name, value, source)

OPERATIONS = [
    # word, text, minutes each, minutes a driver unit, group
    ("mark_out", "mark out", 1.1, 0, "preparing"),
    ("cut", "cut tube", 0.8, 0.35, "preparing"),
    ("deburr", "deburr ends", 0.5, 0.15, "preparing"),
    ("forming_set_up", "set up forming", 9, 0, "forming"),
    ("form_collar", "form collars", 2.2, 0.9, "forming"),
    ("notch_and_dimple", "notch and dimple branches", 1.4, 0, "forming"),
    ("clean", "clean joints", 0.6, 0.4, "joining"),
    ("fit_and_support", "fit up and support", 1.7, 0, "joining"),
    ("braze", "braze joints", 2.1, 1.3, "joining"),
    ("cool_and_wash", "cool and wash joints", 0.9, 0, "joining"),
    ("close_end", "close ends", 1.3, 0, "joining"),
    ("pressure_test", "pressure test", 12, 0, "finishing"),
    ("inspect", "inspect joints", 0.7, 0, "finishing"),
    ("label_and_pack", "label and pack", 3, 0, "finishing"),
    ("handle", "handle", 5, 0, "finishing"),
]
for word, _, each, driver, _ in OPERATIONS:
    g.add(f"{word} each", each, "made up; minutes")
    g.add(f"{word} driver", driver, "made up; minutes an inch of outside diameter")

# Geometry, on the sheet of what is given, below it.
work = book.create_sheet("Work")
work.append(["what", "A", "B"])
cells = {}


def reckon(name, a, b):
    work.append([name, a, b])
    cells[name] = (f"Work!$B${work.max_row}", f"Work!$C${work.max_row}")


def w(name, which):
    return cells[name]["AB".index(which)]


r = f"({g['branch OD']}/2)"
bore = f"({g['run OD']}/2-{g['run wall']})"
reckon("run length, in", f"={g['A first']}+({g['A outlets']}-1)*{g['A pitch']}+{g['A beyond']}",
       f"={g['B first']}+({g['B outlets']}-1)*{g['B pitch']}+{g['B beyond']}")
reckon("notch, in", f"={bore}-SQRT({bore}^2-{r}^2)", 0)
reckon("centre to stop along the run, in", 0, f"={g['branch OD']}/2+{g['tee allowance']}")
reckon("centre to stop across, in", 0, f"={g['run OD']}/2+{g['tee allowance']}")
reckon("run tube, in", f"={w('run length, in', 'A')}",
       f"={w('run length, in', 'B')}-2*{g['B outlets']}*{w('centre to stop along the run, in', 'B')}")
reckon("run pieces", 1, f"={g['B outlets']}+1")
reckon("one branch, in", f"={g['stub']}+{g['run wall']}+{w('notch, in', 'A')}",
       f"={g['stub']}+{g['run OD']}/2-{w('centre to stop across, in', 'B')}")
reckon("branch tube, in", f"={g['A outlets']}*{w('one branch, in', 'A')}", f"={g['B outlets']}*{w('one branch, in', 'B')}")
# A cap is joined at one end of each; a tee has two cups of the run and one of the branch.
reckon("run cups", 1, f"=1+2*{g['B outlets']}")
reckon("branch joints", f"={g['A outlets']}", f"={g['B outlets']}")
reckon("joints", f"={w('run cups', 'A')}+{w('branch joints', 'A')}", f"={w('run cups', 'B')}+{w('branch joints', 'B')}")
cup = lambda od, depth: f"PI()*{g[od]}*{g[depth]}*{g['cup share']}*{g['cup gap']}"
collar = f"PI()*{g['branch OD']}*{g['collar laps']}*{g['branch wall']}*{g['collar gap']}"
reckon("filler, in3", f"={w('branch joints', 'A')}*{collar}+{w('run cups', 'A')}*{cup('run OD', 'run cup')}",
       f"={w('branch joints', 'B')}*{cup('branch OD', 'branch cup')}+{w('run cups', 'B')}*{cup('run OD', 'run cup')}")
to_pounds = f"*{g['cm an inch']}^3*{g['filler density']}/{g['grams a pound']}"
reckon("filler, lb", f"={w('filler, in3', 'A')}{to_pounds}", f"={w('filler, in3', 'B')}{to_pounds}")
# Repetition: unit u of a kind takes u^log2(slope) of the first.
power = f"LOG({g['slope']},2)"
reckon("manifolds' time", f"=ROUND(1+2^{power}+3^{power},6)", f"=ROUND(1+2^{power},6)")
counts = {
    "mark_out": (f"={g['A outlets']}", f"={g['B outlets']}", None),
    "cut": (f"={w('run pieces', 'A')}+{g['A outlets']}", f"={w('run pieces', 'B')}+{g['B outlets']}", "pieces"),
    "deburr": (f"=2*({w('run pieces', 'A')}+{g['A outlets']})", f"=2*({w('run pieces', 'B')}+{g['B outlets']})", "ends"),
    "form_collar": (f"={g['A outlets']}", 0, "collars"),
    "notch_and_dimple": (f"={g['A outlets']}", 0, None),
    "close_end": (1, 1, None),
    "pressure_test": (1, 1, None), "label_and_pack": (1, 1, None), "handle": (1, 1, None),
}
for word in ["clean", "fit_and_support", "braze", "cool_and_wash", "inspect"]:
    counts[word] = (f"={w('joints', 'A')}", f"={w('joints', 'B')}", "joints")
od_sum = {
    "pieces": [f"={w('run pieces', k)}*{g['run OD']}+{g[k + ' outlets']}*{g['branch OD']}" for k in "AB"],
    "ends": [f"=2*({w('run pieces', k)}*{g['run OD']}+{g[k + ' outlets']}*{g['branch OD']})" for k in "AB"],
    "collars": [f"={g['A outlets']}*{g['branch OD']}", 0],
    "joints": [f"={w('run cups', k)}*{g['run OD']}+{w('branch joints', k)}*{g['branch OD']}" for k in "AB"],
}
for word, text, each, driver, group in OPERATIONS:
    if word == "forming_set_up":
        continue
    a, b, kind = counts[word]
    reckon(f"{word}, count", a, b)
    reckon(f"{word}, inches", *(od_sum[kind] if kind else (0, 0)))
    place = [1, g["in place"]] if group == "joining" else [1, 1]
    minutes = [
        f"=({g[word + ' each']}*{w(word + ', count', k)}+{g[word + ' driver']}*{w(word + ', inches', k)})"
        f"*{w(chr(109) + 'anifolds' + chr(39) + ' time', k)}*{place['AB'.index(k)]}"
        for k in "AB"
    ]
    reckon(f"{word}, minutes", *minutes)

# The estimate. Columns: line, quantity, unit price, amount, and what A, B and C have of its quantity.
sheet.append(["line", "quantity", "price of one", "amount", "A", "B", "C", "cost of A", "cost of B", "cost of C"])
rows = {}


def line(text, quantity, price, shares):
    at = sheet.max_row + 1
    total = f"SUM(E{at}:G{at})"
    sheet.append([text, quantity.replace("@", str(at)), price.replace("@", str(at)), f"=ROUND(B{at}*C{at},2)", *shares,
                  *(f"=IF({total}=0,0,D{at}*{c}{at}/{total})" for c in "EFG")])
    rows[text] = at


def feet(name, which):
    return f"=ROUND({w(name, which)}*{g[which + ' quantity']}/12,6)*(1+{g['tube waste']})"


branch = [feet("branch tube, in", k) for k in "AB"] + [0]
run = [feet("run tube, in", k) for k in "AB"] + [0]
line("tube 1 in type L", "=ROUND(SUM(E@:G@),3)", f"={g['price b88-l-1']}", branch)
line("tube 2 in type L", "=ROUND(SUM(E@:G@),3)",
     f"=IF(B@>={g['break b88-l-2 from']},{g['break b88-l-2 price']},{g['price b88-l-2']})", run)
line("cap 2 in", "=SUM(E@:G@)", f"={g['price cap-2']}", [f"={g['A quantity']}", f"={g['B quantity']}", 0])
line("tee 2 x 2 x 1 in", "=SUM(E@:G@)", f"={g['price tee']}", [0, f"={g['B quantity']}*{g['B outlets']}", 0])
line("filler BCuP-3", "=ROUND(SUM(E@:G@),3)", f"={g['price BCuP-3']}",
     [f"=ROUND({w('filler, lb', k)}*{g[k + ' quantity']},6)*(1+{g['filler allowance']})" for k in "AB"] + [0])
line("gas, flux and brushes for brazing", "=SUM(E@:G@)", f"={g['price consumables']}",
     [f"={w('joints', k)}*{g[k + ' quantity']}" for k in "AB"] + [0])
line("bought manifold, 2 in type L with 6 outlets", "=SUM(E@:G@)", f"={g['price manifold']}", [0, 0, f"={g['C quantity']}"])
rate = (f"=ROUND(({g['fitters']}*{g['fitter wage']}*(1+{g['burden']})"
        f"+{g['helpers']}*{g['helper wage']}*(1+{g['helper burden']}))/({g['fitters']}+{g['helpers']}),4)")
first_labour = sheet.max_row + 1
for word, text, each, driver, group in OPERATIONS:
    if word == "forming_set_up":
        line(text, f"=ROUND(({g['set-up']}+{g[word + ' each']}*1)/60,4)", rate,
             [f"={g[word + ' each']}*{g['A outlets']}*{g['A quantity']}", 0, 0])
    else:
        line(text, f"=ROUND(({g['set-up']}+SUM(E@:G@))/60,4)", rate,
             [f"={w(word + ', minutes', 'A')}", f"={w(word + ', minutes', 'B')}", 0])
last_labour = sheet.max_row
line("forming equipment", "=SUM(E@:G@)", f"={g['collar charge']}", [f"={g['A quantity']}*{g['A outlets']}", 0, 0])
last_direct = sheet.max_row


def added(text, formula):
    at = sheet.max_row + 1
    sheet.append([text, None, None, f"=ROUND({formula.replace('^', f'SUM(D2:D{at - 1})')},2)"])
    rows[text] = at


added("small tools, 3 %", f"{g['small tools']}*SUM(D{first_labour}:D{last_labour})")
added("overhead, 15.2 %", f"{g['overhead']}*^")
added("contingency, 2 %", f"{g['contingency']}*^")
added("profit, 12 % margin on price", f"^*{g['margin']}/(1-{g['margin']})")
added("discount, 1.5 %", f"-{g['discount']}*^")
last = sheet.max_row
direct = f"SUM($D$2:$D${last_direct})"
for k, column in zip("ABC", "HIJ"):
    sheet.append([f"price of one {k}", f"={g[k + ' quantity']}",
                  f"=ROUND(SUM($D$2:$D${last})*SUM({column}2:{column}{last_direct})/{direct}/B{sheet.max_row + 1},2)",
                  f"=B{sheet.max_row + 1}*C{sheet.max_row + 1}"])
    rows[f"price of one {k}"] = sheet.max_row
net = f"SUM(D{rows['price of one A']}:D{rows['price of one C']})"
for text, formula in [
    ("rounding of unit prices", f"={net}-SUM(D2:D{last})"),
    ("net", f"={net}"),
    ("labour taxed", f"=ROUND({net}*SUM(D{first_labour}:D{last_labour})/{direct},2)"),
]:
    sheet.append([text, None, None, formula])
    rows[text] = sheet.max_row
d = lambda text: f"D{rows[text]}"
for text, formula in [
    ("tax", f"=ROUND({d('labour taxed')}*{g['labour tax']},2)+ROUND(({d('net')}-{d('labour taxed')})*{g['tax']},2)"),
]:
    sheet.append([text, None, None, formula])
    rows[text] = sheet.max_row
sheet.append(["gross", None, None, f"={d('net')}+{d('tax')}"])

for page in (sheet, given, work):
    for cell in page[1]:
        cell.font = bold
    page.freeze_panes = "B2"
    page.column_dimensions["A"].width = 44
given.column_dimensions["C"].width = 60
book.properties.creator = "offtake"
book.save(sys.argv[1])
