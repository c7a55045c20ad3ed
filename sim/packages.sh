# packages.sh -- what a build and the tests need from the system, how to get
# it, and how to configure a build. Sourced by sim/first-run.sh, tests/run.sh
# and .ci/run, from the root of the tree.

BUILD_PACKAGES="gcc libc6-dev cmake ninja-build pkg-config \
libunicorn-dev libcjson-dev libcmocka-dev libelf-dev libdw-dev \
libcapstone-dev libexpat1-dev libxxhash-dev"
# One test is skipped without it.
TEST_PACKAGES="python3-jsonschema"

# Name those of the packages "$@" that are not installed.
missing_packages() {
  for package in "$@"; do
    dpkg-query -W -f '${Status}' "$package" 2>/dev/null |
      grep -q 'ok installed' || printf '%s ' "$package"
  done
}

# Is everything there, however it came?
have_build_tools() {
  command -v cc >/dev/null && command -v cmake >/dev/null &&
    command -v pkg-config >/dev/null &&
    pkg-config --exists unicorn libcjson libelf libdw capstone expat libxxhash \
      cmocka
}

# As root, or through sudo.
install_packages() {
  as_root=
  if [ "$(id -u)" -ne 0 ]; then
    command -v sudo >/dev/null || return 1
    as_root=sudo
  fi
  echo "Installing: $*" >&2
  $as_root env DEBIAN_FRONTEND=noninteractive sh -c \
    'apt-get -q update && apt-get -q -y install --no-install-recommends "$@"' \
    sh "$@" >&2
}

# Install what is missing of the packages "$@" where apt is. Where it isn't,
# or can't, go on if a build is possible all the same; else name them and
# stop.
need_packages() {
  missing=$*
  if command -v apt-get >/dev/null && command -v dpkg-query >/dev/null; then
    missing=$(missing_packages "$@")
    if [ -z "$missing" ]; then return 0; fi
    # shellcheck disable=SC2086
    if install_packages $missing; then return 0; fi
  fi
  if have_build_tools; then return 0; fi
  echo "Install these (Debian's names), then run this again:" >&2
  echo "  $missing" >&2
  exit 2
}

# configure_build DIR OPTION... : with ninja if it is there; a directory that
# is configured already keeps its generator.
configure_build() {
  dir=$1
  shift
  if [ ! -f "$dir/CMakeCache.txt" ] && command -v ninja >/dev/null; then
    set -- -G Ninja "$@"
  fi
  cmake -S . -B "$dir" "$@"
}
