#!/usr/bin/env bash
# Takes the pictures of the harness' screens anew, in three sizes, into assets/screens.
set -euo pipefail
cd "$(dirname "$0")/.."
. tests/packages.sh

install_packages "${build_packages[@]}" "${bench_packages[@]}" imagemagick
cmake --preset release
cmake --build --preset release
rm -rf assets/screens
build/release/tests/bench/thumblight-bench screenshots \
  --harness build/release/harness/thumblight-harness --out assets/screens
