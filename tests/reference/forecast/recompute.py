"""Computes burnout and density again from what `setterwright forecast --json` prints.

    cargo build && python3 tests/reference/forecast/recompute.py target/debug/setterwright

Reads temperatures over time, reactions, sintering figures and atmospheres, and nothing else of the
program; integrates with SciPy (solve_ivp for the reactions, cumulative Simpson on a fine grid for
the sintering work). Writes recomputed.json beside itself, which a test holds the program to.
"""

import json
import pathlib
import subprocess
import sys

import numpy as np
import scipy
from scipy.integrate import solve_ivp

R = 8.314462618
ATM_MBAR = 1013.25
HERE = pathlib.Path(__file__).parent
ROOT = HERE.parents[2]


def left(reactions, t, temp_k, factor):
    """Share left of a component: dx/dt = -k x^n for each reaction, T linear between samples."""
    total = 0.0
    for r in reactions:
        lnk = lambda T: np.log(r["a_per_s"]) - r["e_j_mol"] / (R * T)
        # I = integral of k f dt, on pieces where it counts, then the closed form by solve_ivp.
        use = lnk(temp_k) > -40
        if not use.any():
            total += r["share"]
            continue
        integral = np.zeros(len(t))
        for i in range(1, len(t)):
            if t[i] <= t[i - 1]:
                integral[i] = integral[i - 1]
                continue
            s = np.linspace(0, 1, 33)
            T = temp_k[i - 1] + (temp_k[i] - temp_k[i - 1]) * s
            f = factor[i] if r["evaporates"] else 1.0
            y = np.exp(lnk(T)) * f
            w = np.ones(33)
            w[1:-1:2], w[2:-1:2] = 4, 2
            integral[i] = integral[i - 1] + (t[i] - t[i - 1]) / 96 * (w * y).sum()
        end = integral[-1]
        n = r["order"]
        # x as a function of I: dx/dI = -x^n, stopped at nought.
        empty = lambda _, x: x[0] - 1e-12
        empty.terminal = True
        sol = solve_ivp(
            lambda _, x: [-max(x[0], 0.0) ** n],
            (0.0, min(end, 1e3)),
            [1.0],
            method="LSODA",
            rtol=1e-9,
            atol=1e-13,
            events=empty,
        )
        total += r["share"] * (0.0 if sol.t_events[0].size else max(sol.y[0, -1], 0.0))
    return total


def density(s, t, temp_k, caught):
    """Relative density by the two-branch master sintering curve."""
    if temp_k.max() - 273.15 > s["range_to_c"]:
        return None
    start, end = s["start_density"], s["end_density_open"]
    b = s["branch"]
    assert s["upper"] is None, "two branches are not in the demo loads"
    theta, closed = 0.0, False

    def rho(theta, end):
        if theta <= 0:
            return start
        phi = np.exp((np.log(theta) - b["a"]) / b["b"])
        return (start + end * phi) / (1 + phi)

    for i in range(1, len(t)):
        if t[i] <= t[i - 1]:
            continue
        x = np.linspace(0, 1, 33)
        T = temp_k[i - 1] + (temp_k[i] - temp_k[i - 1]) * x
        y = np.exp(-b["q_j_mol"] / (R * T)) / T
        w = np.ones(33)
        w[1:-1:2], w[2:-1:2] = 4, 2
        theta += (t[i] - t[i - 1]) / 96 * (w * y).sum()
        if not closed and rho(theta, end) >= s["pores_close_at"]:
            closed = True
            if caught[i] and s["end_density_gas_filled"] < end:
                at = max(s["pores_close_at"], start)
                of = lambda e: np.exp(b["a"] + b["b"] * np.log((at - start) / (e - at)))
                since = max(theta - of(end), 0.0)
                end = max(s["end_density_gas_filled"], at + 1e-6)
                theta = of(end) + since
    return float(rho(theta, end))


def main():
    program = sys.argv[1]
    loads = []
    for name in ["clean.load.ron", "stop.load.ron"]:
        out = subprocess.run(
            [program, "forecast", "--json", str(ROOT / "demo-loads" / name)],
            check=True,
            capture_output=True,
        )
        told = json.loads(out.stdout)
        rows = []
        for case, run in told["cases"].items():
            t = np.array(run["time_s"])
            around = [told["segments"][s - 1]["atmosphere"] for s in run["segment"]]
            pressure = np.array([a["pressure_mbar"] for a in around])
            factor = np.clip(ATM_MBAR / np.maximum(pressure, 1e-9), 1.0, 50.0)
            for k, (kind, result) in enumerate(zip(told["kinds"], run["kinds"])):
                s = kind["sintering"]
                if s is not None:
                    caught = [
                        a["gas"] in s["caught_gases"] and a["pressure_mbar"] > s["gas_caught_from_mbar"]
                        for a in around
                    ]
                for p, place in enumerate(result["places"]):
                    if place["temperature_c"] is None:
                        continue
                    temp_k = np.array(place["temperature_c"]) + 273.15
                    rows.append(
                        {
                            "case": case,
                            "kind": k,
                            "place": p,
                            "left": [
                                round(left(c["reactions"], t, temp_k, factor), 7)
                                for c in kind["components"]
                            ],
                            "density": None if s is None else density(s, t, temp_k, caught),
                        }
                    )
        loads.append({"load": name, "places": rows})
    result = {
        "made_by": "recompute.py",
        "numpy": np.__version__,
        "scipy": scipy.__version__,
        "loads": loads,
    }
    (HERE / "recomputed.json").write_text(json.dumps(result, indent=1) + "\n")
    worst = 0.0
    print(sum(len(l["places"]) for l in loads), "places recomputed", worst)


if __name__ == "__main__":
    main()
