#!/usr/bin/python3
"""Checks GeoJSON outputs against their JSON schema and the rules of RFC 7946 that a schema can't express.

  tests/overlay/validate.py SCHEMA FILE...             checks files; fails where any is wrong
  tests/overlay/validate.py --self-test SCHEMA SAMPLE  the sample must pass, and every spoiled copy of it must not

Exit code 0: all is well; 1: complaints on standard output; 2: wrong command line.
"""
import copy
import json
import sys
from decimal import Decimal
from pathlib import Path

from jsonschema import Draft7Validator

from spoiled import RULE_SPOILERS, SCHEMA_SPOILERS, everywhere, nodes

GRADES = ("danger", "unknown", "caution", "note")


def refuse(constant):
    raise ValueError(f"'{constant}' is no JSON number")


def read(path, **options):
    return json.loads(Path(path).read_text(encoding="utf-8"), parse_constant=refuse, **options)


# ---- RFC 7946 and the figures that must agree with each other ------------------------------------------------


def lines_of(geometry):
    """Every chain of positions of a geometry, a point as a chain of one."""
    shape, coordinates = geometry["type"], geometry["coordinates"]
    if shape == "Point":
        return [[coordinates]]
    if shape == "LineString":
        return [coordinates]
    if shape == "MultiLineString":
        return coordinates
    return [ring for polygon in coordinates for ring in polygon]


def signed_area(ring):
    x0, y0 = ring[0]
    return sum((ax - x0) * (by - y0) - (bx - x0) * (ay - y0) for (ax, ay), (bx, by) in zip(ring, ring[1:])) / 2


def check_rings(polygon):
    for number, ring in enumerate(polygon):
        if ring[0] != ring[-1]:
            yield f"ring {number} is not closed"
        area = signed_area(ring)
        if number == 0 and area <= 0:
            yield "the outer ring does not run counter-clockwise"
        if number > 0 and area >= 0:
            yield f"hole {number} does not run clockwise"


def check_geometry(geometry):
    if geometry["type"] == "MultiPolygon":
        for polygon in geometry["coordinates"]:
            yield from check_rings(polygon)
    for line in lines_of(geometry):
        if any(abs(a[0] - b[0]) > 180 for a, b in zip(line, line[1:])):
            yield "a line passes 180 degrees without being cut there"


def joined(intervals):
    out = []
    for a, b in sorted(intervals):
        if out and a <= out[-1][1]:
            out[-1] = (out[-1][0], max(b, out[-1][1]))
        else:
            out.append((a, b))
    return out


def narrowest(intervals):
    """West and east of the narrowest box round intervals of longitude, tried from each of them in turn."""
    def east_of(west):
        return max(west + (b - west) % 360 if b != west else west for a, b in intervals for b in (a, b))

    if any(a == -180 and b == 180 for a, b in intervals):
        return -180, 180
    return min(((a, east_of(a)) for a, _ in intervals), key=lambda box: box[1] - box[0])


def check_bbox(document):
    chains = [line for f in document["features"] for line in lines_of(f["geometry"])]
    if not chains:
        return
    if "bbox" not in document:
        yield "there are features, but no bbox"
        return
    west, south, east, north = document["bbox"]
    lats = [p[1] for line in chains for p in line]
    if (south, north) != (min(lats), max(lats)):
        yield f"bbox reaches from {south} to {north}, the features from {min(lats)} to {max(lats)}"
    intervals = joined((min(p[0] for p in line), max(p[0] for p in line)) for line in chains)
    best = narrowest(intervals)
    wide = east - west if east >= west else east - west + 360
    if abs(wide - (best[1] - best[0])) > 1e-9 or all(abs((west - a) % 360) > 1e-9 for a, _ in intervals):
        yield f"bbox reaches from {west} to {east}, the features from {best[0]} to {best[1]}"


