"""Copies of an output, each with one fault, and whether the schema or the rules beyond it must find that."""
import copy


def nodes(value, path=()):
    """(path, value) of everything in a document."""
    yield path, value
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from nodes(inner, path + (key,))
    elif isinstance(value, list):
        for number, inner in enumerate(value):
            yield from nodes(inner, path + (number,))


def spoiled_at(document, path, change):
    """A copy in which `change` was applied to what stands at a path (it returns the new value)."""
    if path[:1] == ("features",) and len(path) > 1:
        # One feature is enough, and much faster to check.
        document, path = document | {"features": [document["features"][path[1]]]}, ("features", 0) + path[2:]
    elif path[:1] == ("dangerline",):
        document = document | {"features": document["features"][:1]}
    spoiled = copy.deepcopy(document)
    if not path:
        return change(spoiled)
    parent = spoiled
    for step in path[:-1]:
        parent = parent[step]
    parent[path[-1]] = change(parent[path[-1]])
    return spoiled


# Left out where they do not apply; what else an object has, it must have.
OPTIONAL = {"bbox", "wind", "finding", "remark", "depth_m", "depth_known", "critical_tide_m", "tide_m", "water_m",
            "required_water_m", "spare_m", "spare_doubt_m", "distance_m", "steer_deg", "stream_set_deg", "stream_rate_kn",
            "wait_min", "made_good_kn", "doubt_m", "least_m", "most_m", "reason", "decide_within_min", "uncharted",
            "moved_m", "beyond_m", "deeper_m", "newer_depth_m", "nearest", "radius_m", "charted_depth_m", "median_difference_m",
            "spread_m", "sounder", "cross_check", "pull_angle_deg", "holding_left", "flat_chain_m", "heavy_anchor_rule_n"}


# Times of a passage: null behind a place where the boat is no longer in time.
NOT_ALWAYS_KNOWN = ("arrival", "begin", "end", "time", "enter", "leave")


def everywhere(document):
    """(name, copy) for each object an unknown member and each member missing; for each number a text, for each text a
    number, null for either."""
    passage = document["dangerline"]["job"] == "passage"
    for path, value in nodes(document):
        if "coordinates" in path and any(path[path.index("coordinates") + 1:-1]):
            continue  # the first place of each geometry will do
        where = "/".join(map(str, path)) or "top"
        if isinstance(value, dict):
            yield f"unknown member in {where}", spoiled_at(document, path, lambda v: v | {"colour": "red"})
            for key in value.keys() - OPTIONAL - ({"kind"} if value.get("role") == "stretch" else set()):
                yield f"no {key} in {where}", spoiled_at(
                    document, path, lambda v, key=key: {k: inner for k, inner in v.items() if k != key})
        elif isinstance(value, list):
            yield f"list as object at {where}", spoiled_at(document, path, lambda v: {"0": v})
        elif isinstance(value, bool):
            yield f"yes or no as text at {where}", spoiled_at(document, path, lambda v: str(v))
        elif isinstance(value, (int, float)):
            yield f"number as text at {where}", spoiled_at(document, path, str)
            yield f"number out of range at {where}", spoiled_at(document, path, lambda v: -1e9 + 0.5)
            if path[-1] not in ("critical_tide_m", "days_since_update", "decide_within_min"):
                yield f"number missing at {where}", spoiled_at(document, path, lambda v: None)
        elif isinstance(value, str):
            yield f"text as number at {where}", spoiled_at(document, path, lambda v: 7)
            if path[-1] != "as_of" and not (passage and path[-1] in NOT_ALWAYS_KNOWN):
                yield f"text missing at {where}", spoiled_at(document, path, lambda v: None)


def without(*path):
    def change(document):
        inner = document
        for step in path[:-1]:
            inner = inner[step]
        del inner[path[-1]]

    return change


def setting(value, *path):
    def change(document):
        inner = document
        for step in path[:-1]:
            inner = inner[step]
        inner[path[-1]] = value

    return change


