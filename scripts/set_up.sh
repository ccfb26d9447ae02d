#!/usr/bin/env bash
# All set-up for `make demo`, `make test` and the rest: the virtual environment .venv with pinned
# packages and, on Debian, the shared libraries that Qt and VTK need. Quick when nothing changed.
set -euo pipefail
cd "$(dirname "$0")/.."

python=${PYTHON:-python3}
stamp=.venv/.set-up-done
wanted=$(cat pyproject.toml constraints.txt scripts/set_up.sh | sha256sum | cut -d' ' -f1)

say() { echo "set-up: $*" >&2; }

# --- shared libraries, fonts, a virtual display: what is looked for, and the package that has it
libraries="libGL.so.1:libgl1 libEGL.so.1:libegl1 libxkbcommon-x11.so.0:libxkbcommon-x11-0
  libxcb-cursor.so.0:libxcb-cursor0 libxcb-icccm.so.4:libxcb-icccm4 libxcb-image.so.0:libxcb-image0
  libxcb-keysyms.so.1:libxcb-keysyms1 libxcb-randr.so.0:libxcb-randr0
  libxcb-render-util.so.0:libxcb-render-util0 libxcb-shape.so.0:libxcb-shape0
  libxcb-xinerama.so.0:libxcb-xinerama0 libxcb-xkb.so.1:libxcb-xkb1 libdbus-1.so.3:libdbus-1-3
  libfontconfig.so.1:libfontconfig1 libglib-2.0.so.0:libglib2.0-0 libX11-xcb.so.1:libx11-xcb1"

missing_packages() {
  local known pair
  known=$( (ldconfig -p || /sbin/ldconfig -p) 2>/dev/null)
  for pair in $libraries; do
    grep -qF "${pair%%:*} " <<<"$known" || echo "${pair##*:}"
  done
  command -v Xvfb >/dev/null || echo xvfb
  command -v xauth >/dev/null || echo xauth
  [ -d /usr/share/fonts/truetype/dejavu ] || echo fonts-dejavu-core
}

install_packages() {
  local rise=()
  [ "$(id -u)" = 0 ] || rise=(sudo -n)
  "${rise[@]}" apt-get update -q >&2 &&
    "${rise[@]}" env DEBIAN_FRONTEND=noninteractive \
      apt-get install -q -y --no-install-recommends "$@" >&2
}

may_install() {
  command -v apt-get >/dev/null &&
    { [ "$(id -u)" = 0 ] || { command -v sudo >/dev/null && sudo -n true 2>/dev/null; }; }
}

if command -v dpkg >/dev/null; then
  missing=$(missing_packages | tr '\n' ' ')
  if [ -n "$missing" ]; then
    say "missing: $missing"
    # shellcheck disable=SC2086  # one word per package
    if ! { may_install && install_packages $missing; }; then
      say "Please install these first: apt-get install $missing"
      # On a desktop some may do without (Xvfb serves tests); without a screen none can.
      [ -n "${DISPLAY:-}${WAYLAND_DISPLAY:-}" ] || exit 1
    fi
  fi
fi

# --- Python packages
if [ -x .venv/bin/python ] && [ "$(cat $stamp 2>/dev/null)" = "$wanted" ]; then
  exit 0
fi

if ! command -v "$python" >/dev/null; then
  say "Python 3.11 or newer is needed; install it, or name one by PYTHON=…"
  exit 1
fi
if ! "$python" -c 'import sys; sys.exit(sys.version_info < (3, 11))'; then
  say "Python 3.11 or newer is needed, this is $("$python" -V); name another by PYTHON=…"
  exit 1
fi
if ! "$python" -c 'import ensurepip, venv' 2>/dev/null; then
  if ! { may_install && install_packages python3-venv; }; then
    say "Please install Python's venv first: apt-get install python3-venv"
    exit 1
  fi
fi

say "installing packages into .venv (some minutes, once)"
rm -f $stamp
[ -x .venv/bin/python ] || "$python" -m venv --clear .venv
pip=(.venv/bin/python -m pip --disable-pip-version-check install -q -c constraints.txt)
"${pip[@]}" hatchling editables
# The project itself in place, and its development packages.
development=$(.venv/bin/python scripts/dev_packages.py)
# shellcheck disable=SC2086  # one word per package
"${pip[@]}" --no-build-isolation -e . $development
echo "$wanted" >$stamp
say "done"
