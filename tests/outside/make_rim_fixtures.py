"""Writes tests/data/rim_heights.json: rims of collars by scipy, on formulations of its own.

The length law as an incomplete elliptic integral of the second kind (a plane through the axis of
the branch cuts the run in an ellipse); the other laws by adaptive quadrature over the distance
from the axis; pilots and level ovals by bracketing. Lengths in inches, angles in degrees.

Run with the versions named in the file:  python tests/outside/make_rim_fixtures.py
"""

import json
import math
import pathlib

import numpy
import scipy
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.special import ellipeinc

OUT = pathlib.Path(__file__).parent.parent / "data" / "rim_heights.json"
MADE_BY = {
    "script": "tests/outside/make_rim_fixtures.py",
    "scipy": scipy.__version__,
    "numpy": numpy.__version__,
}
POWER = {"uniaxial": 0.5, "length": 0.0, "thickness": 1.0}


def rim(law, outer, radius, pilot, angle):
    """Height of the rim above the surface of the run."""
    sine = math.sin(angle)
    if law == "length" and sine > 0.0:
        end, start = (math.asin(rho * sine / outer) for rho in (radius, pilot))
        share = math.cos(angle) ** 2
        return outer / sine * (ellipeinc(end, share) - ellipeinc(start, share))

    def piece(rho):
        slope = rho * sine**2 / math.sqrt(outer**2 - (rho * sine) ** 2)
        return (rho / radius) ** POWER[law] * math.hypot(1.0, slope)

    return quad(piece, pilot, radius, epsabs=1e-13, epsrel=1e-12)[0]


def fall(outer, radius, angle):
    return outer - math.sqrt(outer**2 - (radius * math.sin(angle)) ** 2)


def level_across(outer, radius, pilot):
    """Half axis across the run that levels the rim, or None."""
    square = math.pi / 2
    wanted = rim("uniaxial", outer, radius, pilot, 0.0) + fall(outer, radius, square)

    def short(across):
        return wanted - rim("uniaxial", outer, radius, across, square)

    return None if short(0.0) > 0.0 else brentq(short, 0.0, radius, xtol=1e-14)


def pilot_for(height, mean):
    """Pilot over mean diameter for a height, by the integral of the uniaxial law itself."""

    def short(ratio):
        made = quad(lambda rho: math.sqrt(rho / (mean / 2)), ratio * mean / 2, mean / 2)[0]
        return made - height

    return brentq(short, 0.0, 1.0, xtol=1e-15)


def rows():
    # Outside diameters and walls of ASTM B88 type L: 2 x 1, 3 x 2, 1 x 1/2, 4 x 1-1/4, 2 x 1-1/2.
    for run, run_wall, branch, branch_wall in [
        (2.125, 0.070, 1.125, 0.050),
        (3.125, 0.090, 2.125, 0.070),
        (1.125, 0.050, 0.625, 0.040),
        (4.125, 0.110, 1.375, 0.055),
        (2.125, 0.070, 1.625, 0.060),
    ]:
        outer, mean = run / 2, branch + 0.006 + run_wall
        radius = mean / 2
        ratio = pilot_for(3 * branch_wall, mean)
        pilot = ratio * radius
        heights = [
            {"angle": angle, "law": law, "height": rim(law, outer, radius, pilot, math.radians(angle))}
            for angle in (0, 15, 30, 45, 60, 75, 90)
            for law in POWER
        ]
        falls = [fall(outer, radius, math.radians(angle)) for angle in (0, 30, 60, 90)]
        yield {
            "outer": outer, "radius": radius, "wall": run_wall, "height": 3 * branch_wall,
            "ratio": ratio, "falls": falls, "heights": heights,
            "level_across": level_across(outer, radius, pilot),
        }


lines = ",\n".join("  " + json.dumps(row) for row in rows())
OUT.write_text(f'{{"made_by": {json.dumps(MADE_BY)},\n"rows": [\n{lines}\n]}}\n')
