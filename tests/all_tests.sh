#!/usr/bin/env bash
# Every test, from nothing: installs what is missing, checks the style, builds with warnings as
# errors, lints, runs the tests of what reads from outside under sanitizers, and then all others.
set -euo pipefail
cd "$(dirname "$0")/.."
. tests/packages.sh

install_packages "${build_packages[@]}" "${bench_packages[@]}" "${test_packages[@]}" git clang-format clang-tidy

step() { printf '\n== %s\n' "$*"; }

step "format"
git ls-files -z '*.cpp' '*.hpp' | xargs -0 clang-format --dry-run --Werror

step "build"
cmake --preset dev
cmake --build --preset dev --target thumblight-harness thumblight-analysis thumblight-bench \
  tests_quick tests_long tests_display

# Each source by itself, so that one that includes too little is found: the builds take several
# sources at a time.
step "lint"
cmake --preset lint
cmake --build --preset lint --target page_parts
git ls-files -z 'harness/*.cpp' 'analysis/*.cpp' | grep -zv '_standard\|_windows\|_other' |
  xargs -0 -n 4 -P "$(nproc)" clang-tidy -p build/lint --quiet 2>/dev/null

step "what reads from outside, under the sanitizers"
cmake --preset asan
cmake --build --preset asan --target tests_sanitized
ctest --preset asan --label-regex sanitized --parallel "$(nproc)"

step "all other tests"
ctest --preset dev --label-regex 'quick|long|display' --parallel "$(nproc)"
