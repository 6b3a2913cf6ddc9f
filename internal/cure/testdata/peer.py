"""The standard case of bench_test.go by a general solver, for comparison.

Reads one JSON object on stdin: the case's cells, numbers and the accuracy to
reach; writes one JSON object: for each method the loosest tolerance that
reaches it, the error there and the best time of a solve. Needs numpy and
scipy (tried with 1.10.1). The peer gets what it can use: numpy arrays over all
cells, a band for LSODA, a sparsity pattern for BDF.
"""
import json
import sys
import time

import numpy as np
import scipy
from scipy.integrate import solve_ivp

case = json.load(sys.stdin)
n, N = case["part_cells"], case["cells"]
low, up, share = (np.array(case[k]) for k in ("low", "up", "share"))
air, rise, lnk, ec, b = (case[k] for k in ("air", "rise", "ln_k", "e_over_r", "b"))
start = np.array(case["start"])

# Cells interleave, T0 a0 T1 a1 …, so that the Jacobian is a band.
at_t = np.concatenate([2 * np.arange(n), 2 * n + np.arange(N - n)])
at_a = 2 * np.arange(n) + 1
size = N + n


def rates(t, y):
    temp, conv = y[at_t], y[at_a]
    next_ = np.append(temp[1:], air)
    flow = temp - next_
    d = -flow * up
    d[1:] += flow[:-1] * low[1:]
    left = np.maximum(1 - conv, 0)
    r = np.exp(lnk - ec / temp[:n]) * (1 + b * conv) * left * left
    d[:n] += rise * r
    out = np.empty(size)
    out[at_t], out[at_a] = d, r
    return out


y0 = np.zeros(size)
y0[at_t] = start
pattern = np.zeros((size, size), dtype=bool)
for i in range(N):
    for j in (i - 1, i, i + 1):
        if 0 <= j < N:
            pattern[at_t[i], at_t[j]] = True
for i in range(n):
    for p, q in ((at_t[i], at_a[i]), (at_a[i], at_t[i]), (at_a[i], at_a[i])):
        pattern[p, q] = True
rows, cols = np.nonzero(pattern)
band = dict(lband=int((rows - cols).max()), uband=int((cols - rows).max()))
grid = np.array(case["times"])


def solve(method, tol, at=None):
    options = dict(rtol=tol, atol=np.where(np.isin(np.arange(size), at_a), tol, 20 * tol))
    options.update(band if method == "LSODA" else dict(jac_sparsity=pattern))
    return solve_ivp(rates, (0, grid[-1]), y0, method=method, t_eval=at, **options).y


def error(y, exact):
    core = np.abs(y[at_t[0]] - exact[at_t[0]]).max() / 20
    conv = np.abs(y[at_a] - exact[at_a]).max()
    return float(max(core, conv))


exact = solve("LSODA", 1e-10, grid)
out = {"scipy": scipy.__version__, "methods": {}}
out["own_error"] = error(np.array(case["own"]).T, exact)
for method in ("BDF", "LSODA"):
    for tol in 10.0 ** np.arange(-2.5, -8, -0.25):
        err = error(solve(method, tol, grid), exact)
        if err <= out["own_error"]:
            break
    best = float("inf")
    for _ in range(case["repeats"]):
        began = time.perf_counter()
        solve(method, tol)
        best = min(best, time.perf_counter() - began)
    out["methods"][method] = {"tol": float(tol), "error": err, "seconds": best}
json.dump(out, sys.stdout)
