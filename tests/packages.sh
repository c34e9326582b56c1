# To be sourced: install_packages NAME... installs what is missing from Debian's packages.
# As root it needs nothing; otherwise it asks sudo, and only where something is missing.

as_root() {
  if [ "$(id -u)" -eq 0 ]; then
    "$@"
  elif command -v sudo >/dev/null; then
    sudo "$@"
  else
    echo "Packages are missing and there is no sudo: as root, run: $*" >&2
    return 1
  fi
}

install_packages() {
  local missing=() name
  for name in "$@"; do
    # A package may be there for several architectures, a line each.
    if ! dpkg-query -W -f '${db:Status-Status}\n' "$name" 2>/dev/null | grep -qx installed; then
      missing+=("$name")
    fi
  done
  if [ ${#missing[@]} -gt 0 ]; then
    echo "Installing: ${missing[*]}"
    as_root apt-get -q update
    as_root env DEBIAN_FRONTEND=noninteractive apt-get -q install -y --no-install-recommends "${missing[@]}"
  fi
}

# What building takes; what the bench needs: a display of its own, keys, OpenGL.
build_packages=(g++ cmake ninja-build pkg-config libsdl2-dev libcli11-dev nlohmann-json3-dev catch2 libboost-dev
  libeigen3-dev libavformat-dev libavcodec-dev libavutil-dev libswscale-dev libswresample-dev librsvg2-dev libcairo2-dev
  libimgui-dev libfontconfig-dev)
# Fetches the chart library of the report; a Node.js from elsewhere may have brought it along.
command -v npm >/dev/null || build_packages+=(npm nodejs)
bench_packages=(xvfb libx11-dev libxtst-dev libgl1-mesa-dri fonts-dejavu-core)
# What the tests hold the reading of recordings against; what opens the report.
test_packages=(ffmpeg chromium)
