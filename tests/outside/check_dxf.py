#!/usr/bin/env python3
"""Checks DXF files with the PyPI package `ezdxf`, which is not ours.

usage: check_dxf.py FILE.dxf [FILE.dxf ...]

Every file must load without repair and pass the audit without errors; its words, outlines and
dimensions must stand on their layers, with the datum end of the run at the origin. Exits 1 when
a check failed, 2 when nothing was checked.
"""

import sys
from pathlib import Path

import ezdxf
from ezdxf import bbox

LAYERS = {"OUTLINE", "HIDDEN", "CENTRES", "HOLES", "TEXT", "DIMENSIONS"}


def checks(path):
    """Every check of a file as (name, fault or None)."""
    drawing = ezdxf.readfile(path)
    auditor = drawing.audit()
    problems = [str(error.message) for error in auditor.errors + auditor.fixes]
    yield "audit", "; ".join(problems) or None
    yield "is R12", None if drawing.dxfversion == "AC1009" else drawing.dxfversion
    names = {layer.dxf.name for layer in drawing.layers}
    yield "layers", None if LAYERS <= names else str(sorted(names))
    model = drawing.modelspace()
    kinds = {(entity.dxftype(), entity.dxf.layer) for entity in model}
    wanted = {("TEXT", "TEXT"), ("TEXT", "DIMENSIONS"), ("POLYLINE", "OUTLINE"), ("LINE", "CENTRES")}
    yield "words are text on their layers", None if wanted <= kinds else str(sorted(kinds))
    strange = [entity.dxf.layer for entity in model if entity.dxf.layer not in names]
    yield "nothing on a layer that is not declared", ", ".join(strange) or None
    run = next(entity for entity in model if entity.dxftype() == "POLYLINE")
    points = [vertex.dxf.location for vertex in run.vertices]
    low, high = min(point.x for point in points), max(point.x for point in points)
    labels = [entity.plain_text() for entity in model.query("TEXT[layer=='DIMENSIONS']")]
    overall = next(label for label in labels if label.startswith("overall"))
    # `overall 33 (33.000)` in inches, `overall 838.2` in millimetres.
    said = float(overall.rstrip(")").replace("(", " ").split()[-1])
    held = abs(low) < 1e-6 and abs(high - said) < 0.06
    yield "the run is drawn at full size from the origin", None if held else f"{low} to {high}, said {said}"
    extents = bbox.extents(model)
    box = (drawing.header["$EXTMIN"][:2], drawing.header["$EXTMAX"][:2])
    # The header counts the points of texts, not how far they run.
    inside = extents.extmin.x <= box[0][0] + 1e-6 and extents.extmax.x >= box[1][0] - 1e-6
    yield "the header's extents hold", None if inside else f"{extents} {box}"


def main(paths):
    if not paths:
        print(__doc__)
        return 2
    passed = failed = 0
    for path in paths:
        try:
            found = list(checks(path))
        except Exception as error:  # a file that cannot be read is a failed check
            found = [("reads", f"{type(error).__name__}: {error}")]
        for name, fault in found:
            if fault is None:
                passed += 1
                print(f"ok      {Path(path).name}: {name}")
            else:
                failed += 1
                print(f"FAILED  {Path(path).name}: {name}\n{fault}")
    print(f"dxf: {passed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
