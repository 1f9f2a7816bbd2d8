#!/bin/bash
# Installs the rooms into a folder of its own, cuts the tour out of DEVELOPERS.md, builds it against the
# installation and runs it on the demo chart.
set -euo pipefail
source_tree=$1
build_tree=$2
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cmake --install "$build_tree" --prefix "$work/installed" >"$work/log" || { cat "$work/log"; exit 1; }
mkdir "$work/tour"
cp "$source_tree/tests/library/CMakeLists.txt" "$work/tour/"
sed -n '/^```cpp$/,/^```$/p' "$source_tree/DEVELOPERS.md" | sed '/^```/d' >"$work/tour/tour.cpp"
cmake -S "$work/tour" -B "$work/build" -G Ninja -DCMAKE_PREFIX_PATH="$work/installed" \
  -DCMAKE_BUILD_TYPE=Debug >"$work/log" 2>&1 || { cat "$work/log"; exit 1; }
ninja -C "$work/build" >"$work/log" 2>&1 || { cat "$work/log"; exit 1; }
out=$("$work/build/tour" "$source_tree/testdata/demo/X14DEMO1.000")
echo "$out"
grep -q "^danger " <<<"$out"
