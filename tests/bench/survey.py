"""survey.py CELL OUT: old and poor surveys of one cell by GeoPandas, as somebody fluent in it would write it.

Quality zones and water are read, flagged, dissolved by rule, CATZOC and years, cut to the water (overlay) and written
with their areas. No bars, no moving bottoms, no ages: less than the program does.
"""
import sys

import geopandas
import pandas


def layer(cell, name, columns):
    try:
        frame = geopandas.read_file(cell, layer=name)
    except ValueError:
        return None
    frame = frame[frame.geom_type.isin(["Polygon", "MultiPolygon"])]
    return frame[[c for c in columns if c in frame] + ["geometry"]]


def rule_of(row):
    start = str(row["SURSTA"] or "")[:4]
    if not start.isdigit():
        return "undated"
    if int(start) < 1970:
        return "before 1970"
    return {4: "C", 5: "D", 6: "U"}.get(row["CATZOC"], "")


def main():
    cell, out = sys.argv[1:]
    quality = layer(cell, "M_QUAL", ["CATZOC", "SURSTA", "SUREND"])
    for column in ("SURSTA", "SUREND"):
        quality[column] = quality[column].fillna("")
    quality["rule"] = quality.apply(rule_of, axis=1)
    quality["years"] = quality["SURSTA"].str[:4] + "-" + quality["SUREND"].str[:4]
    bottoms = [b for b in (layer(cell, name, []) for name in ("DEPARE", "DRGARE")) if b is not None]
    water = pandas.concat(bottoms)
    water["land"] = 0
    plane = f"+proj=laea +lat_0={water.total_bounds[[1, 3]].mean()} +lon_0={water.total_bounds[[0, 2]].mean()}"
    water = geopandas.GeoDataFrame(water, crs=quality.crs).to_crs(plane).dissolve()
    zones = quality.to_crs(plane).dissolve(by=["rule", "CATZOC", "years"]).reset_index()
    flagged = geopandas.overlay(zones, water[["geometry"]], how="intersection")
    flagged["square_m"] = flagged.area
    flagged.to_crs(4326).to_file(out, driver="GeoJSON")


main()
