"""Coefficients of plates under a load spread evenly, derived anew: Navier's series for held edges, and
bicubic finite elements (Bogner, Fox and Schmit) for rails, corner posts and three held edges. Side a
along x, b along y; w = c q s^4/D, m = M/(q s^2), with s as each row says.

    python plates.py > plates.json        (numpy, scipy; half a minute)
"""
import json, sys
import numpy as np
from scipy.sparse import csc_matrix, kron
from scipy.sparse.linalg import spsolve


def navier(ratio, nu, terms=400):
    """Held edges, short side 1: beta = 6 m and alpha = 12 (1 - nu^2) c at the middle."""
    odd = np.arange(1, terms, 2)
    m, n = np.meshgrid(odd, odd, indexing="ij")
    sign = (-1.0) ** ((m + n) // 2 - 1)
    base = 16 / (np.pi**6 * m * n * ((m / ratio) ** 2 + n**2) ** 2)
    c = (sign * base).sum()
    moment = (sign * base * np.pi**2 * (n**2 + nu * (m / ratio) ** 2)).sum()
    return float(6 * moment), float(12 * (1 - nu**2) * c)


def hermite(x, h):
    """Values and second derivatives of the four cubics of an element at x in 0..h."""
    s = x / h
    f = np.array([1 - 3 * s**2 + 2 * s**3, h * (s - 2 * s**2 + s**3), 3 * s**2 - 2 * s**3, h * (s**3 - s**2)])
    d1 = np.array([(-6 * s + 6 * s**2) / h, 1 - 4 * s + 3 * s**2, (6 * s - 6 * s**2) / h, 3 * s**2 - 2 * s])
    d2 = np.array([(-6 + 12 * s) / h**2, (-4 + 6 * s) / h, (6 - 12 * s) / h**2, (6 * s - 2) / h])
    return f, d1, d2


def line(n, length):
    """Matrices of a line of n elements: value by value, slope by slope, bend by bend, bend by value."""
    h = length / n
    mats = [np.zeros((2 * n + 2, 2 * n + 2)) for _ in range(4)]
    load = np.zeros(2 * n + 2)
    points, weights = np.polynomial.legendre.leggauss(5)
    for e in range(n):
        at = slice(2 * e, 2 * e + 4)
        for p, w in zip(points, weights):
            f, d1, d2 = hermite(0.5 * h * (p + 1), h)
            w *= 0.5 * h
            load[at] += w * f
            for mat, (u, v) in zip(mats, ((f, f), (d1, d1), (d2, d2), (d2, f))):
                mat[at, at] += w * np.outer(u, v)
    return mats, load


class Plate:
    def __init__(self, a, b, nu, n, k=None):
        self.a, self.b, self.nu, self.n, self.k = a, b, nu, n, k or n
        (f, s, d, df), lx = line(self.n, a)
        (g, t, e, eg), ly = line(self.k, b)
        self.K = csc_matrix(kron(d, g) + kron(f, e) + nu * (kron(df, eg.T) + kron(df.T, eg)) + 2 * (1 - nu) * kron(s, t))
        self.load = np.kron(lx, ly)

    def dof(self, i, j, dx=0, dy=0):
        return (2 * i + dx) * (2 * self.k + 2) + 2 * j + dy

    def solve(self, held):
        free = np.setdiff1d(np.arange(len(self.load)), np.array(sorted(held)))
        self.w = np.zeros(len(self.load))
        self.w[free] = spsolve(self.K[free][:, free], self.load[free])
        return self

    def edge_x(self, i):
        """Held along x = const: deflection and its slope along the edge."""
        return {self.dof(i, j, 0, dy) for j in range(self.k + 1) for dy in (0, 1)}

    def edge_y(self, j):
        return {self.dof(i, j, dx, 0) for i in range(self.n + 1) for dx in (0, 1)}

    def c(self, i, j):
        return float(self.w[self.dof(i, j)])

    def moments(self, i, j):
        """Of the nodes i, j: along x and along y, the mean of the elements on both sides."""
        W = self.w.reshape(2 * self.n + 2, 2 * self.k + 2)

        def bend(column, at, count, length):
            h, found = length / count, []
            for e in (at - 1, at):
                if 0 <= e < count:
                    d2 = hermite(h if e < at else 0.0, h)[2]
                    found.append(d2 @ column[2 * e : 2 * e + 4])
            return np.mean(found)

        xx, yy = bend(W[:, 2 * j], i, self.n, self.a), bend(W[2 * i, :], j, self.k, self.b)
        return float(-(xx + self.nu * yy)), float(-(yy + self.nu * xx))

    def greatest(self):
        """Greatest moment between the posts: at the middle of an edge or in the middle."""
        n, k = self.n, self.k
        at = [(n // 2, k // 2), (n // 2, 0), (0, k // 2)]
        return max(max(abs(m) for m in self.moments(*p)) for p in at)


def corner_posts(nu, a=1.0, b=1.0, inset=0.0, n=40):
    p = Plate(a, b, nu, n)
    i, j = round(inset * n), round(inset * n)
    held = {p.dof(x, y) for x in (i, n - i) for y in (j, n - j)}
    p.solve(held)
    return p, n


out = {"edges_held": [[r, *navier(r, 0.3)] for r in (1.0, 1.2, 1.4, 1.6, 1.8, 2.0, 2.5, 3.0, 4.0, 5.0)]}

rows = []
for nu in (0.22, 0.25, 0.30):
    p, n = corner_posts(nu)
    rows.append({"nu": nu, "c_centre": p.c(n // 2, n // 2), "c_edge": p.c(n // 2, 0), "m_centre": p.moments(n // 2, n // 2)[0], "m_edge": p.moments(n // 2, 0)[0]})
out["corner_posts_square"] = rows

# Longer plates, and posts set in: least favourable of middle and edges, over the longer side.
rows = []
for a, inset in ((1.25, 0), (1.5, 0), (2.0, 0), (4.0, 0), (1.0, 0.05), (1.0, 0.1), (1.0, 0.15)):
    p, n = corner_posts(0.22, a, 1.0, inset)
    w = max(abs(p.c(i, j)) for i, j in ((n // 2, n // 2), (n // 2, 0), (0, n // 2)))
    rows.append({"ratio": a, "inset": inset, "c": w / a**4, "m": p.greatest() / a**2})
out["corner_posts_other"] = rows

# Rails under x = 0 and x = a = 1 (the span); b along them.
rows = []
for nu in (0.22, 0.30):
    for along in (0.5, 1.0, 2.0, 4.0):
        n, k = 32, int(32 * max(1.0, along))
        p = Plate(1.0, along, nu, n, k)
        p.solve(p.edge_x(0) | p.edge_x(n))
        rows.append({"nu": nu, "along": along, "c_centre": p.c(n // 2, k // 2), "c_edge": p.c(n // 2, 0), "m_centre": p.moments(n // 2, k // 2)[0], "m_edge": p.moments(n // 2, 0)[0]})
out["two_rails"] = rows

# Three edges held, one of length b = 1 free, the sides beside it a (Roark 11.4 case 2a): beta = 6 m, alpha = 12 (1 - nu^2) c.
rows = []
for ratio in (1.0, 1.25, 1.5):
    n = 40
    p = Plate(1.0, ratio, 0.3, n)
    p.solve(p.edge_x(0) | p.edge_x(n) | p.edge_y(0))
    rows.append({"ratio": ratio, "beta": 6 * p.moments(n // 2, n)[0], "alpha": 12 * (1 - 0.3**2) * p.c(n // 2, n)})
out["three_edges_held"] = rows

# Posts that stand otherwise under a square of side 1, nu = 0.3: the largest deflection. Moments right over a point
# grow with the mesh and are not compared.
rows = []
square = [(x, y) for x in (-0.5, 0.5) for y in (-0.5, 0.5)]
for name, reach, posts in (
    ("four at 0.25", 0.354, [(x / 2, y / 2) for x, y in square]),
    ("four at 0.2", 0.424, [(x * 0.4, y * 0.4) for x, y in square]),
    ("three", 0.559, [(-0.4, -0.4), (0.4, -0.4), (0, 0.4)]),
    ("corners and middle", 0.5, square + [(0, 0)]),
    ("corners and middles of two edges", 0.559, square + [(0, -0.5), (0, 0.5)]),
):
    n = 40
    p = Plate(1.0, 1.0, 0.3, n)
    p.solve({p.dof(round((x + 0.5) * n), round((y + 0.5) * n)) for x, y in posts})
    w = max(abs(p.c(i, j)) for i in range(n + 1) for j in range(n + 1))
    rows.append({"posts": name, "reach": reach, "w": w})
out["reach"] = rows
json.dump(out, sys.stdout, indent=1)
