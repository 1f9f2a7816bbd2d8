"""season.py CELL ROUTE CONSTANTS REQUIRED_M HALF_WIDTH_M SPEED_KN OUT: what a competent GeoPandas and NumPy script does
for a season of 180 days.

The yardstick for a whole season: objects near the route as one_tide.py takes them, where along the line each is met by
the corridor, a tide curve by the minute from the constants, and every departure of 10 minutes tried at once per object
(entry, middle and exit). Both readings: by the chart's word, and to be offered, which leaving 10 minutes early or 30
late, a fifth less speed and the doubts of tide and clock survive. What closes a departure first is kept, and how much
of the season each object closes alone. No streams, no surface of depths, no doubts of position or survey.
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
EARLY_S, LATE_S, SLOWER, CLOCK_S, TIDE_CLOCK_S = 600, 1800, 0.2, 900, 900


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
    minutes = numpy.arange(-CLOCK_S, seconds + 60, 60) / 3600.0
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
    slow = speed * (1 - SLOWER)
    minutes = departures // 60 + CLOCK_S // 60  # the curve begins so much sooner
    tide = tide_by_minute(constants, DAYS * 86400 + line.length / slow + 2 * 86400)
    doubted = tide - numpy.hypot(0.3, numpy.gradient(tide, 60.0) * TIDE_CLOCK_S)
    closed, shut = numpy.zeros(len(departures), dtype=bool), numpy.zeros(len(departures), dtype=bool)
    by, shares = numpy.full(len(departures), -1), {}

    def short_of_water(curve, depth, moments):
        """Departures with too little water at any of these seconds after leaving."""
        bad = numpy.zeros(len(departures), dtype=bool)
        for after in moments:
            bad |= depth + curve[minutes + int(after // 60)] < required_m
        return bad

    for number, (depth, shape) in enumerate(zip(near["depth"], near.geometry.buffer(half_width_m).intersection(line))):
        alone = numpy.zeros(len(departures), dtype=bool)
        for part in getattr(shape, "geoms", [shape]):
            if part.is_empty or part.geom_type != "LineString":
                continue
            first, last = sorted(line.project(type(route.geometry.iloc[0].centroid)(c))
                                 for c in (part.coords[0], part.coords[-1]))
            if numpy.isnan(depth):
                alone[:], shut[:] = True, True
                continue
            if depth + doubted.min() >= required_m:  # deep enough at any time
                continue
            middle = (first + last) / 2
            alone |= short_of_water(tide, depth, [s / speed for s in (first, middle, last)])
            for v in (speed, slow):
                shut |= short_of_water(doubted, depth, [first / v - CLOCK_S, middle / v, last / v + CLOCK_S])
        by[alone & ~closed] = number
        closed |= alone
        shares[number] = alone.mean()
    # Who means to leave at t leaves from EARLY_S before to LATE_S after.
    survives = ~shut
    for shift in range(-EARLY_S // STEP_S, LATE_S // STEP_S + 1):
        survives &= ~numpy.roll(shut, -shift)
    edges = numpy.flatnonzero(numpy.diff(closed.astype(int)))
    pandas.DataFrame({"seconds": departures[edges], "closes": closed[edges + 1],
                      "by": near.index[by[edges + 1]]}).to_csv(out, index=False)
    edges = numpy.flatnonzero(numpy.diff(survives.astype(int)))
    pandas.DataFrame({"seconds": departures[edges], "opens": survives[edges + 1]}).to_csv(out + ".offered", index=False)
    pandas.Series(shares).sort_values(ascending=False).to_csv(out + ".shares")


main()
