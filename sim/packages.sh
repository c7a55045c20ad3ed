# packages.sh -- what a build needs from the system, and how to get it.
# Sourced by sim/first-run.sh, tests/run.sh and .ci/run.

BUILD_PACKAGES="gcc libc6-dev cmake ninja-build pkg-config \
libunicorn-dev libcjson-dev libcmocka-dev libelf-dev"

# Name the packages of the list "$@" that are not installed.
missing_packages() {
  for package in "$@"; do
    dpkg-query -W -f '${Status}' "$package" 2>/dev/null |
      grep -q 'ok installed' || printf '%s ' "$package"
  done
}

# Install what is missing of "$@" where apt is; elsewhere name it and stop.
need_packages() {
  if ! command -v apt-get >/dev/null || ! command -v dpkg-query >/dev/null
  then
    if have_build_tools; then return 0; fi
    echo "This system has no apt. Install these (Debian's names), then run" \
      "this again:" >&2
    echo "  $*" >&2
    exit 2
  fi
  missing=$(missing_packages "$@")
  if [ -z "$missing" ]; then return 0; fi
  echo "Installing: $missing" >&2
  as_root=
  if [ "$(id -u)" -ne 0 ]; then as_root=sudo; fi
  # shellcheck disable=SC2086
  $as_root env DEBIAN_FRONTEND=noninteractive sh -c \
    'apt-get -q update && apt-get -q -y install --no-install-recommends "$@"' \
    sh $missing >&2
}

# Without apt: is everything there all the same?
have_build_tools() {
  command -v cmake >/dev/null && command -v pkg-config >/dev/null &&
    pkg-config --exists unicorn libcjson libelf cmocka
}

# A generator that is there.
generator() {
  if command -v ninja >/dev/null; then echo Ninja; else echo "Unix Makefiles"
  fi
}
