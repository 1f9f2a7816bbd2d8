"""processes.py BARE_LOOP DANGERLINE CELL: a whole passage against the bare loop and against a GeoPandas script for one
tide height, a whole season against a script that tries its departures, all as processes, medians of seven.

The route has 30 legs between soundings of the cell, drawn with a fixed seed.
"""
import json
import os
import random
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROUNDS = 7


def soundings(cell):
    text = subprocess.run(["ogr2ogr", "-f", "GeoJSON", "/vsistdout/", cell, "SOUNDG", "-oo", "SPLIT_MULTIPOINT=ON",
                           "-oo", "ADD_SOUNDG_DEPTH=ON", "-fieldTypeToString", "All"],
                          check=True, capture_output=True, text=True).stdout
    return [f["geometry"]["coordinates"][:2] for f in json.loads(text)["features"]]


def route_of(places):
    chosen = random.Random(30)
    route = [chosen.choice(places)]
    while len(route) < 31:
        x, y = route[-1]
        near = [p for p in places if 0.01 < abs(p[0] - x) + abs(p[1] - y) < 0.06]
        route.append(chosen.choice(near or places))
    return route


def run(words):
    begin = time.perf_counter()
    process = subprocess.Popen(words, stdout=subprocess.DEVNULL)
    _, status, used = os.wait4(process.pid, 0)
    if status != 0:
        sys.exit(f"{words[0]} failed")
    return time.perf_counter() - begin, used.ru_maxrss / 1024.0


def main():
    bare, program, cell = sys.argv[1:]
    datum = subprocess.run(["ogrinfo", "-ro", "-q", cell, "DSID"], check=True, capture_output=True, text=True).stdout
    code = next(line.split("=")[1].strip() for line in datum.splitlines() if "DSPM_SDAT" in line)
    with tempfile.TemporaryDirectory() as folder:
        line = {"type": "Feature", "properties": {"name": "thirty legs"},
                "geometry": {"type": "LineString", "coordinates": route_of(soundings(cell))}}
        (Path(folder) / "r.geojson").write_text(json.dumps({"type": "FeatureCollection", "features": [line]}))
        plan = Path(folder) / "plan.toml"
        plan.write_text(f'zone = "UTC"\ndepart = "2026-06-12 06:30"\ncharts = [{json.dumps(str(Path(cell).resolve()))}]\n'
                        '[boat]\ndraught_m = 0.6\nspeed = "14 kn"\n'
                        f'[[tide]]\nkind = "fixed"\nheight_m = 0.5\ndatum = {code}\n[[route]]\nfile = "r.geojson"\n')
        tide = Path(__file__).resolve().parents[2] / "testdata/demo/tide.csv"
        x, y = line["geometry"]["coordinates"][0]
        season = Path(folder) / "season.toml"
        season.write_text(f'zone = "UTC"\ncharts = [{json.dumps(str(Path(cell).resolve()))}]\n'
                          '[boat]\ndraught_m = 0.6\nspeed = "14 kn"\n'
                          f'[[tide]]\nkind = "harmonic"\nconstants = {json.dumps(str(tide))}\nmean_level_m = 2.0\n'
                          f'position = [{x}, {y}]\ndatum = {code}\n[[route]]\nfile = "r.geojson"\n'
                          '[season]\nfrom = 2026-04-01\nto = 2026-09-27\n')
        words = {
            "loop": [bare, cell],
            "whole": [program, "passage", str(plan), "--out", folder + "/out"],
            "script": [sys.executable, "-B", str(Path(__file__).with_name("one_tide.py")), cell, folder + "/r.geojson",
                       "0.5", "2.4", "50", folder + "/one_tide.geojson"],
            "summer": [program, "season", str(season), "--out", folder + "/season"],
            "tried": [sys.executable, "-B", str(Path(__file__).with_name("season.py")), cell, folder + "/r.geojson",
                      str(tide), "2.4", "50", "14", folder + "/season.csv"]}
        runs = {name: [] for name in words}
        for _ in range(ROUNDS):  # in turn, so that a machine that is slow for a while is slow for all
            for name, command in words.items():
                runs[name].append(run(command))
    a, b, c, d, e = (statistics.median(t for t, _ in runs[name]) for name in words)
    peak = max(megabytes for _, megabytes in runs["whole"])
    print(f"process: bare loop             {a * 1e3:8.1f} ms")
    print(f"process: passage, 30 legs      {b * 1e3:8.1f} ms   {b / a:.2f} times the bare loop (at most 6), "
          f"{peak:.0f} MB (under 250)")
    print(f"process: GeoPandas, one tide   {c * 1e3:8.1f} ms   {c / b:.2f} times the passage (at least 4)")
    print(f"process: season, 180 days      {d * 1e3:8.1f} ms")
    print(f"process: GeoPandas, season     {e * 1e3:8.1f} ms   {e / d:.2f} times the season (at least 6)")


main()
