# shellcheck shell=bash
# Sourced by the other scripts: where the sources are, and one way to configure a build folder.
top=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)

# The tests' precompiled header defeats ccache without these.
export CCACHE_SLOPPINESS=pch_defines,time_macros,include_file_mtime,include_file_ctime

# configure FOLDER [CMAKE-OPTION...]: once; ninja configures again by itself where a CMake file changed.
configure() {
  local folder=$1
  shift
  local cache=$folder/CMakeCache.txt
  # A build folder that came along with a moved or copied tree is of no use.
  if [ -f "$cache" ] && ! grep -qxF "CMAKE_HOME_DIRECTORY:INTERNAL=$top" "$cache"; then
    rm -rf "$folder"
  fi
  if [ ! -f "$folder/build.ninja" ]; then
    cmake -S "$top" -B "$folder" -G Ninja "$@"
  fi
}

# stage NAME COMMAND...: runs it, says how long it took, remembers failures in `failed`.
failed=()
stage() {
  local name=$1 begin=$SECONDS
  shift
  echo "== $name"
  if "$@"; then
    echo "== $name: done in $((SECONDS - begin)) s"
  else
    echo "== $name: FAILED after $((SECONDS - begin)) s"
    failed+=("$name")
  fi
}