def first(document, geometry, role=None):
    for feature in document["features"]:
        if feature["geometry"]["type"] == geometry and feature["properties"].get("role") == role:
            return feature
    raise LookupError(f"the sample has no {geometry} with role {role}")


def in_first(geometry, role, change):
    return lambda document: change(first(document, geometry, role))


COMMON = [
    ("no caution", without("dangerline", "caution")),
    ("a weakened caution", setting("Have a pleasant trip.", "dangerline", "caution")),
    ("no version", without("dangerline", "version")),
    ("no charts", setting([], "dangerline", "charts")),
    ("another job", setting("season", "dangerline", "job")),
    ("a coordinate system", setting({"type": "name"}, "crs")),
    ("another type", setting("Feature", "type")),
    ("a bbox of three", lambda d: d["bbox"].pop()),
    ("a day that is none", setting("2026-13-01", "dangerline", "as_of")),
    ("a folder in a file name", setting("charts/a.000", "dangerline", "diagnostics", 0, "file")),
    ("another severity", setting("fatal", "dangerline", "diagnostics", 0, "severity")),
    ("no counts", without("dangerline", "counts")),
]


def graded(geometry, role):
    def change(name, act):
        return f"{name} of {role or 'zone'}", in_first(geometry, role, act)

    return [
        change("kind missing", without("properties", "kind")),
        change("grade missing", without("properties", "grade")),
        change("cause missing", without("properties", "cause")),
        change("reason missing", without("properties", "reason")),
        change("object missing", without("properties", "object")),
        change("lnam missing", without("properties", "object", "lnam")),
        change("an lnam that is none", setting("ROCK", "properties", "object", "lnam")),
        change("unknown kind", setting("dragon", "properties", "kind")),
        change("unknown grade", setting("fine", "properties", "grade")),
        change("none_found as grade", setting("none_found", "properties", "grade")),
        change("unknown cause", setting("luck", "properties", "cause")),
        change("empty reason", setting("", "properties", "reason")),
        change("depth without word of its being known", without("properties", "depth_known")),
        change("infinite critical tide", setting("inf", "properties", "critical_tide_m")),
        change("geometry missing", without("geometry")),
        change("no geometry", setting(None, "geometry")),
        change("identity missing", without("type")),
    ]


