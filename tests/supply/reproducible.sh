#!/bin/sh
# Builds this checkout's HEAD twice, in folders of different names and without a cache, and compares the
# program and its parts byte by byte. Takes two builds from nothing.
#
#   tests/supply/reproducible.sh FOLDER [options of cmake …]
set -eu
folder=${1:?a folder for the two builds}
shift
checkout=$(cd "$(dirname "$0")/../.." && pwd)
mkdir -p "$folder"
folder=$(cd "$folder" && pwd)
export CCACHE_DISABLE=1
for name in one another-of-a-longer-name; do
  rm -rf "${folder:?}/$name"
  git clone --quiet "$checkout" "$folder/$name"
  (cd "$folder/$name" && cmake --preset release "$@" >/dev/null && cmake --build --preset release -j 2 >/dev/null)
done
differs=0
for file in "$folder"/one/build/release/ohmglow "$folder"/one/build/release/*.so "$folder"/one/build/release/libohmglow.a; do
  name=$(basename "$file")
  if cmp "$file" "$folder/another-of-a-longer-name/build/release/$name"; then
    printf '%s  %s\n' "$(sha256sum <"$file" | cut -c1-16)" "$name"
  else
    differs=1
  fi
done
exit "$differs"
