"""Numbers recorded in independent_test.go: the layered model by
another discretization and solver.

Nodes on a uniform mesh (not cells), interfaces by a node with half of each
layer, scipy.integrate.solve_ivp(method="BDF", rtol=1e-8). Run: python3 check.py
"""
import numpy as np
import scipy
from scipy.integrate import solve_ivp
from scipy.sparse import lil_matrix

R_GAS = 8.314462618


def run(r, s, part, heat, law, walls, h, air, start, wall0, end, ready=0.9, n=400, m=200):
    """Nodes 0..n in the part, m more in each wall; weights by control volumes."""
    k_b, e, b, order, tb = law
    x = list(np.linspace(0, r, n + 1))
    seg = [part] * n
    for d, stuff in walls:
        x += list(x[-1] + d * np.arange(1, m + 1) / m)
        seg += [stuff] * m
    x = np.array(x)
    mid = (x[1:] + x[:-1]) / 2
    k = np.array([q[0] for q in seg])
    rc = np.array([q[1] * q[2] for q in seg])
    g = k * mid ** (s - 1) / np.diff(x)
    left = (mid**s - x[:-1] ** s) / s  # volume of a segment's inner half
    right = (x[1:] ** s - mid**s) / s
    cap = np.zeros(len(x))
    cap[:-1] += rc * left
    cap[1:] += rc * right
    vol = np.zeros(n + 1)
    vol[:-1] += left[:n]
    vol[1:] += right[:n]
    source = part[1] * heat * vol
    out = h * x[-1] ** (s - 1)
    size, p = len(x), n + 1

    def f(t, y):
        temp, a = y[:size], y[size:]
        rate = k_b * np.exp(-e / R_GAS * (1 / temp[:p] - 1 / tb)) * (1 + b * a) * np.maximum(1 - a, 0) ** order
        flow = g * np.diff(temp)
        d = np.zeros(size)
        d[:-1] += flow
        d[1:] -= flow
        d[-1] += out * (air - temp[-1])
        d[:p] += source * rate
        return np.concatenate([d / cap, rate])

    pattern = lil_matrix((size + p, size + p))
    for i in range(size):
        for j in (i - 1, i, i + 1):
            if 0 <= j < size:
                pattern[i, j] = 1
    for i in range(p):
        pattern[i, size + i] = pattern[size + i, i] = pattern[size + i, size + i] = 1
    temp0 = np.concatenate([np.full(p, start), np.full(size - p, wall0)])
    if walls:  # the node between takes the mean of its halves
        inner, outer = rc[n - 1] * right[n - 1], rc[n] * left[n]
        temp0[n] = (inner * start + outer * wall0) / (inner + outer)
    y0 = np.concatenate([temp0, np.zeros(p)])

    def done(t, y):
        return y[size:].min() - ready

    sol = solve_ivp(f, (0, end), y0, method="BDF", rtol=1e-8, atol=1e-8, jac_sparsity=pattern, events=done, dense_output=True)
    t = np.linspace(0, sol.t[-1], 200001)
    core = np.concatenate([sol.sol(q)[[0, size]] for q in np.array_split(t, 100)], axis=1)
    gel = np.interp(0.6, core[1], t)
    return dict(gel_core=round(float(gel), 3), demold=round(float(sol.t_events[0][0]), 3), peak=round(float(core[0].max()), 3))


part = (0.2, 1050.0, 1850.0)
silicone = (0.23, 1200.0, 1350.0)
plaster = (0.4, 1100.0, 1050.0)
law = (7.32e-4, 57e3, 3.0, 2, 296.15)
soft = (6.6e-5, 50e3, 20.0, 1, 296.15)
print("scipy", scipy.__version__)
print("plate", run(0.0125, 1, part, 200e3, law, [(0.010, silicone)], 9, 296.15, 296.15, 296.15, 1000))
print("rod in two walls", run(0.008, 2, part, 180e3, law, [(0.006, silicone), (0.020, plaster)], 9, 294.15, 294.15, 294.15, 2000))
print("ball, bare", run(0.020, 3, part, 200e3, law, [], 9, 296.15, 296.15, 296.15, 1000))
print("warm mold", run(0.003, 1, part, 200e3, law, [(0.010, silicone)], 9, 294.15, 294.15, 313.15, 1000))
print("silicone", run(0.010, 1, (0.23, 1110.0, 1350.0), 10e3, soft, [], 9, 291.15, 291.15, 291.15, 8000))
