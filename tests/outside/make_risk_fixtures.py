"""Percentiles of triangular costs by scipy, as figures for offtake's seeded draws.

    python make_risk_fixtures.py

One variable by its inverse distribution; a sum of two by numeric convolution of their densities.
The figures are quoted in tests/worked/risk.rs. Made with scipy 1.17, numpy 2, Python 3.11.
"""

import numpy
import scipy
from scipy import stats
from scipy.signal import fftconvolve


def triangle(amount, low, high):
    return stats.triang(c=(1 - low) / (high - low), loc=amount * low, scale=amount * (high - low))


def of_sum(first, second, levels):
    step = 1e-4
    ends = [(it.ppf(0), it.ppf(1)) for it in (first, second)]
    densities = [it.pdf(numpy.arange(low, high, step) + step / 2) for it, (low, high) in zip((first, second), ends)]
    density = fftconvolve(*densities) * step
    reached = numpy.cumsum(density) * step
    start = ends[0][0] + ends[1][0] + step
    return [start + step * int(numpy.searchsorted(reached, level)) for level in levels]


levels = [0.5, 0.8, 0.9]
print("scipy", scipy.__version__, "numpy", numpy.__version__)
print("tube 40.79, 0.8 to 1.4:", [round(float(triangle(40.79, 0.8, 1.4).ppf(it)), 4) for it in levels])
print("with a cap 8.00, 0.5 to 3:", [round(float(it), 4) for it in of_sum(triangle(40.79, 0.8, 1.4), triangle(8.0, 0.5, 3.0), levels)])
