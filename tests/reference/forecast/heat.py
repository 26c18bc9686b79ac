"""Three full loads by SciPy, from the equations of section 4 alone.

    python reference/heat.py > reference/heat.json

Written apart from the program: surfaces in one global exchange matrix with the chamber as its last
node, numpy throughout, scipy.integrate.solve_ivp (BDF) with finite-difference Jacobians.
Versions: numpy 2.4.6, scipy 1.17.1.
"""
import json, sys, time
import numpy as np
from scipy.integrate import solve_ivp

SIG, R = 5.670374419e-8, 8.314462618
GAS = {
    "Ar": (0.039948, 5 / 3, 0.8, [(300, 22.741, 17.84, 521.5), (600, 38.997, 30.57, 520.6), (900, 51.855, 40.60, 520.4),
                                  (1000, 55.686, 43.58, 520.4), (1200, 62.869, 49.16, 520.4), (1500, 72.755, 56.82, 520.4)]),
    "N2": (0.028014, 1.4, 0.75, [(300, 17.890, 25.97, 1041.4), (600, 29.577, 44.84, 1075.1), (900, 38.780, 60.52, 1145.7),
                                 (1000, 41.543, 65.36, 1167.4), (1200, 46.767, 74.68, 1204.0), (1500, 54.066, 88.01, 1243.9)]),
    "H2": (0.002016, 1.4, 0.3, [(300, 8.938, 186.70, 14312.8), (600, 14.467, 309.04, 14549.3), (900, 19.238, 421.80, 14836.4),
                                (1000, 20.726, 460.39, 14991.9), (1200, 23.581, 539.81, 15371.3), (1500, 27.620, 663.98, 16024.0)]),
}


class Gas:
    def __init__(self, name, pressure, sweep=0.0):
        self.M, self.gamma, self.acc, rows = GAS[name]
        self.T, self.mu, self.k, self.cp = np.array(rows).T
        self.mu, self.k = self.mu * 1e-6, self.k * 1e-3
        self.P, self.sweep = pressure, sweep * self.M * np.interp(300, self.T, self.cp)

    def props(self, T):
        return (np.interp(T, self.T, f) for f in (self.mu, self.k, self.cp))

    def layer(self, T, d):
        mu, k, cp = self.props(T)
        jump = (2 - self.acc) / self.acc * 2 * self.gamma / (self.gamma + 1) * mu / self.P * np.sqrt(np.pi * R * T / 2 / self.M) / (mu * cp / k)
        return k / (d + 2 * jump)

    def nusselt(self, below, above, h):
        if below <= above or self.P <= 3e4:
            return 1.0
        T = (below + above) / 2
        mu, k, cp = self.props(T)
        rho = self.P * self.M / R / T
        Ra = 9.81 / T * (below - above) * h**3 * rho**2 * cp / (mu * k)
        return max(1.0, 0.069 * Ra ** (1 / 3) * (mu * cp / k) ** 0.074)


def f_rect(w1, d1, w2, d2, h):
    total = 0.0
    for i, x in enumerate((-w1 / 2, w1 / 2)):
        for j, y in enumerate((-d1 / 2, d1 / 2)):
            for k, n in enumerate((-d2 / 2, d2 / 2)):
                for l, x2 in enumerate((-w2 / 2, w2 / 2)):
                    u, v = x - x2, y - n
                    p, q = np.hypot(u, h), np.hypot(v, h)
                    g = (v * p * np.arctan(v / p) + u * q * np.arctan(u / q) - h * h / 2 * np.log(u * u + v * v + h * h)) / (2 * np.pi)
                    total += (-1) ** (i + j + k + l) * g
    return total / (w1 * d1)


def f_disc(r1, r2, h):
    a, b = r1 / h, r2 / h
    s = 1 + (1 + b * b) / a**2
    return (s - np.sqrt(s * s - 4 * (r2 / r1) ** 2)) / 2


def rings(shape, N, h):
    c = [np.sqrt(z / N) for z in range(N + 1)]

    def whole(i, j):
        if i == 0 or j == 0:
            return 0.0
        if shape[0] == "rect":
            return i * f_rect(shape[1] * c[i], shape[2] * c[i], shape[1] * c[j], shape[2] * c[j], h)
        return i * f_disc(shape[1] * c[i], shape[1] * c[j], h)

    W = np.array([[whole(i, j) for j in range(N + 1)] for i in range(N + 1)])
    return W[1:, 1:] - W[:-1, 1:] - W[1:, :-1] + W[:-1, :-1]


