#!/usr/bin/env bash
# Takes the pictures of the harness' screens, of the review and of the report anew, in their sizes,
# into assets/screens.
set -euo pipefail
cd "$(dirname "$0")/.."
. tests/packages.sh

install_packages "${build_packages[@]}" "${bench_packages[@]}" imagemagick chromium
cmake --preset release
cmake --build --preset release --target thumblight-harness thumblight-analysis thumblight-bench page_browser
taken=$(mktemp -d)
trap 'rm -rf "$taken"' EXIT
build/release/tests/bench/thumblight-bench screenshots \
  --harness build/release/harness/thumblight-harness --out "$taken/harness"
build/release/tests/bench/thumblight-bench review-screens \
  --analysis build/release/analysis/thumblight-analysis --out "$taken/review"
node build/release/tests/page/browser/pictures.mjs build/release/analysis/thumblight-analysis \
  "$(command -v chromium)" assets/screens
cp "$taken"/harness/*.png "$taken"/review/*.png assets/screens