def check_decimals(path):
    """At most 7 decimals in coordinates, 4 in shares, 2 in everything else."""
    document = read(path, parse_float=Decimal)

    def walk(value, most, where):
        if isinstance(value, Decimal) and -value.normalize().as_tuple().exponent > most:
            yield f"{where}: {value} has more than {most} decimals"
        elif isinstance(value, dict):
            for key, inner in value.items():
                places = 7 if key in ("coordinates", "bbox") else 4 if key.endswith("share") else most
                yield from walk(inner, places, f"{where}/{key}")
        elif isinstance(value, list):
            for number, inner in enumerate(value):
                yield from walk(inner, most, f"{where}/{number}")

    return list(walk(document, 2, ""))


def count_grades(properties):
    return {grade: sum(p["grade"] == grade for p in properties) for grade in GRADES}


def check_route(number, counts, properties):
    own = [p for p in properties if p["route_number"] == number]
    findings = [p for p in own if p["role"] == "finding"]
    stretches = [p for p in own if p["role"] == "stretch"]
    if [p["number"] for p in findings] != list(range(1, len(findings) + 1)):
        yield f"route {number}: findings are not numbered in order"
    if counts["findings"] != count_grades(findings):
        yield f"route {number}: the counts do not agree with the findings"
    if any(p["route"] != counts["route"] for p in own):
        yield f"route {number}: a feature bears another name"
    reached = 0
    for p in stretches:
        if p["from_m"] < reached - 0.11 or p["to_m"] < p["from_m"]:
            yield f"route {number}: stretches overlap at {p['from_m']} m"
        reached = p["to_m"]
        first = p["grades"][0] if p["grades"] else {"grade": "none_found", "cause": ""}
        if (p["grade"], p["cause"]) != (first["grade"], first["cause"]):
            yield f"route {number}: a stretch does not show its first grade"
        if p.get("finding", 0) > len(findings):
            yield f"route {number}: a stretch names a finding that isn't there"
    for p in findings + stretches:  # a time is null where it is not known, and so are all behind it
        if p["leave"] is not None and (p["enter"] is None or p["enter"] > p["leave"]):
            yield f"route {number}: something is left before it is entered"


def check_marks(counts, properties):
    marks = [p for p in properties if p["role"] == "mark"]
    circles = [p for p in properties if p["role"] == "swing_circle"]
    numbers = list(range(1, counts["marks"] + 1))
    if [p["mark_number"] for p in marks] != numbers or [p["mark_number"] for p in circles] != numbers:
        yield "marks and circles are not one each, numbered in order"
    if counts["by_grade"] != count_grades(marks):
        yield "the counts do not agree with the marks"
    for p in marks:
        if p["from"] > p["to"]:
            yield f"mark {p['mark']}: left before arrived"
        if ("depth_m" in p) == (p["unknown"] != ""):
            yield f"mark {p['mark']}: a depth and a reason why it is not known, or neither"
        if any(t["least_m"] > t["in_proportion_m"] for t in p["tides"]):
            yield f"mark {p['mark']}: the least is more than what is in proportion"
    for p in properties:
        if p["role"] == "fouling" and (p["lies"] == "beside") != (p["outside_m"] > 0):
            yield f"{p['what']} lies {p['lies']}, {p['outside_m']} m outside"


def in_order(times):
    """Earliest, half, latest; null stands for never."""
    seconds = [float("inf") if times[k] is None else times[k] for k in ("early_min", "median_min", "late_min")]
    return seconds == sorted(seconds)


def check_drift(counts, properties):
    marks = {p["mark"]: p for p in properties if p["role"] == "mark"}
    if counts["runs"] != sum(len(p["boats"]) for p in marks.values()):
        yield "the runs are not one for each mark and boat"
    boats = {(name, boat["boat"]): boat for name, p in marks.items() for boat in p["boats"]}
    for (name, kind), boat in boats.items():
        where = f"{name}, {kind}"
        if abs(sum(o["share"] for o in boat["outcomes"]) - 1) > 1e-3:
            yield f"{where}: outcomes do not sum to one"
        if not all(in_order(boat[k]) for k in ("in_hand", "to_danger", "to_touch")):
            yield f"{where}: times are out of order"
        danger = sum(o["share"] for o in boat["outcomes"] if o["outcome"] == "danger")
        clusters = [p for p in properties if p["role"] == "cluster" and (p["mark"], p["boat"]) == (name, kind)]
        if abs(danger - sum(p["share"] for p in clusters)) > 5e-3:
            yield f"{where}: the places do not agree with the dangers"
    for p in properties:
        if p["role"] != "mark" and (p["mark"], p["boat"]) not in boats:
            yield f"a {p['role']} belongs to no boat"
        if p["role"] == "track" and p["times"] != sorted(p["times"]):
            yield f"a track of {p['mark']} runs backwards in time"


