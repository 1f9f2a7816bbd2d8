#!/usr/bin/python3
"""Checks a folder with windows.json, windows.csv and windows.ics.

  tests/overlay/check_windows.py SCHEMA FOLDER

The JSON against its schema, the calendar byte for byte (RFC 5545: CRLF, lines of at most 75 octets, no character cut)
and by python3-icalendar, and whether all three tell the same windows. Spoiled copies of each must be found.
Exit code 0: all is well; 1: complaints on standard output; 2: wrong command line.
"""
import copy
import csv
import io
import json
import sys
from datetime import datetime, timedelta, timezone
from pathlib import Path

from icalendar import Calendar
from jsonschema import Draft7Validator


def instant(text):
    return datetime.fromisoformat(text.replace("Z", "+00:00"))


def check_json(document, validator):
    for error in validator.iter_errors(document):
        yield f"schema: {'/'.join(map(str, error.path))}: {error.message[:120]}"
        return
    for route in document["routes"]:
        spans = [(instant(c["from"]), instant(c["to"])) for c in route["closed"]]
        if any(a[1] > b[0] for a, b in zip(spans, spans[1:])) or any(a > b for a, b in spans):
            yield "closed spans out of order"
        for window in route["windows"]:
            begin, end = instant(window["from"]), instant(window["to"])
            # Whole seconds: a closure may touch a window by half of one.
            if any(a + timedelta(seconds=1) < end and b - timedelta(seconds=1) > begin for a, b in spans):
                yield f"a window is closed: {window['from']}"
            if instant(window["from_local"]) != begin or instant(window["to_local"]) != end:
                yield f"local time and UTC differ: {window['from']}"
            if begin.minute % 5 or end.minute % 5 or begin.second or end.second:
                yield f"not rounded: {window['from']}"
        shares = [step["share"] for step in route["steps"]]
        if shares != sorted(shares, reverse=True):
            yield "steps out of order"


def check_calendar(raw, windows):
    if not raw.endswith(b"\r\n") or raw.count(b"\n") != raw.count(b"\r\n") or raw.count(b"\r") != raw.count(b"\r\n"):
        yield "lines do not end with CRLF"
    for line in raw.split(b"\r\n"):
        if len(line) > 75:
            yield f"a line of {len(line)} octets"
        try:
            line.decode("utf-8")
        except UnicodeDecodeError:
            yield "a character is cut"
    try:
        calendar = Calendar.from_ical(raw)
    except ValueError as error:
        yield f"no calendar: {error}"
        return
    events = calendar.walk("VEVENT")
    if any(name not in e for e in events for name in ("UID", "DTSTAMP", "DTSTART", "DTEND", "SUMMARY")):
        yield "a property of an event is missing"
        return
    times = [(e["DTSTART"].dt.astimezone(timezone.utc), e["DTEND"].dt.astimezone(timezone.utc),
              str(e["SUMMARY"]).split(": ", 1)[1]) for e in events]
    if times != windows:
        yield "other windows than in windows.json"
    if len({str(e["UID"]) for e in events}) != len(events):
        yield "an identifier twice"
    if "VERSION" not in calendar or "PRODID" not in calendar:
        yield "a property is missing"


def check_table(raw, windows):
    rows = list(csv.DictReader(io.StringIO(raw.decode("utf-8"), newline="")))
    if [(instant(r["from_utc"]), instant(r["to_utc"]), r["route"]) for r in rows] != windows:
        yield "other windows than in windows.json"
    if any(instant(r["from_local"]) != instant(r["from_utc"]) for r in rows):
        yield "local time and UTC differ"


def spoiled_documents(document):
    for change in (lambda d: d.update(more=1), lambda d: d["routes"][0].pop("steps"),
                   lambda d: d["routes"][0]["closed"].reverse(),
                   lambda d: d["routes"][0]["windows"][0].update(from_local="2026-06-01T00:00+00:00"),
                   lambda d: d["routes"][0]["windows"][0].update(minutes="60"),
                   lambda d: d["routes"][0]["closed"][0].update(to=d["routes"][0]["windows"][-1]["to"])):
        spoiled = copy.deepcopy(document)
        change(spoiled)
        yield spoiled


def main(arguments):
    if len(arguments) != 2:
        print(__doc__, file=sys.stderr)
        return 2
    schema = json.loads(Path(arguments[0]).read_text(encoding="utf-8"))
    Draft7Validator.check_schema(schema)
    validator, folder = Draft7Validator(schema), Path(arguments[1])
    document = json.loads((folder / "windows.json").read_text(encoding="utf-8"))
    calendar, table = ((folder / f"windows.{end}").read_bytes() for end in ("ics", "csv"))
    windows = [(instant(w["from"]), instant(w["to"]), r["route"]) for r in document["routes"] for w in r["windows"]]
    found = [*check_json(document, validator), *check_calendar(calendar, windows), *check_table(table, windows)]
    if not windows:
        found.append("the sample has no window")
    elif not found:
        found += ["a spoiled document was taken" for d in spoiled_documents(document) if not list(check_json(d, validator))]
        broken = (calendar.replace(b"\r\n ", b""), calendar.replace(b"\r\n", b"\n"), calendar.replace(b"DTSTART", b"DTEND", 1),
                  calendar.replace(b"END:VEVENT", b"", 1))
        found += ["a spoiled calendar was taken" for raw in broken if not list(check_calendar(raw, windows))]
        if not list(check_table(table.replace(b"\r\n", b"\r\n\r\n").replace(b"Z", b"+01:00"), windows)):
            found.append("a spoiled table was taken")
    for line in found:
        print(line)
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