CP = {"al2o3": ([298, 500, 1000, 1600], [772.9, 1040.8, 1224.9, 1307.2])}
K_AL = ([300, 600, 900, 1300, 1700], [30, 16, 9, 6, 5.5])


class Load:
    """Nodes: T[i]; the chamber face is one more temperature."""

    def __init__(self, stacks, N, e_face=0.8):
        self.N = N
        self.mass, self.kind, self.place = [], [], []  # kind: 'al2o3' or 'steel'
        self.gaps, self.links, self.layers, self.contacts, self.face, self.rim, self.wet = [], [], [], [], [], [], []
        for s, st in enumerate(stacks):
            self.stack(s, st, e_face)
        self.mass = np.array(self.mass)
        self.is_al = np.array([k == "al2o3" for k in self.kind])
        self.wet = np.array(self.wet)

    def add(self, place, m, kind, wet):
        self.mass.append(m); self.kind.append(kind); self.place.append(place); self.wet.append(wet)
        return len(self.mass) - 1

    def stack(self, s, st, e_face):
        N, shape = self.N, st["shape"]
        if shape[0] == "rect":
            A, P = shape[1] * shape[2], 2 * (shape[1] + shape[2])
        else:
            A, P = np.pi * shape[1] ** 2, 2 * np.pi * shape[1]
        half, Az, p = 2 * A / P, A / N, st.get("exposed", 1.0)
        edges = np.sqrt(np.arange(N + 1) / N) * half
        r = (edges[1:] + edges[:-1]) / 2
        L = half - r
        levels = []
        for l, lv in enumerate(st["levels"]):
            t = lv["t"]
            bare = 1 - sum(k["f"] for k in lv["kinds"])
            plate = [self.add((s, l, z, "setter"), Az * t * 3890, "al2o3", Az * (1 + bare)) for z in range(N)]
            parts = []
            for k in lv["kinds"]:
                thick = k["section"] > 0.016
                wet = k["f"] * Az / k.get("ratio", 1 / 3)
                nodes = [self.add((s, l, z, k["name"]), k["m"] / N / (2 if thick else 1), "steel", wet) for z in range(N)]
                for z in range(N):
                    self.contacts.append((nodes[z], plate[z], k["f"] * Az * k.get("fc", 0.5)))
                    if thick:
                        c = self.add((s, l, z, k["name"] + " core"), k["m"] / N / 2, "steel", 0.0)
                        self.links.append((c, nodes[z], k["f"] * Az / (k["section"] / 4), ([300], [k["k"]])))
                parts.append((k, nodes))
            for z in range(N - 1):
                self.links.append((plate[z], plate[z + 1], 2 * np.pi * t / np.log(r[z + 1] / r[z]), K_AL))
            self.rim.append((plate[-1], st.get("e_s", 0.45) * P * t * p * SIG))
            levels.append((lv, plate, parts))
        es = st.get("e_s", 0.45)
        # floor gap
        h = st["h0"]
        V = rings(shape, N, h)
        surf = [(None, Az, e_face)] * N + [(i, Az, es) for i in levels[0][1]]
        F = np.zeros((2 * N + 1, 2 * N + 1))
        F[:N, N : 2 * N] = V
        F[N : 2 * N, :N] = V
        self.close(surf, F, N, range(N), range(N), P * h, p, e_face, None)
        for z, i in enumerate(levels[0][1]):
            self.face.append((i, Az, h, False))
            self.face.append((i, P * h * p * Az / A, L[z], False))
        for l, (lv, plate, parts) in enumerate(levels):
            lower, zone = [], []
            for k, nodes in parts:
                for z in range(N):
                    lower.append((nodes[z], k["f"] * Az, k["e"], k.get("ratio", 1 / 3))); zone.append(z)
            for z in range(N):
                lower.append((plate[z], (1 - sum(k["f"] for k, _ in parts)) * Az, es, None)); zone.append(z)
            top = l + 1 == len(levels)
            n = len(lower)
            if top:
                h = lv["clear"]
                F = np.zeros((n + 1, n + 1))
                F[:n, n] = 1
                for i in range(n):
                    F[n, i] = lower[i][1] / A
                F[n, n] = 1 - F[n, :n].sum()
                self.exchange(lower, F, A, e_face, [i for k, ns in parts for i in ns])
                for i, a, *_ in lower:
                    self.face.append((i, a, h, True))
                continue
            h = lv["clear"] - sum(k["f"] * k["h"] for k, _ in parts)
            V = rings(shape, N, h)
            upper = levels[l + 1][1]
            surf = lower + [(i, Az, es, None) for i in upper]
            F = np.zeros((n + N + 1, n + N + 1))
            for i in range(n):
                F[i, n : n + N] = V[zone[i]]
                for z in range(N):
                    F[n + z, i] = V[z, zone[i]] * lower[i][1] / Az
            self.close(surf, F, n, zone, range(N), P * h, p, e_face, [i for k, ns in parts for i in ns])
            for (i, a, *_), z in zip(lower, zone):
                self.layers.append((i, upper[z], a, h))
                self.face.append((i, P * h * p * a / A, L[z], False))
            for z in range(N):
                self.face.append((upper[z], P * h * p * Az / A, L[z], False))

    def close(self, surf, F, n, zone_low, zone_up, A_open, p, e_face, parts):
        """Openings: what is not seen of the other plate; a share 1 - p is returned by it."""
        N = self.N
        areas = np.array([s[1] for s in surf])
        open_ = 1 - F[:-1, :-1].sum(axis=1)
        for i in range(len(surf)):
            F[i, -1] = open_[i] * p
            back = open_[i] * (1 - p)
            if i < n:
                F[i, n + zone_low[i]] += back
            else:
                z = zone_up[i - n]
                same = [j for j in range(n) if zone_low[j] == z]
                tot = areas[same].sum()
                for j in same:
                    F[i, j] += back * areas[j] / tot
        for i in range(len(surf)):
            F[-1, i] = areas[i] * F[i, -1] / A_open
        F[-1, -1] = 1 - F[-1, :-1].sum()
        self.exchange(surf, F, A_open, e_face, parts)

    def exchange(self, surf, F, A_open, e_face, parts):
        Ks = []
        for state in range(3):
            e = []
            for s in surf:
                if len(s) > 3 and s[3]:
                    e_now = s[2][state] if isinstance(s[2], tuple) else s[2]
                    e.append(1 / (1 + s[3] * (1 / e_now - 1)))
                else:
                    e.append(s[2])
            e = np.array(e + [e_face])
            a = np.array([s[1] for s in surf] + [A_open])
            B = np.linalg.solve(np.eye(len(e)) - F * (1 - e), F * e)
            K = SIG * a[:, None] * e[:, None] * B
            Ks.append((K + K.T) / 2)
        idx = np.array([-1 if s[0] is None else s[0] for s in surf] + [-1])
        self.gaps.append((idx, Ks, parts or []))

    def prepare(self):
        n = len(self.mass)
        self.lists = {k: tuple(np.array(c) for c in zip(*v)) if v else None
                      for k, v in (("layers", self.layers), ("contacts", self.contacts), ("rim", self.rim))}
        self.al = [(a, b, g) for a, b, g, k in self.links if k is K_AL]
        self.core = [(a, b, g * k[1][0]) for a, b, g, k in self.links if k is not K_AL]
        self.al = tuple(np.array(c) for c in zip(*self.al))
        self.core = tuple(np.array(c) for c in zip(*self.core)) if self.core else None
        side = [(i, a, d) for i, a, d, roof in self.face if not roof]
        self.side = tuple(np.array(c) for c in zip(*side))
        self.roof = [(i, a, d) for i, a, d, roof in self.face if roof]
        return n

    def flows(self, T, Tf, gas, sintered, blown=None):
        q = np.zeros(len(T))
        full = np.append(T, Tf)
        out = 0.0
        for idx, Ks, parts in self.gaps:
            K = Ks[0]
            if parts:
                if sintered:
                    K = Ks[2]
                else:
                    x = np.clip((T[parts].mean() - 923.15) / 100, 0, 1)
                    s = x * x * (3 - 2 * x)
                    K = Ks[0] + s * (Ks[1] - Ks[0])
            b = full[idx] ** 4
            w = K @ b - K.sum(axis=1) * b
            node = idx >= 0
            np.add.at(q, idx[node], w[node])
            out += -w[~node].sum()
        i, k = self.lists["rim"]
        w = k * (Tf**4 - T[i.astype(int)] ** 4)
        np.add.at(q, i.astype(int), w); out += w.sum()

        def pair(a, b, g):
            w = g * (T[b] - T[a])
            np.add.at(q, a, w); np.add.at(q, b, -w)

        a, b, g = self.al
        a, b = a.astype(int), b.astype(int)
        pair(a, b, g * np.interp((T[a] + T[b]) / 2, *K_AL))
        if self.core:
            a, b, g = self.core
            pair(a.astype(int), b.astype(int), g)
        a, b, area = self.lists["contacts"]
        a, b = a.astype(int), b.astype(int)
        Tm = (T[a] + T[b]) / 2
        pair(a, b, area * (10 + 1.4 * SIG * Tm**3 + (gas.layer(Tm, 1e-4) if gas else 0)))
        if gas:
            if self.lists["layers"]:
                a, b, area, h = self.lists["layers"]
                a, b = a.astype(int), b.astype(int)
                pair(a, b, area * gas.layer((T[a] + T[b]) / 2, h))
            i, area, d = self.side
            i = i.astype(int)
            w = area * gas.layer((T[i] + Tf) / 2, d) * (Tf - T[i])
            np.add.at(q, i, w); out += w.sum()
            for i, area, d in self.roof:
                w = area * gas.layer((T[i] + Tf) / 2, d) * gas.nusselt(T[i], Tf, d) * (Tf - T[i])
                q[i] += w; out += w
        gasheat = 0.0
        if blown:
            h, Tg = blown
            w = h * self.wet * (Tg - T)
            q += w; gasheat = w.sum()
        return q, out, gasheat

    def cp(self, T):
        return np.where(self.is_al, np.interp(T, *CP["al2o3"]), 428.46 + 0.1816 * T)


