#!/usr/bin/python3
"""A competent NumPy drift: blended field once a step, bilinear places, second-order steps, a mask for dangers.

  tests/bench/drift.py BENCH   prints particle-steps a second of both and their ratio, one thread each
"""
import os
import subprocess
import sys
import time

os.environ["OMP_NUM_THREADS"] = "1"
import numpy as np  # noqa: E402

PARTICLES, STEPS, DT = 50_000, 120, 60.0
SPACING, HALF, SLICE = 463.0, 20_000.0, 600.0


def field():
    n = int(2 * HALF / SPACING) + 2
    x = np.arange(n, dtype=np.float32) * SPACING - HALF
    gx, gy = np.meshgrid(x, x)
    w = 1.405e-4
    t = np.arange(40) * SLICE
    u = np.stack([0.9 * np.cos(w * s + 1e-5 * gx) for s in t]).astype(np.float32)
    v = np.stack([0.7 * np.sin(w * s) + 1e-5 * gy for s in t]).astype(np.float32)
    return u, v


def at(slice_u, slice_v, x, y):
    gx, gy = (x + HALF) / SPACING, (y + HALF) / SPACING
    i, j = gx.astype(np.int32), gy.astype(np.int32)
    fx, fy = gx - i, gy - j
    n = slice_u.shape[1]
    flat = j * n + i
    wa, wb, wc, wd = (1 - fx) * (1 - fy), fx * (1 - fy), (1 - fx) * fy, fx * fy
    out = []
    for s in (slice_u.ravel(), slice_v.ravel()):
        out.append(wa * s[flat] + wb * s[flat + 1] + wc * s[flat + n] + wd * s[flat + n + 1])
    return out


def run(u, v, mask, random):
    x = np.zeros(PARTICLES, np.float32)
    y = np.zeros(PARTICLES, np.float32)
    factor = (1 + 0.25 * random.standard_normal(PARTICLES)).astype(np.float32)
    turn = np.deg2rad(20 * random.standard_normal(PARTICLES)).astype(np.float32)
    c, s = factor * np.cos(turn), factor * np.sin(turn)
    lee_x, lee_y = np.float32(0.19), np.float32(0.11)
    before_u = before_v = None
    hits = 0
    for k in range(STEPS):
        g = k * DT / SLICE
        a, f = int(g), np.float32(g - int(g))
        su, sv = u[a] + f * (u[a + 1] - u[a]), v[a] + f * (v[a + 1] - v[a])
        eu, ev = at(su, sv, x, y)
        nu, nv = c * eu - s * ev + lee_x, s * eu + c * ev + lee_y
        if before_u is None:
            before_u, before_v = nu, nv
        walk = random.random((2, PARTICLES), dtype=np.float32) - np.float32(0.5)
        x += np.float32(DT) * (np.float32(1.5) * nu - np.float32(0.5) * before_u) + np.float32(38) * walk[0]
        y += np.float32(DT) * (np.float32(1.5) * nv - np.float32(0.5) * before_v) + np.float32(38) * walk[1]
        before_u, before_v = nu, nv
        hits += int(mask[((y + HALF) / 50).astype(np.int32), ((x + HALF) / 50).astype(np.int32)].sum())
    return hits


def main(bench):
    u, v = field()
    random = np.random.default_rng(1)
    mask = random.random((801, 801)) < 0.02
    times = []
    for _ in range(5):
        begin = time.perf_counter()
        run(u, v, mask, random)
        times.append(time.perf_counter() - begin)
    numpy_rate = PARTICLES * STEPS / sorted(times)[2]
    rate, level = subprocess.run([bench, "--rate"], check=True, capture_output=True, text=True).stdout.split()
    bar = {"AVX-512": 12, "AVX2": 8}.get(level)
    print(f"drift against NumPy, one thread, {level}: {float(rate) / 1e6:.0f} against {numpy_rate / 1e6:.1f} million "
          f"particle-steps a second, {float(rate) / numpy_rate:.1f} times"
          + (f" (bar {bar})" if bar else ""))


if __name__ == "__main__":
    main(sys.argv[1])
