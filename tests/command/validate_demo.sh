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
"$program" survey "$top/testdata/demo/survey.toml" --out "$out/y" >"$out/survey.txt"
check survey "$out/y/survey.geojson"
"$program" passage "$top/testdata/demo/survey.toml" --out "$out/b" >>"$out/survey.txt"
check passage "$out/b/passage.geojson"
grep -q 'Ask who crossed it last: bar "Withy mouth"' "$out/survey.txt"
"$program" survey "$top/testdata/demo" --as-of 2026-06-16 --out "$out/c" >>"$out/survey.txt"
check survey "$out/c/survey.geojson"
if [ -n "${DANGERLINE_REAL_CELLS:-}" ]; then
  "$program" survey "$DANGERLINE_REAL_CELLS" --as-of 2026-06-16 --out "$out/r" >>"$out/survey.txt"
  check survey "$out/r/survey.geojson"
fi
if grep -nwiE 'safe|clear|verdict|will hold' "$out/passage.txt" "$out/zones.txt" "$out/season.txt" "$out/survey.txt"; then
  echo "a word the program must not say" >&2
  exit 1
fi
