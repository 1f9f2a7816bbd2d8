#!/usr/bin/env python3
"""Soundings for the demo cell, consistent with its depth areas.

usage: demo_soundings.py testdata/demo/X14DEMO1.000.txt > testdata/demo/soundings.txt

Between two contours the depth runs in the ratio of the distances to them; inside a drying area it rises, and beyond
the deepest contour it falls, with the distance. A low ripple keeps it from being too smooth.
"""
import math
import re
import sys

ZONES = [  # the quality zones of the cell: name, rectangle, spacing in metres, attributes
    ("survey of 2021", (3700, 6400, 9600, 9100), 260, "TECSOU=3 SORDAT=20210618"),
    ("survey of 1968", (0, 6400, 3700, 9100), 420, "TECSOU=1 SORDAT=19680911"),
    ("sketch", (9600, 6400, 14800, 10400), 600, "QUASOU=4"),
    ("lead line of 1936", (0, 0, 14800, 6400), 800, "TECSOU=5 SORDAT=193609"),
    ("lead line on the bank", (8700, 2200, 12300, 4200), 300, "TECSOU=5 SORDAT=193609"),
]


def statements(path):
    lines = []
    for line in open(path, encoding="utf-8"):
        line = line.split("#")[0].rstrip()
        if not line:
            continue
        if line[0] == " " and lines:
            lines[-1] += line
        else:
            lines.append(line)
    return lines


def vertices(words, chains):
    points = []
    for word in words:
        if word in chains:
            points += chains[word]
        elif word[0] == "-" and word[1:] in chains:
            points += chains[word[1:]][::-1]
        else:
            points.append(tuple(float(v) for v in word.split(",")))
    return points


def inside(ring, x, y):
    odd = False
    for (ax, ay), (bx, by) in zip(ring, ring[1:] + ring[:1]):
        if (ay > y) != (by > y) and x < (bx - ax) * (y - ay) / (by - ay) + ax:
            odd = not odd
    return odd


def distance(line, x, y):
    best = math.inf
    for (ax, ay), (bx, by) in zip(line, line[1:]):
        dx, dy = bx - ax, by - ay
        t = max(0.0, min(1.0, ((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy)))
        best = min(best, math.hypot(ax + t * dx - x, ay + t * dy - y))
    return best


def read(path):
    chains, contours, areas = {}, [], []
    for text in statements(path):
        words = text.split()
        if words[0] == "chain":
            chains[words[1]] = vertices(words[2:], chains)
            level = re.match(r"[LB](\d+)", words[1])
            if level:
                ring = chains[words[1]]
                contours.append((int(level[1]), ring + ring[:1] if words[1][0] == "B" else ring))
            elif words[1].startswith("coast"):
                contours.append((-5.7, chains[words[1]]))
        elif words[:2] == ["area", "DEPARE"]:
            rings = [vertices(part.split(), chains) for part in text.split(" : ")[1].split(" hole ")]
            low, high = (float(re.search(key + r"=(\S+)", text)[1]) for key in ("DRVAL1", "DRVAL2"))
            areas.append((low, high, rings))
    return contours, areas


def depth(x, y, contours, areas):
    for low, high, rings in areas:
        if inside(rings[0], x, y) and not any(inside(hole, x, y) for hole in rings[1:]):
            break
    else:
        return None
    shoal = min((distance(line, x, y) for level, line in contours if level <= low), default=math.inf)
    deep = min((distance(line, x, y) for level, line in contours if level >= high), default=math.inf)
    if min(shoal, deep) < 25:
        return None
    ripple = 1 + 0.06 * math.sin(x / 170) * math.cos(y / 130)
    if high > 20:
        value = low + min(shoal * 0.006 * ripple, 26)
    elif low < 0 and low > -5.7:
        value = max(-deep * 0.006 * ripple, low + 0.1)
    else:
        value = low + (high - low) * shoal / (shoal + deep) * ripple
        value = min(max(value, low + 0.1), high - 0.1)
    return round(value * 2) / 2 if value > 20 else round(value, 1)


def main():
    contours, areas = read(sys.argv[1])
    print("# Made by scripts/demo_soundings.py from the depth areas of the cell.")
    for name, (west, south, east, north), step, attributes in ZONES:
        rows = []
        for j in range(int((north - south) / (step * 0.8))):
            row = []
            for i in range(int((east - west) / step)):
                x = round(west + step * (i + (0.3 if j % 2 else 0.7)))
                y = round(south + step * 0.8 * (j + 0.5))
                value = depth(x, y, contours, areas)
                on_bank = 8600 < x < 12400 and 2100 < y < 4300
                if value is not None and not (name == "lead line of 1936" and on_bank):
                    row.append(f"{x},{y},{value:g}")
            rows += ["  " + " ".join(row[k:k + 8]) for k in range(0, len(row), 8)]
        print(f"\n# {name}\nsoundings {attributes} :\n" + "\n".join(rows))


if __name__ == "__main__":
    main()