SCHEMA_SPOILERS = {
    "passage": COMMON + graded("Point", "finding") + [
        ("no features", setting([], "features")),
        ("no bbox", without("bbox")),
        ("unknown role", in_first("Point", "finding", setting("hint", "properties", "role"))),
        ("a finding as stretch", in_first("Point", "finding", setting("stretch", "properties", "role"))),
        ("a finding as place", in_first("Point", "finding", setting("place", "properties", "role"))),
        ("a stretch as a point", lambda d: first(d, "LineString", "stretch").update(
            geometry={"type": "Point", "coordinates": [0, 0]})),
        ("longitude out of range", in_first("Point", "finding", setting(180.1, "geometry", "coordinates", 0))),
        ("longitude too far west", in_first("Point", "finding", setting(-180.1, "geometry", "coordinates", 0))),
        ("latitude beyond the north pole", in_first("Point", "finding", setting(90.1, "geometry", "coordinates", 1))),
        ("a place without distance", in_first("Point", "place", without("properties", "distance_m"))),
        ("latitude out of range", in_first("Point", "finding", setting(-90.1, "geometry", "coordinates", 1))),
        ("a third coordinate", in_first("Point", "finding", lambda f: f["geometry"]["coordinates"].append(0))),
        ("a line of one place", in_first("LineString", "stretch", lambda f: f["geometry"].update(
            coordinates=f["geometry"]["coordinates"][:1]))),
        ("a stretch graded note", in_first("LineString", "stretch", setting("note", "properties", "grade"))),
        ("no grades", in_first("LineString", "stretch", without("properties", "grades"))),
        ("local time", in_first("Point", "finding", setting("2026-06-01T07:12:00+01:00", "properties", "enter"))),
        ("an hour that is none", in_first("Point", "finding", setting("2026-06-01T25:12:00Z", "properties", "leave"))),
        ("spare without its doubt", in_first("Point", "finding", without("properties", "spare_doubt_m"))),
        ("finding number 0", in_first("Point", "finding", setting(0, "properties", "number"))),
        ("a place without time", in_first("Point", "place", without("properties", "time"))),
        ("no departure", without("dangerline", "counts", 0, "departure")),
        ("half a hazard", setting(0.5, "dangerline", "counts", 0, "hazards_tested")),
    ],
    "zones": COMMON + graded("MultiPolygon", None) + [
        ("unknown reading", in_first("MultiPolygon", None, setting("narrow", "properties", "reading"))),
        ("no reading", in_first("MultiPolygon", None, without("properties", "reading"))),
        ("no radius", in_first("MultiPolygon", None, without("properties", "radius_m"))),
        ("radius below 0", in_first("MultiPolygon", None, setting(-1, "properties", "radius_m"))),
        ("no tide", in_first("MultiPolygon", None, without("properties", "tide_m"))),
        ("a polygon", in_first("MultiPolygon", None, setting("Polygon", "geometry", "type"))),
        ("a ring of three", in_first("MultiPolygon", None, lambda f: f["geometry"]["coordinates"][0].__setitem__(
            0, f["geometry"]["coordinates"][0][0][:3]))),
        ("longitude out of range", in_first("MultiPolygon", None, setting(
            180.1, "geometry", "coordinates", 0, 0, 0, 0))),
        ("latitude out of range", in_first("MultiPolygon", None, setting(90.1, "geometry", "coordinates", 0, 0, 0, 1))),
        ("longitude too far west", in_first("MultiPolygon", None, setting(
            -180.1, "geometry", "coordinates", 0, 0, 0, 0))),
        ("latitude beyond the south pole", in_first("MultiPolygon", None, setting(
            -90.1, "geometry", "coordinates", 0, 0, 0, 1))),
        ("a height", in_first("MultiPolygon", None, lambda f: f["geometry"]["coordinates"][0][0][0].append(0))),
        ("half a zone", setting(0.5, "dangerline", "counts", "zones")),
    ],
    "anchor": COMMON + [
        ("no features", setting([], "features")),
        ("half a mark", setting(0.5, "dangerline", "counts", "marks")),
        ("unknown role", in_first("Point", "mark", setting("hint", "properties", "role"))),
        ("unknown word of the rope", in_first("Point", "mark", setting("ample", "properties", "rope"))),
        ("unknown holding", in_first("Point", "mark", setting("firm", "properties", "holding"))),
        ("unknown grade", in_first("Point", "mark", setting("fine", "properties", "grade"))),
        ("no sentences", in_first("Point", "mark", setting([], "properties", "sentences"))),
        ("local time", in_first("Point", "mark", setting("2026-06-01T07:12:00+01:00", "properties", "from"))),
        ("mark number 0", in_first("Point", "mark", setting(0, "properties", "mark_number"))),
        ("a circle as a point", in_first("MultiPolygon", "swing_circle", lambda f: f.update(
            geometry={"type": "Point", "coordinates": [0, 0]}))),
        ("radius below 0", in_first("MultiPolygon", "swing_circle", setting(-1, "properties", "radius_m"))),
        ("no reason of a fouling", in_first("Point", "fouling", without("properties", "reason"))),
        ("no reason of a touch", in_first("Point", "touch", without("properties", "reason"))),
        ("unknown kind of fouling", in_first("Point", "fouling", setting("dragon", "properties", "kind"))),
        ("a fouling nowhere", in_first("Point", "fouling", setting("about", "properties", "lies"))),
        ("a touch that is a note", in_first("Point", "touch", setting("note", "properties", "grade"))),
        ("longitude out of range", in_first("Point", "mark", setting(180.1, "geometry", "coordinates", 0))),
        ("longitude too far west", in_first("Point", "mark", setting(-180.1, "geometry", "coordinates", 0))),
        ("latitude out of range", in_first("Point", "mark", setting(90.1, "geometry", "coordinates", 1))),
    ],
    "compare": COMMON + [
        ("unknown change", in_first("Point", None, setting("sunk", "properties", "change"))),
        ("no reason", in_first("Point", None, without("properties", "reason"))),
        ("no doubt", in_first("Point", None, without("properties", "doubt_m"))),
        ("an object that is none", in_first("Point", None, setting("ROCK", "properties", "newer", "lnam"))),
        ("longitude out of range", in_first("Point", None, setting(180.1, "geometry", "coordinates", 0))),
        ("a line of one place", in_first("LineString", None, lambda f: f["geometry"].update(
            coordinates=f["geometry"]["coordinates"][:1]))),
        ("a ring of three", in_first("MultiPolygon", None, lambda f: f["geometry"]["coordinates"][0].__setitem__(
            0, f["geometry"]["coordinates"][0][0][:3]))),
        ("half a change", setting(0.5, "dangerline", "counts", "newer", 0, "changes", "missing")),
        ("a run without a day", setting("", "dangerline", "counts", "tried", 0, "date")),
    ],
    "survey": COMMON + [
        ("no rules", setting([], "dangerline", "rules")),
        ("a rule without source", without("dangerline", "rules", 0, "source")),
        ("another role", in_first("MultiPolygon", "flagged", setting("doubtful", "properties", "role"))),
        ("another rule", in_first("MultiPolygon", "flagged", setting("old", "properties", "rule"))),
        ("a rule twice", in_first("MultiPolygon", "flagged", lambda f: f["properties"]["rules"].append(
            f["properties"]["rules"][0]))),
        ("no sentence", in_first("MultiPolygon", "flagged", without("properties", "sentence"))),
        ("an area below 0", in_first("MultiPolygon", "flagged", setting(-1, "properties", "square_m"))),
        ("another zone", in_first("MultiPolygon", "flagged", setting("E", "properties", "catzoc"))),
        ("a zone without doubt", in_first("MultiPolygon", "flagged", without("properties", "position_doubt_m"))),
        ("a year as a day", in_first("MultiPolygon", "flagged", setting("1940", "properties", "begun"))),
        ("an age below 0", in_first("MultiPolygon", "flagged", setting(-1, "properties", "age_years"))),
        ("a point", in_first("MultiPolygon", "flagged", setting({"type": "Point", "coordinates": [0, 0]}, "geometry"))),
        ("half an area", setting(0.5, "dangerline", "counts", "areas")),
        ("a hazard without doubt", in_first("Point", "hazard", without("properties", "position_doubt_m"))),
        ("a hazard with an area", in_first("Point", "hazard", setting(5, "properties", "square_m"))),
        ("a hazard with an age nobody knows", in_first("Point", "hazard", setting(5, "properties", "age_years"))),
        ("an undated area with an age", in_first("MultiPolygon", "flagged",
                                                 setting("none", "properties", "date_known"))),
        ("a distance from nowhere", in_first("Point", "hazard", without("properties", "nearest"))),
    ],
}

