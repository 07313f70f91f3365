#!/bin/sh
# Assesses a survey on the machines of a Slurm cluster: N parts as an array job, then their merge.
#
#   submit.sh SURVEY OUT N [options of ohmglow assess]
#
# SURVEY and OUT lie where every machine sees them under the same name. The result is OUT/result, the
# log of each part OUT/log/part-K.log. The same line again takes up what is done already.
set -eu

usage() {
  printf '%s\n' "submit.sh: $*" "usage: submit.sh SURVEY OUT N [options of ohmglow assess]" >&2
  exit 2
}

[ $# -ge 3 ] || usage "SURVEY, OUT and N are needed"
survey=$1
out=$2
parts=$3
shift 3
jobs=$(cd "$(dirname "$0")" && pwd)

[ -d "$survey" ] || usage "SURVEY: found \"$survey\", expected a folder"
case $parts in
  '' | *[!0-9]* | 0* | 1)
    usage "N: found \"$parts\", expected 2 or more; for one part, run ohmglow assess"
    ;;
esac

# Parts are of one run only if they count the age of readings from one day, even past midnight.
day=$(date +%F)
for option in "$@"; do
  case $option in
    --as-of | --as-of=*) day= ;;
    -o* | --output | --output=* | --shard | --shard=* | --resume | --watch | --jobs | --jobs=*)
      usage "$option is set by assess.sbatch"
      ;;
  esac
done
if [ -n "$day" ]; then
  set -- "$@" --as-of "$day"
  echo "submit.sh: added --as-of $day; give it when you submit again on another day" >&2
fi

# Slurm makes no folder for a log, and loses it.
mkdir -p "$out/log"

array=$(sbatch --parsable --array="1-$parts" --output="$out/log/part-%a.log" \
  "$jobs/assess.sbatch" "$survey" "$out" "$parts" "$@")
array=${array%%;*} # on several clusters, the cluster's name follows
merge=$(sbatch --parsable --dependency="afterok:$array" --output="$out/log/merge.log" \
  "$jobs/merge.sbatch" "$out" "$parts") || {
  echo "submit.sh: the merge was refused, so the parts are taken back" >&2
  scancel "$array"
  exit 3
}
merge=${merge%%;*}

echo "parts 1 to $parts: job $array, logs $out/log/part-K.log"
echo "merge: job $merge, log $out/log/merge.log, result $out/result"