COMPONENTS = [("PP", 1.816e13, 214e3, 1.0), ("HDPE", 1.804e13, 220e3, 1.0), ("part order", 1.804e13, 220e3, 0.55), ("evaporating", 7.0e6, 94e3, 0.0)]
Q, A_SINTER, B_SINTER, START, OPEN, FILLED = 280e3, -23.715726, 1.3, 0.6, 0.99, 0.97


class Matter:
    """Binder and density of one place, by fine trapezoids on the dense temperature output."""

    def __init__(self):
        self.I = np.zeros(len(COMPONENTS))
        self.theta, self.end, self.closed = 0.0, OPEN, False

    def density(self):
        phi = np.exp((np.log(self.theta) - A_SINTER) / B_SINTER) if self.theta > 0 else 0.0
        return (START + self.end * phi) / (1 + phi)

    def go(self, t, T, caught):
        for c, (_, A, E, n) in enumerate(COMPONENTS):
            self.I[c] += np.trapezoid(A * np.exp(-E / R / T), t)
        f = np.exp(-Q / R / T) / T
        for k in range(len(t) - 1):
            self.theta += 0.5 * (f[k] + f[k + 1]) * (t[k + 1] - t[k])
            if not self.closed and self.density() >= 0.92:
                self.closed = True
                now = self.density()
                if caught:
                    self.end = FILLED
                    self.theta = np.exp(A_SINTER + B_SINTER * np.log((now - START) / (self.end - now)))

    def row(self):
        left = []
        for I, (_, _, _, n) in zip(self.I, COMPONENTS):
            left.append(float(np.exp(-I) if n == 1 else max(0.0, 1 - (1 - n) * I) ** (1 / (1 - n))))
        return {"left": left, "density": float(self.density())}


