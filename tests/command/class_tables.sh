#!/bin/bash
# class_tables.sh PROGRAM SOURCE-TREE: without GDAL's class tables no object has attributes; the cell is refused, not read.
set -euo pipefail
code=0
said=$(S57_CSV=/nonexistent GDAL_DATA=/nonexistent "$1" chart "$2/testdata/demo/X14DEMO1.000" 2>&1) || code=$?
[ "$code" -eq 1 ] || { echo "exit $code: $said"; exit 1; }
case $said in
  *"no class tables"*"GDAL_DATA"*) ;;
  *) echo "$said"; exit 1 ;;
esac
