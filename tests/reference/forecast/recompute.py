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
import tempfile

import numpy as np
import scipy
from scipy.integrate import solve_ivp

R = 8.314462618
ATM_MBAR = 1013.25
HERE = pathlib.Path(__file__).parent
ROOT = HERE.parents[2]


def simpson(t, temp_k, of):
    """Integral of of(T) from the start to each sample, T linear between samples."""
    s = np.linspace(0, 1, 33)
    w = np.ones(33)
    w[1:-1:2], w[2:-1:2] = 4, 2
    grid = temp_k[:-1, None] + (temp_k[1:] - temp_k[:-1])[:, None] * s
    steps = np.maximum(t[1:] - t[:-1], 0.0)
    return np.concatenate([[0.0], np.cumsum(steps / 96 * (of(grid) * w).sum(axis=1))])


def left(reactions, t, temp_k, factor, at):
    """Share left of a component at samples: dx/dt = -k x^n for each reaction."""
    total = np.zeros(len(at))
    for r in reactions:
        pressure = (factor[1:] if r["evaporates"] else np.ones(len(t) - 1))[:, None]
        k = lambda T: r["a_per_s"] * np.exp(-r["e_j_mol"] / (R * T)) * pressure
        integral = simpson(t, temp_k, k)[at]
        n = r["order"]
        # x as a function of I: dx/dI = -x^n, stopped at nought.
        empty = lambda _, x: x[0] - 1e-12
        empty.terminal = True
        sol = solve_ivp(
            lambda _, x: [-max(x[0], 0.0) ** n],
            (0.0, max(min(integral[-1], 1e3), 1e-9)),
            [1.0],
            method="LSODA",
            rtol=1e-9,
            atol=1e-13,
            events=empty,
            dense_output=True,
        )
        gone = integral >= sol.t[-1] if sol.t_events[0].size or integral[-1] > 1e3 else integral < 0
        x = np.maximum(sol.sol(np.minimum(integral, sol.t[-1]))[0], 0.0)
        total += r["share"] * np.where(gone, 0.0, x)
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


# Demo loads, and what a script changes of them: holds so short that binder is left when they end.
LOADS = [
    ("clean.load.ron", ""),
    ("stop.load.ron", ""),
    ("clean.load.ron", "change-segment segment=3 hold=10min wait=none\n"),
]


def told_of(program, name, script):
    load = ROOT / "demo-loads" / name
    with tempfile.TemporaryDirectory() as folder:
        if script:
            file = pathlib.Path(folder) / "change.script"
            file.write_text(script)
            changed = pathlib.Path(folder) / "changed.load.ron"
            edit = [program, "edit", str(load), "--script", str(file), "--output", str(changed), "--overwrite"]
            subprocess.run(edit, check=True, capture_output=True)
            load = changed
        out = subprocess.run([program, "forecast", "--json", str(load)], check=True, capture_output=True)
    return json.loads(out.stdout)


def main():
    program = sys.argv[1]
    loads, counted, off_left, off_density = [], 0, 0.0, 0.0
    for name, script in LOADS:
        told = told_of(program, name, script)
        rows = []
        for case, run in told["cases"].items():
            t = np.array(run["time_s"])
            # The last sample of each phase.
            at = [int(np.searchsorted(t, e["time_s"], side="right")) - 1 for e in run["phase_ends"]]
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
                shares = [c["share_of_entering_mass"] for c in kind["components"]]
                again = []
                for place in result["places"]:
                    temp_k = np.array(place["temperature_c"]) + 273.15
                    again.append(
                        np.array([left(c["reactions"], t, temp_k, factor, at) for c in kind["components"]])
                    )
                # The places that are worst off at some end of a phase, and the last of all.
                worst = set([len(again) - 1] if again else [])
                if shares:
                    whole = np.array([np.dot(shares, a) for a in again])
                    worst |= set(int(p) for p in whole.argmax(axis=0))
                for p in sorted(worst):
                    place = result["places"][p]
                    temp_k = np.array(place["temperature_c"]) + 273.15
                    rho = None if s is None else density(s, t, temp_k, caught)
                    for c, row in enumerate(again[p]):
                        ours = [e["left"][c] for e in place["at_ends"]]
                        off_left = max(off_left, float(np.abs(row - ours).max()))
                        counted += int((row > 0.001).sum())
                    if rho is not None and place["density"] is not None:
                        off_density = max(off_density, abs(rho - place["density"]))
                    rows.append(
                        {
                            "case": case,
                            "kind": k,
                            "place": p,
                            "left_at_ends": [[round(float(x), 7) for x in row] for row in again[p]],
                            "density": rho,
                        }
                    )
        loads.append({"load": name, "script": script, "places": rows})
    result = {
        "made_by": "recompute.py",
        "numpy": np.__version__,
        "scipy": scipy.__version__,
        "loads": loads,
    }
    (HERE / "recomputed.json").write_text(json.dumps(result) + "\n")
    places = sum(len(l["places"]) for l in loads)
    print(f"{places} places, {counted} shares above 0.1 %")
    print(f"farthest from the program: share left {off_left:.1e}, density {off_density:.1e}")


if __name__ == "__main__":
    main()
