"""Figures that the code types in, derived anew: zeros of J0, one-term coefficients, pre-exponential
factors, diffusion, Θ, and the plate coefficients that the creep bow rests on.

    python reference/coefficients.py > reference/coefficients.json
"""
import json, sys
import numpy as np
from scipy import special, optimize, integrate

R = 8.314462618
out = {"j0_zeros": [float(z) for z in special.jn_zeros(0, 12)]}

# Crank by finite volumes instead of the series: implicit, fine, Richardson in time and space.
def diffuse(shape, fo, cells, steps):
    d = {"slab": 0, "cylinder": 1, "sphere": 2}[shape]
    edges = np.linspace(0, 1, cells + 1)
    vol = (edges[1:] ** (d + 1) - edges[:-1] ** (d + 1)) / (d + 1)
    area = edges**d
    h = 1 / cells
    A = np.zeros((cells, cells))
    for i in range(cells):
        if i > 0:
            g = area[i] / h
            A[i, i] -= g / vol[i]; A[i, i - 1] += g / vol[i]
        if i < cells - 1:
            g = area[i + 1] / h
            A[i, i] -= g / vol[i]; A[i, i + 1] += g / vol[i]
        else:
            A[i, i] -= area[i + 1] / (h / 2) / vol[i]
    c = np.ones(cells)
    w, V = np.linalg.eig(A)
    c = (V @ (np.exp(w * fo) * np.linalg.solve(V, c))).real
    return float((c * vol).sum() / vol.sum()), float(1.5 * c[0] - 0.5 * c[1]) if d == 0 else float(c[0] + (c[0] - c[1]) / 8)

rows = []
for shape in ("slab", "cylinder", "sphere"):
    for fo in (0.01, 0.05, 0.1, 0.3):
        a, b = diffuse(shape, fo, 150, 0), diffuse(shape, fo, 300, 0)
        rows.append([shape, fo, b[0] + (b[0] - a[0]) / 3, b[1]])
out["diffusion"] = rows

# Pre-exponential factors: peak of the rate in a ramp of 10 K/min found by integration, not by Kissinger.
def peak(A, E):
    beta = 10 / 60
    T = np.linspace(300, 900, 60001)
    k = A * np.exp(-E / R / T)
    I = integrate.cumulative_trapezoid(k, T, initial=0) / beta
    return float(T[np.argmax(k * np.exp(-I))] - 273.15)
out["peaks_c"] = [[n, A, E, peak(A, E)] for n, A, E in (("PP", 1.816e13, 214e3), ("HDPE", 1.804e13, 220e3), ("LDPE", 2.304e11, 191e3), ("wax", 8.746e5, 90e3), ("stearic", 7.0e6, 94e3), ("PMMA", 4.05e11, 168e3))]

# Θ of a ramp by quadrature.
def theta(Q, to, rate):
    f = lambda T: np.exp(-Q / R / T) / T
    return float(np.log(integrate.quad(f, 298.15, to, epsabs=0, epsrel=1e-12, points=[to - 50])[0] / rate))
out["ln_theta"] = [[Q, to, rate, theta(Q, to, rate)] for Q, to, rate in ((300e3, 1633.15, 5 / 60), (250e3, 1523.15, 20 / 60), (440e3, 1773.15, 10 / 60))]

# Vapour pressures and the evaporation bound, with the equilibrium of chromia, in plain numbers.
p = lambda A, B, C, D, T: 10 ** (A + B / T + C * np.log10(T) + D * T / 1000) * 101325
out["vapour_pa_1633"] = {"Cr": float(p(6.8, -20733, 0.4391, -0.4094, 1633.15)), "Mn": float(p(12.805, -15097, -1.7896, 0, 1633.15)), "Cu": float(p(5.849, -16415, 0, 0, 1633.15))}
out["chromia"] = [[c, float(np.exp(-(367640 - 79.77 * (c + 273.15)) / R / (c + 273.15)) ** (1 / 3))] for c in (900, 1200, 1360)]
json.dump(out, sys.stdout, indent=1)
