#!/bin/sh
# The long pass: every target for so many seconds under libFuzzer, ASan and UBSan, from the seeds, what was found
# before and the corpus of earlier passes. Ends with 1 where something was found; it lies in BUILD/tests/fuzz/found.
#
#   tests/fuzz/run.sh BUILD SECONDS [TARGET …]
set -eu
build=$1
seconds=$2
shift 2
here=$(cd "$(dirname "$0")" && pwd)
fuzz=$build/tests/fuzz
[ $# -gt 0 ] || set -- $(sed -n 's/.*Target{"\([a-z_]*\)", *[a-z_]*}, *Target{"\([a-z_]*\)".*/\1 \2/p
                              s/^ *Target{"\([a-z_]*\)", *[a-z_]*},$/\1/p' "$here/targets.cpp")
result=0
mkdir -p "$fuzz/found"
for target in "$@"; do
  mkdir -p "$fuzz/corpus/$target"
  known=
  [ ! -d "$here/found/$target" ] || known=$here/found/$target
  dictionary=
  [ ! -f "$here/$target.dict" ] || dictionary=-dict=$here/$target.dict
  log=$fuzz/$target.log
  # Six seconds for one input: a square of its length shows there.
  if ! OHMGLOW_FUZZ_TARGET=$target "$fuzz/fuzz" -max_total_time="$seconds" -timeout=6 -rss_limit_mb=2048 -max_len=65536 \
    -print_final_stats=1 $dictionary -artifact_prefix="$fuzz/found/$target-" \
    "$fuzz/corpus/$target" "$fuzz/seeds/$target" $known >"$log" 2>&1; then
    result=1
    printf '%s: FOUND SOMETHING, see %s\n' "$target" "$log"
  fi
  printf '%-11s %10s executions, %6s edges\n' "$target" \
    "$(sed -n 's/^stat::number_of_executed_units: *//p' "$log" | tail -n 1)" \
    "$(sed -n 's/.* cov: \([0-9]*\) .*/\1/p' "$log" | tail -n 1)"
done
exit "$result"
