"""one_tide.py CELL ROUTE TIDE_M REQUIRED_M HALF_WIDTH_M OUT: what a few lines of GeoPandas do for one tide height.

The yardstick for a whole passage: the objects whose water is less than required, grown by the half-width where the
route comes near them, and written as GeoJSON with the parts of the route inside. Only layers that matter are read,
only what lies near the route is kept, the spatial index picks the pairs. No doubts, no times, no readings.
"""
import sys
import warnings

import geopandas
import pandas

warnings.filterwarnings("ignore")
LAYERS = {"DEPARE": "DRVAL2", "DRGARE": "DRVAL1", "SOUNDG": "DEPTH", "UWTROC": "VALSOU", "WRECKS": "VALSOU",
          "OBSTRN": "VALSOU", "LNDARE": None, "COALNE": None, "SLCONS": None, "PILPNT": None, "UNSARE": None}


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
    frame["class"] = name
    return frame[["class", "LNAM", "depth", "geometry"]]


def main():
    cell, route_file, tide_m, required_m, half_width_m, out = sys.argv[1:]
    tide_m, required_m, half_width_m = float(tide_m), float(required_m), float(half_width_m)
    route = geopandas.read_file(route_file)
    crs = route.estimate_utm_crs()
    west, south, east, north = route.total_bounds
    box = (west - 0.02, south - 0.02, east + 0.02, north + 0.02)
    frames = [f for f in (layer(cell, n, c, box) for n, c in LAYERS.items()) if f is not None]
    objects = pandas.concat(frames, ignore_index=True)
    objects = geopandas.GeoDataFrame(objects, geometry="geometry", crs="EPSG:4326").to_crs(crs)
    shoal = objects[objects["depth"].isna() | (objects["depth"] + tide_m < required_m)]
    line = route.to_crs(crs)
    corridor = line.copy()
    corridor["geometry"] = line.buffer(half_width_m)
    near = geopandas.sjoin(shoal, corridor[["geometry"]], predicate="intersects").drop(columns="index_right")
    zones = near.copy()
    zones["geometry"] = near.buffer(half_width_m)
    met = geopandas.overlay(line[["geometry"]], zones, how="intersection", keep_geom_type=True)
    pandas.concat([zones, met]).to_crs("EPSG:4326").to_file(out, driver="GeoJSON")


main()