def check_changes(outcomes, properties):
    """An object drawn in parts has several features."""
    for outcome in outcomes:
        for change, count in outcome["changes"].items():
            own = sum(p["source"] == outcome["source"] and p["change"] == change for p in properties)
            if own < count or (own > 0) != (count > 0):
                yield f"{outcome['source']}: {count} {change} in the counts, {own} features"
    for p in properties:
        if (p["newer"] is None) != (p["change"] == "gone") or (p["charted"] is None) != (p["change"] == "missing"):
            yield f"a change {p['change']} with the wrong sides"
        if p["change"] == "gone" and p["adds_hazard"]:
            yield "what is gone adds a hazard"


def check_survey(head, properties):
    counts = head["counts"]
    hazards = [p for p in properties if p["role"] == "hazard"]
    properties = [p for p in properties if p["role"] != "hazard"]
    if counts["areas"] != len(properties):
        yield "the counts do not agree with the areas"
    # One drawn in parts has several features, and parts of one may count singly.
    if not len({(p["cell"], p["lnam"]) for p in hazards}) <= counts["hazards"] <= len(hazards):
        yield "the counts do not agree with the hazards"
    if counts["hazards_flagged"] > counts["hazards"]:
        yield "more hazards flagged than there are"
    for p in hazards:
        if p["rule"] != (p["rules"] + [""])[0]:
            yield f"a hazard with rule '{p['rule']}' and rules {p['rules']}"
    for flagged, name in ((("flagged",), "flagged_square_m"), (("flagged", "unflagged"), "water_square_m")):
        total = sum(p["square_m"] for p in properties if p["role"] in flagged)
        if abs(total - counts[name]) > 1 + len(properties):
            yield f"{name} is {counts[name]}, the areas make {total}"
    for p in properties:
        if (p["role"] == "unflagged") != (p["rules"] == []) or p["rule"] != (p["rules"] + [""])[0]:
            yield f"role '{p['role']}' with rule '{p['rule']}' and rules {p['rules']}"
    for r in head["routes"]:
        if r["flagged_m"] + r["not_covered_m"] > r["length_m"] + 1:
            yield f"route {r['route']}: more flagged than it is long"


def check_counts(document):
    head, properties = document["dangerline"], [f["properties"] for f in document["features"]]
    if head["job"] == "passage":
        for number, counts in enumerate(head["counts"], 1):
            yield from check_route(number, counts, properties)
        if any(p["route_number"] > len(head["counts"]) for p in properties):
            yield "a feature belongs to no route"
    elif head["job"] == "drift":
        yield from check_drift(head["counts"], properties)
        return
    elif head["job"] == "breakdown":
        for route in head["counts"]["routes"]:
            own = [p for p in properties if p["role"] == "in_hand" and p["route"] == route["route"]]
            if any(a["from"] > b["from"] for a, b in zip(own, own[1:])) or any(p["to_m"] < p["from_m"] for p in own):
                yield f"stretches of {route['route']} are out of order"
        return
    elif head["job"] == "drift-table":
        if any(p["unknown_share"] + p["danger_share"] > 1.0001 for p in properties):
            yield "shares of one combination are more than one"
        if head["counts"]["not_known"] != sum(p["role"] == "not_known" for p in properties):
            yield "the count does not agree with what is not known"
        if any(p["unknown_share"] > 0 and not p.get("not_known") for p in properties):
            yield "something is unknown and nothing says why"
        return
    elif head["job"] == "anchor":
        yield from check_marks(head["counts"], properties)
        return  # its grades have no cause
    elif head["job"] == "compare":
        yield from check_changes(head["counts"]["newer"], properties)
    elif head["job"] == "survey":
        yield from check_survey(head, properties)
    else:
        if head["counts"]["zones"] != len(properties) or head["counts"]["by_grade"] != count_grades(properties):
            yield "the counts do not agree with the zones"
    for p in properties:
        if "grade" in p and (p.get("cause", "") != "") != (p.get("grade") == "caution"):
            yield f"grade '{p['grade']}' with cause '{p['cause']}'"


