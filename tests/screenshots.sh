#!/usr/bin/env bash
# Takes the pictures of the harness' screens and of the review anew, in their sizes, into
# assets/screens.
set -euo pipefail
cd "$(dirname "$0")/.."
. tests/packages.sh

install_packages "${build_packages[@]}" "${bench_packages[@]}" imagemagick
cmake --preset release
cmake --build --preset release
taken=$(mktemp -d)
trap 'rm -rf "$taken"' EXIT
build/release/tests/bench/thumblight-bench screenshots \
  --harness build/release/harness/thumblight-harness --out "$taken/harness"
build/release/tests/bench/thumblight-bench review-screens \
  --analysis build/release/analysis/thumblight-analysis --out "$taken/review"
cp "$taken"/harness/*.png "$taken"/review/*.png assets/screens
