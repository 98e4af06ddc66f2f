#!/usr/bin/env python3
"""Checks PDF files with tools that are not ours.

usage: check_pdf.py FILE.pdf [FILE.pdf ...]

Every file must pass PDF/A-3a (ISO 19005-3) and PDF/UA-1 (ISO 14289-1) as judged by the PyPI
package `page-validation`, and `qpdf --check`. Prints one line a check and a summary; exits 1
when a check failed, 2 when nothing was checked or a tool is missing.
"""

import re
import shutil
import subprocess
import sys

try:
    import page
except ImportError:
    print("check_pdf: install the PyPI package page-validation first")
    sys.exit(2)

PROFILES = ("3a", "ua1")


# The validator takes CR LF before `endstream` for one end of line. Where the last byte of the
# data happens to be CR, it then counts one byte too few. ISO 32000-1 7.3.8.1: the data is as
# long as /Length says, and one end of line follows. Such a stream is counted here byte by byte.
LENGTH_RULE = "STREAM-LENGTH"


def length_holds(data, number):
    """Whether an object's stream is as long as its dictionary says, in raw bytes."""
    found = re.search(rb"\n%d 0 obj\b(.*?)\bstream\r?\n" % number, data, re.DOTALL)
    length = found and re.search(rb"/Length (\d+)(?! \d+ R)", found.group(1))
    if not length:
        return False
    end = found.end() + int(length.group(1))
    return data[end - 1 : end] == b"\r" and data.startswith(b"\nendstream", end)


def conforms(path, profile):
    """None when the file conforms, else what is wrong with it."""
    report = page.validate_pdf(path, profile=profile)
    if report.is_compliant:
        return None
    with open(path, "rb") as file:
        data = file.read()
    for failure in report.failures:
        number = re.search(r"PdfObjectId\((\d+), 0\)", str(failure.object_id))
        if LENGTH_RULE not in failure.rule_id or not number or not length_holds(data, int(number.group(1))):
            return str(report)
    return None


def is_sound(path):
    """None when the file's structure is sound, else what is wrong with it."""
    run = subprocess.run(["qpdf", "--check", path], capture_output=True, text=True)
    return None if run.returncode == 0 else (run.stdout + run.stderr).strip()


def main(paths):
    if not paths:
        print(__doc__)
        return 2
    if shutil.which("qpdf") is None:
        print("check_pdf: install qpdf first")
        return 2
    passed = failed = 0
    for path in paths:
        checks = [(f"conforms to {profile}", lambda p=profile: conforms(path, p)) for profile in PROFILES]
        checks.append(("qpdf --check", lambda: is_sound(path)))
        for name, check in checks:
            try:
                fault = check()
            except Exception as error:  # a file that no tool can open is a failed check
                fault = f"{type(error).__name__}: {error}"
            if fault is None:
                passed += 1
                print(f"ok      {path}: {name}")
            else:
                failed += 1
                print(f"FAILED  {path}: {name}\n{fault}")
    print(f"{passed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