def run(load, fur, phases, T0, sp0, places=()):
    """phases: (kind, duration s or None, target K, gas or None, sintered, fan). States: nodes, chamber, [retort], control
    thermocouple, [insulation], [blown gas], setpoint last."""
    n = load.prepare()
    names = ["h"] + (["r"] if "retort" in fur else []) + ["m"] + (["i"] if "insulation" in fur else []) + (["g"] if "fan" in fur else [])
    at = {k: n + j for j, k in enumerate(names)}
    y = np.full(n + len(names), float(T0))
    nfev, took, rows, unload = 0, 0.0, [], {}
    sp, t0, waited = sp0, 0.0, 0.0
    matter = [(i, Matter()) for i in range(n) if load.place[i] in places]

    def split(phases):
        for p in phases:
            if p[0] == "cool" and p[5] and "fan" in fur:
                # Until the fan may run.
                yield ("wait", p[1], fur["fan"]["below"], p[3], p[4], False)
            yield p

    for kind, dur, target, gas, sintered, fan in split(phases):
        beta = 0.0 if kind in ("hold", "cool", "wait") else (target - sp) / dur
        start = sp

        def rhs(t, y, beta=beta, start=start):
            T, Th = y[:n], y[at["h"]]
            Tf = y[at["r"]] if "r" in at else Th
            spt = start + beta * (t - t0)
            blown = None
            if "g" in at and fan and gas and gas.P >= fur["fan"]["pmin"]:
                blown = (fur["fan"]["h"], y[at["g"]])
            q, out, gh = load.flows(T, Tf, gas, sintered, blown)
            d = np.zeros_like(y)
            d[:n] = q / (load.mass * load.cp(T))
            to_gas = blown[0] * fur["face"] * (Tf - y[at["g"]]) if blown else 0.0
            Ta = fur["Ta"]
            path = lambda a, b: fur["U1"] * (a - b) + fur["U4"] * SIG * (a**4 - b**4)
            if "i" in at:
                loss, outer = 2 * path(Th, y[at["i"]]), 2 * path(y[at["i"]], Ta)
                d[at["i"]] = (loss - outer) / fur["insulation"]
            else:
                loss = path(Th, Ta)
            sweep = gas.sweep * (Th - Ta) if gas else 0.0
            if "r" in at:
                rt = fur["retort"]
                across = SIG * rt["A"] * rt["e"] * (Th**4 - Tf**4) + rt["h"] * rt["A"] * (Th - Tf)
                d[at["r"]] = (across - out - to_gas) / rt["C"]
            else:
                across = out + to_gas
            if kind in ("cool", "wait"):
                P = 0.0
            else:
                P = np.clip(fur["C"] * beta + across + loss + sweep + fur["C"] / 60 * (spt - y[at["m"]]), 0, fur["Pmax"])
            d[at["h"]] = (P - across - loss - sweep) / fur["C"]
            d[at["m"]] = (Th - y[at["m"]]) / fur["lag"]
            if "g" in at:
                Tg = y[at["g"]]
                d[at["g"]] = (to_gas - gh - fur["fan"]["ua"] * (Tg - fur["fan"]["water"])) / 30 if blown else (Tf - Tg) / 60
            return d

        events = None
        if kind == "wait":
            e = lambda t, y: (y[at["r"]] if "r" in at else y[at["h"]]) - target
            e.terminal = True
            events = [e]
        if kind == "cool":
            e1 = lambda t, y: y[at["m"]] - target
            e2 = lambda t, y: y[:n].max() - target
            e2.terminal = True
            e1.direction = e2.direction = -1
            events = [e1, e2]
        tic = time.process_time()
        sol = solve_ivp(rhs, (t0, t0 + dur), y, method="BDF", rtol=TOL[0], atol=TOL[1], events=events, first_step=1.0, dense_output=bool(matter))
        took += time.process_time() - tic
        assert sol.success, sol.message
        nfev += sol.nfev
        y = sol.y[:, -1]
        if kind == "wait":
            waited = sol.t[-1] - t0
            t0 = sol.t[-1]
        elif kind == "cool":
            unload = {"chamber_s": sol.t_events[0][0] - t0 + waited, "load_s": sol.t_events[1][0] - t0 + waited}
        else:
            t0 += dur
            sp = target
            for i, m in matter:
                ts = np.arange(t0 - dur, t0 + 1e-6, 5.0)
                m.go(ts, sol.sol(ts)[i], gas is not None and gas.P > 1e4 and gas.M > 0.02)
            rows.append({"matter": [m.row() for _, m in matter], "time_s": t0, "nodes": [round(v, 4) for v in y[:n]], "chamber": round(y[at["h"]], 4)})
    return {"places": [list(p) for p in load.place], "ends": rows, "unload": unload, "nfev": nfev, "seconds": round(took, 2)}


