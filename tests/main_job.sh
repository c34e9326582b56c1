#!/usr/bin/env bash
# The main job on this machine, from nothing: installs what is missing, builds, and runs the real
# bench: a virtual display, real key presses, real pixels, and the split of each session; then two
# sessions filmed and measured from the film, the first of them into its report; then the demo,
# twelve rehearsed sessions compared, and their report.
set -euo pipefail
cd "$(dirname "$0")/.."
. tests/packages.sh

install_packages "${build_packages[@]}" "${bench_packages[@]}"
cmake --preset release
cmake --build --preset release --target thumblight-harness thumblight-analysis thumblight-bench thumblight-screen-camera
bin=build/release
out=build/main-job/$(date -u +%Y%m%d-%H%M%S)
"$bin/tests/bench/thumblight-bench" main-job --harness "$bin/harness/thumblight-harness" \
  --analysis "$bin/analysis/thumblight-analysis" --out "$out" "$@"
"$bin/tests/bench/thumblight-bench" filmed --harness "$bin/harness/thumblight-harness" \
  --analysis "$bin/analysis/thumblight-analysis" --out "$out-filmed" "$@"
echo
echo "The sessions, each with its log, timings and result, are in $out;"
echo "the filmed ones, with film, regions.png and the frames of every press, in $out-filmed."
"$bin/analysis/thumblight-analysis" report "$(find "$out-filmed" -name result.json -printf '%h\n' | sort | head -n 1)"
echo
"$bin/analysis/thumblight-analysis" demo "$out-demo"
