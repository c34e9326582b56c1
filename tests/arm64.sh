#!/usr/bin/env bash
# Builds the harness for 64-bit ARM, as handhelds have it, and runs its tests and its self-check
# under emulation, without a display. Adds the architecture arm64 to this machine's packages.
set -euo pipefail
cd "$(dirname "$0")/.."
. tests/packages.sh

if ! dpkg --print-foreign-architectures | grep -qx arm64; then
  as_root dpkg --add-architecture arm64
  as_root apt-get -q update
fi
install_packages "${build_packages[@]}" g++-aarch64-linux-gnu libsdl2-dev:arm64 qemu-user-static

cmake --preset arm64
cmake --build --preset arm64
ctest --preset arm64
SDL_VIDEODRIVER=dummy qemu-aarch64-static build/arm64/harness/thumblight-harness --self-check