TOL = (1e-8, 1e-6)
C = 273.15
ATM = 101325.0
MOL = lambda l: l / 60e3 * ATM / (R * 298.15)


def ramps(sp, segs, gas, sint_after, fan=False):
    out, now = [], sp
    for rate, to, hold in segs:
        out.append(("ramp", abs(to + C - now) / rate * 60, to + C, gas, False, fan))
        out.append(("hold", hold * 60, to + C, gas, False, fan))
        now = to + C
    return out


def load_a():
    kinds = [dict(name="a", m=1.5, f=0.45, h=0.015, section=0.015, e=0.6)]
    st = dict(shape=("rect", 0.25, 0.25), h0=0.03, levels=[dict(t=0.006, clear=0.034 if l < 5 else 0.03, kinds=kinds) for l in range(6)])
    gas = Gas("N2", ATM, MOL(25))
    fur = dict(C=8000.0, U1=2.0, U4=0.012, Pmax=25e3, Ta=298.0, lag=30.0, face=0.7)
    ph = ramps(298.15, [(2, 300, 60), (2, 450, 90), (5, 1000, 30), (5, 1360, 90)], gas, 3)
    ph.append(("cool", 40 * 3600.0, 80 + C, Gas("N2", ATM), True, False))
    return Load([st], 4), fur, ph, 298.0, 298.15


