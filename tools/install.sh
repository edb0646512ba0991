#!/usr/bin/env bash
# Installs, on Debian 12, the packages that firstshot is built and tested with, and only those that are missing.
# When nothing is missing it says nothing and takes no time.
#
#   tools/install.sh          everything (build and tests)
#   tools/install.sh build    only what building and running the program needs
#
# FIRSTSHOT_SKIP_INSTALL=1 leaves the system alone, for machines where the libraries come from somewhere else.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."

# The one list of packages.
build_packages=(
  g++ cmake ninja-build git ca-certificates ccache python3    # ccache: second builds are quick; git: lists the sources
  libeigen3-dev libmetis-dev                                  # sparse solver and its ordering
  libcgal-dev                                                 # meshing
  libtomlplusplus-dev nlohmann-json3-dev libfmt-dev libcli11-dev
  libhdf5-dev libvtk9-dev                                     # result files
  libocct-data-exchange-dev                                   # STEP files
  libdxflib-dev                                               # DXF drawings
  zlib1g-dev                                                  # numbers in the report
  libcairo2-dev                                               # pictures without a display
  catch2                                                      # looked for when the build is set up
)
test_packages=(
  clang-14 libclang-rt-14-dev                                 # fuzzing, thread sanitizer
  clang-format-14 clang-tidy-14
  chromium fonts-liberation                                   # looks at the page of the report
  slurm-wlm munge                                             # a cluster of one node for the tests of sweeps
)

# They bundle the page of the report. Where they come from somewhere else already, Debian's would only be in the way.
if ! command -v node >/dev/null || ! command -v npm >/dev/null; then build_packages+=(nodejs npm); fi

packages=("${build_packages[@]}")
what=${1:-all}
case "$what" in
  all) packages+=("${test_packages[@]}") ;;
  build) ;;
  *) sed -n '2,/^set/s/^# \{0,1\}//p' tools/install.sh; exit 2 ;;
esac

stop() {
  printf 'install: %s\n' "$1" >&2
  exit 1
}

if [ "${FIRSTSHOT_SKIP_INSTALL:-}" = 1 ]; then exit 0; fi
if ! command -v dpkg-query >/dev/null || ! command -v apt-get >/dev/null; then
  stop "this is not a Debian system, so nothing can be installed here. Install what these Debian packages hold with
your own package manager, set FIRSTSHOT_SKIP_INSTALL=1 and start again: ${packages[*]}"
fi

# The page's packages from npm, once; later builds and tests need no network.
fetch_page_packages() {
  local pairs=(io/report_page:build/report_page) pair
  if [ "$what" = all ]; then pairs+=(tests/page:build/report_page_tests); fi
  for pair in "${pairs[@]}"; do
    cmake -D "SOURCE=${pair%:*}" -D "STORE=${pair#*:}" -D INSTALL_ONLY=1 -P io/report_page/bundle.cmake ||
      stop "the packages of the report's page could not be fetched; the lines above say why."
  done
}

installed=$(dpkg-query -W -f='${Package} ${db:Status-Status}\n' "${packages[@]}" 2>/dev/null | sed -n 's/ installed$//p' || true)
missing=()
for package in "${packages[@]}"; do
  grep -qxF -- "$package" <<<"$installed" || missing+=("$package")
done
if [ "${#missing[@]}" -eq 0 ]; then
  fetch_page_packages
  exit 0
fi

as_root=()
if [ "$(id -u)" -ne 0 ]; then
  command -v sudo >/dev/null || stop "these packages are missing and only root can install them; there is no sudo here.
Ask for: apt-get install --no-install-recommends ${missing[*]}"
  as_root=(sudo)
  # Without a terminal nobody can type a password.
  if [ ! -t 0 ]; then
    sudo -n true 2>/dev/null || stop "these packages are missing and sudo asks for a password: ${missing[*]}"
  fi
fi

apt() {
  "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get -qq -o DPkg::Lock::Timeout=300 -o Acquire::Retries=3 \
    -o Dpkg::Use-Pty=0 "$@" </dev/null
}
install_missing() { apt install -y --no-install-recommends "${missing[@]}" >/dev/null; }

echo "Installing ${#missing[@]} Debian packages with what they need (first time: some minutes): ${missing[*]}"
# A system that never fetched the list of packages has no such file.
if ! compgen -G '/var/lib/apt/lists/*_Packages*' >/dev/null; then
  apt update
  install_missing || stop "apt-get could not install them; the lines above say why."
else
  install_missing || {
    echo "Fetching the newest list of packages and trying again."
    apt update
    install_missing || stop "apt-get could not install them; the lines above say why."
  }
fi
fetch_page_packages
echo "Installed."