RULE_SPOILERS = {
    "passage": [
        ("a bbox too wide", lambda d: d["bbox"].__setitem__(0, d["bbox"][0] - 0.5)),
        ("a bbox too low", lambda d: d["bbox"].__setitem__(1, d["bbox"][1] - 0.5)),
        ("a bbox that runs the other way", lambda d: d["bbox"].__setitem__(slice(None), [
            d["bbox"][2], d["bbox"][1], d["bbox"][0], d["bbox"][3]])),
        ("an uncut line", lambda d: first(d, "MultiLineString", "stretch").update(geometry={
            "type": "LineString", "coordinates": [
                p for line in first(d, "MultiLineString", "stretch")["geometry"]["coordinates"] for p in line]})),
        ("a finding lost", lambda d: d["features"].remove(first(d, "Point", "finding"))),
        ("findings renumbered", in_first("Point", "finding", setting(9, "properties", "number"))),
        ("a grade changed", in_first("Point", "finding", lambda f: f["properties"].update(grade="note", cause=""))),
        ("a stretch that hides its worst grade", in_first("LineString", "stretch", lambda f: f["properties"].update(
            grades=[{"grade": "unknown", "cause": ""}] + f["properties"]["grades"]))),
        ("left before entered", in_first("Point", "finding", setting("1999-01-01T00:00:00Z", "properties", "leave"))),
    ],
    "zones": [
        ("an open ring", in_first("MultiPolygon", None, lambda f: f["geometry"]["coordinates"][0][0].pop())),
        ("a ring turned", in_first("MultiPolygon", None, lambda f: f["geometry"]["coordinates"][0][0].reverse())),
        ("a hole turned", in_first("MultiPolygon", None, lambda f: f["geometry"]["coordinates"][0][1].reverse())),
        ("an uncut ring", in_first("MultiPolygon", None, setting(-179.0, "geometry", "coordinates", 0, 0, 1, 0))),
        ("no bbox", without("bbox")),
        ("a zone lost", lambda d: d["features"].pop()),
        ("a danger with a cause", in_first("MultiPolygon", None, lambda f: f["properties"].update(
            grade="danger", cause="margin"))),
    ],
    "anchor": [
        ("an open ring", in_first("MultiPolygon", "swing_circle", lambda f: f["geometry"]["coordinates"][0][0].pop())),
        ("no bbox", without("bbox")),
        ("a mark lost", lambda d: d["features"].remove(first(d, "Point", "mark"))),
        ("a circle lost", lambda d: d["features"].remove(first(d, "MultiPolygon", "swing_circle"))),
        ("marks renumbered", in_first("Point", "mark", setting(9, "properties", "mark_number"))),
        ("another grade", in_first("Point", "mark", setting("caution", "properties", "grade"))),
        ("in the circle, yet outside", in_first("Point", "fouling", setting(5.0, "properties", "outside_m"))),
        ("left before arrived", in_first("Point", "mark", setting("1999-01-01T00:00:00Z", "properties", "to"))),
        ("a reason for what is known", in_first("Point", "mark", setting("no chart", "properties", "unknown"))),
        ("more asked by the least", in_first("Point", "mark", lambda f: f["properties"]["tides"][0].update(
            least_m=9000.0))),
    ],
    "compare": [
        ("an open ring", in_first("MultiPolygon", None, lambda f: f["geometry"]["coordinates"][0][0].pop())),
        ("a change lost", lambda d: d["features"].remove(first(d, "Point", None))),
        ("a bbox too wide", lambda d: d["bbox"].__setitem__(0, d["bbox"][0] - 0.5)),
        ("a missing object that is charted", in_first("Point", None, lambda f: f["properties"].update(
            charted=f["properties"]["newer"]))),
    ],
    "survey": [
        ("a hole turned", in_first("MultiPolygon", "flagged", lambda f: f["geometry"]["coordinates"][-1][1].reverse())),
        ("no bbox", without("bbox")),
        ("an area lost", lambda d: d["features"].remove(first(d, "MultiPolygon", "uncovered"))),
        ("water lost", in_first("MultiPolygon", "unflagged", setting(1, "properties", "square_m"))),
        ("unflagged with a rule", in_first("MultiPolygon", "unflagged", setting(["undated"], "properties", "rules"))),
        ("not the gravest first", in_first("MultiPolygon", "flagged", lambda f: f["properties"]["rules"].reverse())),
        ("a hazard lost", lambda d: d["features"].remove(first(d, "Point", "hazard"))),
        ("more hazards flagged than there are", setting(9, "dangerline", "counts", "hazards_flagged")),
        ("a hazard's rules turned", in_first("Point", "hazard", lambda f: f["properties"]["rules"].reverse())),
        ("a route flagged beyond its end", setting(10000000, "dangerline", "routes", 0, "flagged_m")),
    ],
}
