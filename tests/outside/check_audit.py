#!/usr/bin/env python3
"""Verifies an exported audit trail by itself, with the standard library alone.

usage: check_audit.py [--kept NUMBER:HASH] FILE...      exports in their order: JSON lines, JSON pages, or CSV
       check_audit.py --program PROGRAM DATABASE_URL    exports, verifies, and has changes found

The form that is hashed is told in docs/audit.md.
"""

import csv
import hashlib
import io
import json
import subprocess
import sys

FIRST = "0" * 64


def canonical(value):
    """RFC 8785, for the whole numbers, texts, truths, lists and objects that an entry holds."""
    if isinstance(value, dict):
        names = sorted(value, key=lambda name: name.encode("utf-16-be"))
        return "{" + ",".join(f"{canonical(name)}:{canonical(value[name])}" for name in names) + "}"
    if isinstance(value, list):
        return "[" + ",".join(map(canonical, value)) + "]"
    if isinstance(value, float):
        raise ValueError("a number with a fraction")
    return json.dumps(value, ensure_ascii=False)


def entries(text):
    """Every entry of an export, with the text that is hashed."""
    if not text.lstrip().startswith(("{", "[")):
        for row in csv.DictReader(io.StringIO(text, newline="")):
            entry = json.loads(row["hashed"])
            # What people read in the sheet is what was hashed; an apostrophe in front keeps a formula a text.
            for column, said in [
                ("number", entry["number"]), ("at", entry["at"]), ("actor", entry["actor"]["kind"]),
                ("actor_id", entry["actor"]["id"] or ""), ("actor_label", entry["actor"]["label"]),
                ("deed", entry["deed"]), ("subject", entry["subject"]["kind"]), ("subject_id", entry["subject"]["id"]),
                ("detail", canonical(entry["detail"])), ("previous", entry["previous"]),
            ]:
                if row[column] not in (str(said), f"'{said}"):
                    raise ValueError(f"entry {entry['number']}: the column {column} says {row[column]!r}, not {said!r}")
            yield {**entry, "hash": row["hash"]}, row["hashed"]
        return
    try:
        whole = json.loads(text)
        found = whole if isinstance(whole, list) else whole.get("items", [whole])
    except json.JSONDecodeError:
        found = [json.loads(line) for line in text.splitlines() if line]
    for entry in found:
        yield entry, canonical({name: value for name, value in entry.items() if name != "hash"})


def verify(texts, kept=None):
    """The head of a whole chain; raises ValueError at the first entry that does not fit."""
    number, head = 0, FIRST
    for text in texts:
        for entry, hashed in entries(text):
            if entry["number"] != number + 1:
                raise ValueError(f"entry {number + 1} is missing")
            number += 1
            if entry["previous"] != head:
                raise ValueError(f"entry {number} does not follow on the one before")
            if hashlib.sha256(hashed.encode()).hexdigest() != entry["hash"]:
                raise ValueError(f"entry {number} was changed")
            head = entry["hash"]
            if kept and kept[0] == number and kept[1] != head:
                raise ValueError(f"entry {number} is not the one that was kept")
    if kept and kept[0] > number:
        raise ValueError(f"entry {kept[0]}, which was kept, is missing")
    return number, head


def refuses(texts, words, kept=None):
    try:
        verify(texts, kept)
    except ValueError as found:
        assert words in str(found), (words, str(found))
        return
    raise AssertionError(f"{words}: not found")


def drive(program, database):
    def run(*arguments):
        done = subprocess.run(
            [program, "audit", *arguments, "--database", database], check=True, capture_output=True, text=True)
        return done.stdout

    told = run("verify").strip().split("\t")
    export = run("export")
    number, head = verify([export])
    assert f"{number} entries fit" == told[0] and f"{number}:{head}" == told[1], (told, number, head)
    run("verify", "--kept", told[1])
    lines = export.splitlines()
    assert verify(lines) == (number, head)
    middle = number // 2
    changed = json.loads(lines[middle])
    changed["actor"]["label"] += "x"
    refuses([*lines[:middle], json.dumps(changed), *lines[middle + 1:]], f"entry {middle + 1} was changed")
    refuses([*lines[:middle], *lines[middle + 1:]], f"entry {middle + 1} is missing")
    refuses(lines[:-1], "which was kept, is missing", (number, head))
    refuses(lines, "is not the one that was kept", (number, FIRST))
    wrong = subprocess.run(
        [program, "audit", "verify", "--kept", f"{number}:{FIRST}", "--database", database], capture_output=True)
    assert wrong.returncode == 1 and b"is not the one that was kept" in wrong.stderr, wrong
    deeds = {json.loads(line)["deed"] for line in lines}
    print(f"audit: {number} entries of {len(deeds)} kinds verified by their export, and four changes of it found")


arguments = sys.argv[1:]
if arguments[:1] == ["--program"]:
    drive(*arguments[1:3])
else:
    note = None
    if arguments[:1] == ["--kept"]:
        at, _, digest = arguments[1].partition(":")
        note, arguments = (int(at), digest), arguments[2:]
    sheets = []
    for path in arguments:
        with open(path, encoding="utf-8", newline="") as sheet:
            sheets.append(sheet.read())
    try:
        count, last = verify(sheets, note)
    except ValueError as found:
        sys.exit(str(found))
    print(f"{count} entries fit\t{count}:{last}")
