# Shared by the scripts beside this folder: packages of the system, Python, the virtual environment.
# Sourced, never run. Whatever stops it is said in one sentence on standard error.
# shellcheck shell=bash

set -Eeuo pipefail
unset CDPATH PYTHONHOME PYTHONPATH
ROOT=$(cd -- "$(dirname -- "${BASH_SOURCE[0]}")/../.." && pwd -P)
cd -- "$ROOT"
PATH=$PATH:/usr/sbin:/sbin # where ldconfig is, for those who are not root

say() { printf '%s\n' "$*"; }
stop() {
  printf '%s\n' "$*" >&2
  exit 1
}

# One set-up at a time: a second one waits for the first.
begin_setting_up() {
  exec 8<"$ROOT/script"
  flock 8
}
done_setting_up() { exec 8<&-; }

# ------------------------------------------------------------------ packages of the system

# shellcheck disable=SC2034  # used by the scripts that source this file
# What making PDFs needs: a package, and the library or font by which to know that it is here.
PAPER_PACKAGES=(
  libpango-1.0-0=libpango-1.0.so.0
  libpangoft2-1.0-0=libpangoft2-1.0.so.0
  libharfbuzz-subset0=libharfbuzz-subset.so.0
  fonts-dejavu-core=DejaVuSans.ttf
)

is_here() {
  case $1 in
    *.so.*) [[ $(ldconfig -p 2>/dev/null) == *"$1"* ]] ;;
    *.ttf) [[ -n $(find -L /usr/share/fonts /usr/local/share/fonts -name "$1" -print -quit 2>/dev/null) ]] ;;
    *) command -v "$1" >/dev/null ;;
  esac
}

# ensure_packages PACKAGE=SIGN ... : install those whose sign is not on this machine.
ensure_packages() {
  local pair missing=()
  for pair in "$@"; do
    is_here "${pair#*=}" || missing+=("${pair%%=*}")
  done
  ((${#missing[@]} == 0)) || install_packages "${missing[@]}"
}

# may_install: AS_ROOT becomes what to put before apt-get; fails when nobody here may run it.
AS_ROOT=()
may_install() {
  ((EUID != 0)) || return 0
  { command -v sudo && sudo -n true; } >/dev/null 2>&1 || return 1
  AS_ROOT=(sudo -n)
}

install_packages() {
  command -v apt-get >/dev/null ||
    stop "This machine lacks what Debian calls $*; install it with the system's own package manager."
  may_install ||
    stop "This machine lacks packages; ask its administrator to run: apt-get install -y $*"
  say "Installing packages of the system: $*"
  apt install -y -qq "$@" 2>/dev/null || { apt update -qq && apt install -y -qq "$@"; } ||
    stop "apt-get could not install $*; its own words are above."
}

apt() {
  "${AS_ROOT[@]}" env DEBIAN_FRONTEND=noninteractive apt-get "$1" --no-install-recommends \
    -o DPkg::Lock::Timeout=120 -o Dpkg::Use-Pty=0 "${@:2}" </dev/null >/dev/null
}

# ------------------------------------------------------------------ Python

new_enough() { "$1" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; }
makes_venvs() { "$1" -c 'import ensurepip, venv' 2>/dev/null; }

# find_python: PYTHON becomes the first one that is new enough, best one that can make a venv.
find_python() {
  local name path old=
  PYTHON=
  for name in ${STUBAXLE_PYTHON:-} python3 python3.13 python3.12 python3.11 /usr/bin/python3; do
    path=$(command -v "$name") || continue
    if ! new_enough "$path"; then
      old=${old:-$path}
    elif makes_venvs "$path"; then
      PYTHON=$path
      return
    else
      PYTHON=${PYTHON:-$path}
    fi
  done
  [[ -n $PYTHON ]] && return
  [[ -z $old ]] || stop "Python 3.11 or newer is needed; $old is $("$old" -V 2>&1 | cut -d' ' -f2)."
}

ensure_python() {
  find_python
  if [[ -z $PYTHON ]]; then
    install_packages python3 python3-venv
    find_python
  elif ! makes_venvs "$PYTHON"; then
    install_packages python3-venv
    find_python
  fi
  [[ -n $PYTHON ]] || stop "Python 3.11 or newer is needed, and this machine has none."
  makes_venvs "$PYTHON" ||
    stop "$PYTHON cannot make a virtual environment; install the package that holds its venv module."
}

# The stamp tells which locks the virtual environment holds, and for which Python.
STAMP=.venv/stubaxle.stamp
stamp_line() { sha256sum "$1"; }
venv_works() {
  [[ -x .venv/bin/python ]] || return 1
  [[ $(.venv/bin/python -c 'import sys, pip; print(sys.version_info[:2], sys.prefix)' 2>/dev/null) == \
    "$(head -n 1 "$STAMP" 2>/dev/null)" ]]
}

# ensure_venv LOCK: a virtual environment that holds exactly what this lock pins.
ensure_venv() {
  local lock=$1
  if venv_works && grep -qxF "$(stamp_line "$lock")" "$STAMP"; then return; fi
  [[ -w . || -w .venv ]] || stop "$ROOT cannot be written, and the Python packages belong there."
  if ! venv_works; then
    ensure_python
    say "Making a virtual environment with $("$PYTHON" -V)"
    "$PYTHON" -m venv --clear .venv || stop "$PYTHON could not make a virtual environment in .venv."
    .venv/bin/python -c 'import sys; print(sys.version_info[:2], sys.prefix)' >"$STAMP"
  fi
  say "Installing the Python packages of $lock (a minute or two, only when they change)"
  if ! .venv/bin/python -m pip install --quiet --disable-pip-version-check --no-input \
    --require-hashes --only-binary :all: -r "$lock" </dev/null >.venv/pip.log 2>&1; then
    grep -v 'is ignored: it is neither' .venv/pip.log | tail -n 20 >&2
    stop "The Python packages of $lock could not be installed; pip's own words are above."
  fi
  keep_stamp "$lock"
}

keep_stamp() {
  local first lock
  first=$(head -n 1 "$STAMP")
  {
    printf '%s\n' "$first"
    stamp_line "$1"
    # What checks the product includes all that runs it, at the same versions.
    if [[ $1 == requirements-test.lock ]]; then stamp_line requirements.lock; fi
  } >"$STAMP.new"
  mv -f "$STAMP.new" "$STAMP"
}
