"""season.py CELL ROUTE CONSTANTS REQUIRED_M HALF_WIDTH_M SPEED_KN OUT: what a competent GeoPandas and NumPy script does
for a season of 180 days.

The yardstick for a whole season: objects near the route as one_tide.py takes them, where along the line each is met by
the corridor, a tide curve by the minute from the constants, and every departure of 10 minutes tried at once per object
(entry, middle and exit). No doubts, no windows offered, no names of what closes them.
"""
import csv
import sys
import warnings

import geopandas
import numpy
import pandas

warnings.filterwarnings("ignore")
LAYERS = {"DEPARE": "DRVAL1", "DRGARE": "DRVAL1", "SOUNDG": "DEPTH", "UWTROC": "VALSOU", "WRECKS": "VALSOU",
          "OBSTRN": "VALSOU", "LNDARE": None, "COALNE": None, "SLCONS": None, "PILPNT": None, "UNSARE": None}
SPEEDS = {"M2": 28.9841042, "S2": 30.0, "N2": 28.4397295, "K2": 30.0821373, "K1": 15.0410686, "O1": 13.9430356,
          "P1": 14.9589314, "Q1": 13.3986609, "M4": 57.9682084, "MS4": 58.9841042, "MN4": 57.4238337}
DAYS, STEP_S = 180, 600


def layer(cell, name, column, box):
    try:
        frame = geopandas.read_file(cell, layer=name, bbox=box)
    except ValueError:  # no such layer
        return None
    if name == "SOUNDG":
        frame = frame.explode(index_parts=False)
        frame["depth"] = frame.geometry.apply(lambda point: point.z)
    else:
        frame["depth"] = frame[column] if column and column in frame else float("nan")
    return frame[["depth", "geometry"]]


def tide_by_minute(constants, seconds):
    minutes = numpy.arange(0, seconds + 60, 60) / 3600.0
    height = numpy.full_like(minutes, 2.0)
    for row in csv.DictReader(line for line in open(constants, encoding="utf-8") if not line.startswith("#")):
        speed = SPEEDS.get(row["constituent"])
        if speed:
            phase = numpy.radians(speed * minutes - float(row["phase_deg_gmt"]))
            height += float(row["amplitude_m"]) * numpy.cos(phase)
    return height


def main():
    cell, route_file, constants, required_m, half_width_m, speed_kn, out = sys.argv[1:]
    required_m, half_width_m, speed = float(required_m), float(half_width_m), float(speed_kn) * 1852 / 3600
    route = geopandas.read_file(route_file)
    crs = route.estimate_utm_crs()
    west, south, east, north = route.total_bounds
    box = (west - 0.02, south - 0.02, east + 0.02, north + 0.02)
    frames = [f for f in (layer(cell, n, c, box) for n, c in LAYERS.items()) if f is not None]
    objects = geopandas.GeoDataFrame(pandas.concat(frames, ignore_index=True), geometry="geometry", crs="EPSG:4326").to_crs(crs)
    line = route.to_crs(crs).geometry.iloc[0]
    near = objects[objects.intersects(line.buffer(half_width_m))]
    departures = numpy.arange(0, DAYS * 86400, STEP_S)
    tide = tide_by_minute(constants, DAYS * 86400 + line.length / speed + 86400)
    closed = numpy.zeros(len(departures), dtype=bool)
    for depth, shape in zip(near["depth"], near.geometry.buffer(half_width_m).intersection(line)):
        for part in getattr(shape, "geoms", [shape]):
            if part.is_empty or part.geom_type != "LineString":
                continue
            ends = sorted(line.project(type(route.geometry.iloc[0].centroid)(c)) for c in (part.coords[0], part.coords[-1]))
            if numpy.isnan(depth):
                closed[:] = True
                continue
            for s in (ends[0], sum(ends) / 2, ends[1]):
                at = ((departures + s / speed) / 60).astype(int)
                closed |= depth + tide[at] < required_m
    edges = numpy.flatnonzero(numpy.diff(closed.astype(int)))
    pandas.DataFrame({"seconds": departures[edges], "closes": closed[edges + 1]}).to_csv(out, index=False)


main()