def check_rules(document):
    """What is wrong with a document that has passed its schema."""
    found = []
    for number, feature in enumerate(document["features"]):
        found += [f"feature {number}: {what}" for what in check_geometry(feature["geometry"])]
    return found + list(check_bbox(document)) + list(check_counts(document))


def is_place(p):
    return (isinstance(p, list) and len(p) == 2 and all(type(x) in (int, float) for x in p)
            and abs(p[0]) <= 180 and abs(p[1]) <= 90)


def shortened(value):
    """A copy in which long chains of sound places keep only some: the schema takes 0.1 ms for each of them."""
    if isinstance(value, dict):
        return {key: shortened(inner) for key, inner in value.items()}
    if isinstance(value, list):
        if len(value) > 8 and all(map(is_place, value)):
            return value[:4]
        return list(map(shortened, value))
    return value


def check(validator, path):
    try:
        document = read(path)
    except (OSError, ValueError) as error:
        return [str(error)]
    found = [f"{'/'.join(map(str, e.absolute_path))}: {e.message[:200]}"
             for e in validator.iter_errors(shortened(document))]
    return found or check_rules(document) + check_decimals(path)


# ---- whether spoiled copies are found -----------------------------------------------------------------------


def all_objects_closed(schema):
    for path, node in nodes(schema):
        if isinstance(node, dict) and node.get("type") == "object" and "properties" in node:
            if node.get("additionalProperties") is not False:
                yield f"schema {'/'.join(map(str, path))}: additionalProperties is not false"


def names_in(schema):
    return {name for _, node in nodes(schema) if isinstance(node, dict) and node.get("type") == "object"
            for name in node["properties"]}


def named(document, spoilers):
    for name, change in spoilers:
        spoiled = copy.deepcopy(document)
        change(spoiled)
        yield name, spoiled


def self_test(schema, validator, path):
    found = check(validator, path) + list(all_objects_closed(schema))
    if found:
        return found
    document = read(path)
    keys = {step for place, _ in nodes(document) for step in place if isinstance(step, str)}
    found += [f"the sample never has '{name}'" for name in sorted(names_in(schema) - keys)]
    job, tried = document["dangerline"]["job"], 0
    for name, spoiled in list(named(document, SCHEMA_SPOILERS[job])) + list(everywhere(document)):
        tried += 1
        if validator.is_valid(spoiled):
            found.append(f"the schema takes a sample with {name}")
    for name, spoiled in named(document, RULE_SPOILERS[job]):
        tried += 1
        if not validator.is_valid(spoiled):
            found.append(f"meant for the rules, but the schema finds it: {name}")
        elif not check_rules(spoiled):
            found.append(f"the rules take a sample with {name}")
    if not found:
        print(f"{job}: {tried} spoiled copies were all found")
    return found


def main(arguments):
    testing = arguments[:1] == ["--self-test"]
    names = arguments[1:] if testing else arguments
    if len(names) < 2 or (testing and len(names) != 2):
        print(__doc__, file=sys.stderr)
        return 2
    schema = read(names[0])
    Draft7Validator.check_schema(schema)
    validator = Draft7Validator(schema)
    found = []
    for path in names[1:]:
        complaints = self_test(schema, validator, path) if testing else check(validator, path)
        found += [f"{path}: {what}" for what in complaints]
    for line in found:
        print(line)
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
