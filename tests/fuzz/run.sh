#!/bin/bash
# Lets every libFuzzer target run for so many seconds, under AddressSanitizer and UndefinedBehaviorSanitizer, two at a
# time:
#
#   bash tests/fuzz/run.sh 600 [TARGET...]        all targets: drive growing robot_yaml map_folder database
#
# Each begins with the kept inputs in tests/fuzz/corpus/ and with what earlier runs found, in build/fuzz/found/. A line
# a target: inputs tried, a second, inputs that went new ways. Status 1 where something was found, with the input that
# shows it; put into tests/fuzz/corpus/, it is a test from then on.
set -euo pipefail
cd "$(dirname "$0")/../.."
seconds=${1:?how many seconds for each target}
shift
[ $# -gt 0 ] || set -- drive growing robot_yaml map_folder database
folder=build/fuzz
mkdir -p "$folder"

if ! { cmake -G Ninja -S . -B "$folder" -DCMAKE_CXX_COMPILER=clang++ -DWAINSCOT_FUZZ=ON -DWAINSCOT_WERROR=ON \
  -DCMAKE_BUILD_TYPE=None -DCMAKE_CXX_FLAGS="-O1 -g1" -DWAINSCOT_SANITIZE=address,undefined,fuzzer-no-link &&
  cmake --build "$folder" --target "${@/%/_fuzz}"; } >"$folder/build.log" 2>&1; then
  grep -E 'error|FAILED|CMake Error' -A 6 "$folder/build.log" | head -n 60 >&2 || true
  echo "The build failed; all of its words are in $folder/build.log." >&2
  exit 1
fi

# An input may take 10 s (under sanitizers, on a shared machine; a usual one takes a millisecond) and 2 GB.
fuzz() {
  local target=$1 log=$folder/$1.log
  mkdir -p "$folder/found/$target" "$folder/crashes"
  local status=0
  "$folder/tests/fuzz/${target}_fuzz" -max_total_time="$seconds" -timeout=10 -rss_limit_mb=2048 -max_len=4096 \
    -print_final_stats=1 -artifact_prefix="$folder/crashes/$target-" "$folder/found/$target" \
    "tests/fuzz/corpus/$target" >"$log" 2>&1 || status=$?
  awk -v target="$target" '/^stat::/ { value[$1] = $2 } END {
    printf "%-10s  %d inputs, %d a second, %d new ones kept\n", target, value["stat::number_of_executed_units:"],
      value["stat::average_exec_per_sec:"], value["stat::new_units_added:"] }' "$log"
  if [ "$status" -ne 0 ]; then
    grep -vE '^(#|INFO|stat)' "$log" | head -n 40
    grep -oE "$folder/crashes/[^ ]+" "$log" | sort -u | sed 's/^/The input that shows it: /'
    return 1
  fi
}
export -f fuzz
export folder seconds
printf '%s\n' "$@" | xargs -P 2 -I TARGET bash -c 'fuzz TARGET' || exit 1
