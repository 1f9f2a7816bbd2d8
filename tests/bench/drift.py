#!/usr/bin/python3
"""A competent NumPy drift: the same errors, streams linear in place and time, second-order steps, a mask of dangers.

  tests/bench/drift.py BENCH   prints particle-steps a second of both and their ratio, one thread each
"""
import os
import subprocess
import sys
import time

os.environ["OMP_NUM_THREADS"] = "1"
import numpy as np  # noqa: E402

DT = 60.0
SPACING, HALF, SLICE = 463.0, 20_000.0, 600.0
JOB = (1_000, 360)  # particles and steps of one mark
SIZES = [JOB, (4_000, 90), (16_000, 60), (50_000, 30)]


def field():
    n = int(2 * HALF / SPACING) + 2
    x = np.arange(n, dtype=np.float32) * SPACING - HALF
    gx, gy = np.meshgrid(x, x)
    w = 1.405e-4
    t = np.arange(90) * SLICE
    u = np.stack([0.9 * np.cos(w * s + 1e-5 * gx) for s in t]).astype(np.float32)
    v = np.stack([0.7 * np.sin(w * s) + 1e-5 * gy for s in t]).astype(np.float32)
    return u, v


def at(u, v, x, y, t):
    """Linear in place and in each particle's own time; indices are kept inside the grid. Indices of the machine's
    own width and take() are what NumPy is fastest with."""
    n, one = u.shape[1], np.float32(1)
    gx = np.clip((x + HALF) / SPACING, 0, n - 1.001)
    gy = np.clip((y + HALF) / SPACING, 0, n - 1.001)
    gt = np.clip(t / SLICE, 0, u.shape[0] - 1.001)
    i, j, k = gx.astype(np.intp), gy.astype(np.intp), gt.astype(np.intp)
    fx, fy, ft = gx - i.astype(np.float32), gy - j.astype(np.float32), gt - k.astype(np.float32)
    flat = (k * n + j) * n + i
    corners = [(flat, (one - fx) * (one - fy)), (flat + 1, fx * (one - fy)),
               (flat + n, (one - fx) * fy), (flat + (n + 1), fx * fy)]
    later_by = n * n
    corners = [(index, index + later_by, weight) for index, weight in corners]
    out = []
    for s in (u.ravel(), v.ravel()):
        now, later = np.float32(0), np.float32(0)
        for index, index_later, weight in corners:
            now = now + weight * s.take(index)
            later = later + weight * s.take(index_later)
        out.append(now + ft * (later - now))
    return out


def run(u, v, mask, random, particles, steps):
    """Errors drawn once a particle, a first hit kept, boats that touch left behind."""
    def normal():
        return random.standard_normal(particles, dtype=np.float32)

    x, y = np.zeros(particles, np.float32), np.zeros(particles, np.float32)
    factor, turn = np.maximum(1 + 0.25 * normal(), 0.1), np.deg2rad(20 * normal())
    wind, wind_turn = np.maximum(1 + 0.25 * normal(), 0.1), np.deg2rad(20 * normal() + 15 * np.sign(normal()))
    clock = np.float32(1200) * normal()
    c, s = (factor * np.cos(turn)).astype(np.float32), (factor * np.sin(turn)).astype(np.float32)
    speed = (0.0365 * 6.0 * wind).astype(np.float32)
    lee_u, lee_v = speed * np.cos(wind_turn).astype(np.float32), speed * np.sin(wind_turn).astype(np.float32)
    hit = np.full(particles, np.inf, np.float32)
    before_u = before_v = None
    for k in range(steps):
        eu, ev = at(u, v, x, y, np.float32(14400 + k * DT) + clock)
        nu, nv = c * eu - s * ev + lee_u, s * eu + c * ev + lee_v
        if before_u is None:
            before_u, before_v = nu, nv
        walk = random.random((2, particles), dtype=np.float32) - np.float32(0.5)
        x += np.float32(DT) * (np.float32(1.5) * nu - np.float32(0.5) * before_u) + np.float32(38) * walk[0]
        y += np.float32(DT) * (np.float32(1.5) * nv - np.float32(0.5) * before_v) + np.float32(38) * walk[1]
        before_u, before_v = nu, nv
        column = np.clip((x + HALF) / 50, 0, 800).astype(np.intp)
        row = np.clip((y + HALF) / 50, 0, 800).astype(np.intp)
        new = mask[row, column] & np.isinf(hit)
        hit[new] = k * DT
    return hit


def rate_of(u, v, mask, random, particles, steps):
    times = []
    for _ in range(5):
        begin = time.process_time()
        run(u, v, mask, random, particles, steps)
        times.append(time.process_time() - begin)
    return particles * steps / sorted(times)[2]


def main(bench):
    u, v = field()
    random = np.random.default_rng(1)
    mask = random.random((801, 801)) < 0.001
    rates = {size: rate_of(u, v, mask, random, *size) for size in SIZES}
    rate, level = subprocess.run([bench, "--rate"], check=True, capture_output=True, text=True).stdout.split()
    bar = {"AVX-512": 12, "AVX2": 8}.get(level)
    print(f"drift against NumPy, one thread, {level}, {float(rate) / 1e6:.0f} million particle-steps a second with "
          "dangers tested exactly" + (f" (bar {bar})" if bar else ""))
    best = max(SIZES, key=rates.get)
    for words, size in (("at the size of one mark", JOB), ("at its own best size", best)):
        print(f"  {words}, {size[0]:,} particles at a time: NumPy {rates[size] / 1e6:.1f} million, "
              f"{float(rate) / rates[size]:.1f} times")


if __name__ == "__main__":
    main(sys.argv[1])