def load_b():
    e = (0.8, 0.6, 0.35)
    ks = [dict(name="a", m=0.5, f=0.25, h=0.012, section=0.012, e=e), dict(name="b", m=0.9, f=0.30, h=0.03, section=0.024, e=e, k=2.0, fc=0.3, ratio=0.25)]
    st = dict(shape=("disc", 0.12), h0=0.025, levels=[dict(t=0.008, clear=0.045 if l < 2 else 0.04, kinds=ks) for l in range(3)])
    gas = Gas("H2", ATM, MOL(30))
    fur = dict(C=12000.0, U1=4.0, U4=0.016, Pmax=12e3, Ta=298.0, lag=45.0, face=0.5, insulation=25e3, retort=dict(A=0.6, e=0.3, h=5.0, C=5000.0))
    ph = ramps(298.15, [(1, 350, 60), (3, 1050, 45), (6, 1380, 60)], gas, 2)
    ph.append(("cool", 80 * 3600.0, 80 + C, Gas("Ar", 8e4), True, False))
    return Load([st], 3), fur, ph, 298.15, 298.15


def load_c():
    ks = [dict(name="a", m=0.7, f=0.4, h=0.015, section=0.01, e=0.6)]
    mk = lambda n, x: dict(shape=("rect", 0.2, 0.12), h0=0.02, exposed=x, e_s=0.5, levels=[dict(t=0.005, clear=0.03 if l < n - 1 else 0.05, kinds=ks if l % 2 == 0 else []) for l in range(n)])
    gas = Gas("Ar", 5000.0, MOL(10))
    fur = dict(C=9000.0, U1=3.0, U4=0.02, Pmax=20e3, Ta=298.0, lag=30.0, face=0.8, fan=dict(h=25.0, ua=40.0, water=293.0, pmin=5e4, below=900.0))
    ph = ramps(298.15, [(4, 400, 30), (8, 1300, 30)], gas, 1)
    ph.append(("cool", 60 * 3600.0, 60 + C, Gas("N2", 9e4), True, True))
    return Load([mk(4, 0.75), mk(3, 0.75)], 4), fur, ph, 298.15, 298.15


if __name__ == "__main__":
    out = {}
    for name, make in (("a", load_a), ("b", load_b), ("c", load_c)):
        TOL = (1e-8, 1e-6)
        places = [(0, 2, 0, "a"), (0, 5, 3, "a")] if name == "a" else ()
        out[name] = run(*make(), places)
        TOL = (1e-5, 1e-2)
        loose = run(*make())
        worst = max(abs(u - v) for r, s in zip(out[name]["ends"], loose["ends"]) for u, v in zip(r["nodes"], s["nodes"]))
        out[name]["at_program_tolerance"] = {"nfev": loose["nfev"], "seconds": loose["seconds"], "worst_k": round(worst, 5)}
        print(name, out[name]["unload"], out[name]["at_program_tolerance"], out[name]["nfev"], file=sys.stderr)
    json.dump(out, sys.stdout)
