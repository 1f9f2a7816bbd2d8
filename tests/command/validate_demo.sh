#!/bin/bash
# validate_demo.sh PROGRAM SOURCE-TREE: the demo's overlays, and a real cell's where one is at hand, hold against the schemas.
set -euo pipefail
program=$1
top=$2
out=$(mktemp -d)
trap 'rm -rf "$out"' EXIT
check() {
  /usr/bin/python3 -B "$top/tests/overlay/validate.py" "$top/src/overlay/schema/$1.schema.json" "$2"
}
"$program" passage "$top/testdata/demo/plan.toml" --out "$out/p" >"$out/passage.txt"
check passage "$out/p/passage.geojson"
"$program" zones "$top/testdata/demo/plan.toml" --tide 0,3 --out "$out/z" >"$out/zones.txt"
check zones "$out/z/zones.geojson"
"$program" season "$top/testdata/demo/season.toml" --out "$out/s" >"$out/season.txt"
/usr/bin/python3 -B "$top/tests/overlay/check_windows.py" "$top/src/overlay/schema/windows.schema.json" "$out/s"
"$program" anchor "$top/testdata/demo/anchor.toml" --out "$out/a" >"$out/anchor.txt"
check anchor "$out/a/anchor.geojson"
"$program" drift "$top/testdata/demo/drift.toml" --out "$out/d" >"$out/drift.txt"
check drift "$out/d/drift.geojson"
"$program" drift "$top/testdata/demo/drift.toml" --table --out "$out/dt" >"$out/table.txt"
check drift-table "$out/dt/drift-table.geojson"
"$program" breakdown "$top/testdata/demo/drift.toml" --out "$out/db" >"$out/breakdown.txt"
check breakdown "$out/db/breakdown.geojson"
"$program" compare "$top/testdata/demo/club.toml" --out "$out/c" >"$out/compare.txt"
check newer "$out/c/newer.geojson"
"$program" passage "$top/testdata/demo/club.toml" --out "$out/cp" >"$out/club.txt"
check passage "$out/cp/passage.geojson"
"$program" survey "$top/testdata/demo/survey.toml" --out "$out/y" >"$out/survey.txt"
check survey "$out/y/survey.geojson"
"$program" passage "$top/testdata/demo/survey.toml" --out "$out/yb" >>"$out/survey.txt"
check passage "$out/yb/passage.geojson"
grep -q 'Ask who crossed it last: bar "Withy mouth"' "$out/survey.txt"
grep -q 'unknown: the channel "Cobbler Gut" may have moved by 77 m since its survey, more than half its width' "$out/survey.txt"
grep -q 'hannel over a moving bottom "Cobbler Gut"' "$out/survey.txt"
"$program" survey "$top/testdata/demo" --as-of 2026-06-16 --out "$out/yc" >>"$out/survey.txt"
check survey "$out/yc/survey.geojson"
if [ -n "${DANGERLINE_REAL_CELLS:-}" ]; then
  "$program" survey "$DANGERLINE_REAL_CELLS" --as-of 2026-06-16 --out "$out/yr" >>"$out/survey.txt"
  check survey "$out/yr/survey.geojson"
fi
if grep -nwiE 'safe|clear|verdict|will hold' "$out"/*.txt; then
  echo "a word the program must not say" >&2
  exit 1
fi
