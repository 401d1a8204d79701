#!/usr/bin/env bash
# What a machine must have before the ledger can run on it. The Makefile calls:
#   setup.sh venv                          .venv from requirements.txt, each file checked by its hash
#   setup.sh packages demo|test|postgres   shared libraries and the papers' font, browser, database server (or several)
#   setup.sh translations                  compiles the .po files
#   setup.sh demo PORT                     lays the book, loads the demo season once, serves it on 127.0.0.1:PORT
# It installs by apt only as root on Debian; anybody else is told the one command to type.
set -euo pipefail
cd "$(dirname "$0")/../.."

FONT_DIR=${LEDGER_PAPER_FONT_DIR:-/usr/share/fonts/truetype/bizud-gothic}
VENV_PYTHON=.venv/bin/python

refuse() { printf '%s\n' "" "$@" >&2; exit 1; }

is_root_on_debian() { [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; }

# Without root: the command to type. As root: done, quietly unless it fails.
install_packages() {
  if ! is_root_on_debian; then
    refuse "This machine lacks: $*" "On Debian, type this and then run make again:" "" \
      "  sudo apt-get update && sudo apt-get install -y --no-install-recommends $*"
  fi
  echo "Installing from Debian: $*"
  mkdir -p var
  export DEBIAN_FRONTEND=noninteractive
  { apt-get update -q && apt-get install -y -q --no-install-recommends "$@"; } >var/apt.log 2>&1 </dev/null \
    || { tail -n 30 var/apt.log >&2; refuse "apt-get could not install $*; the lines above say why."; }
}

find_python() {
  local name
  for name in "${PYTHON:-}" python3.11 python3; do
    [ -n "$name" ] && "$name" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null && { echo "$name"; return; }
  done
  return 1
}

can_make_venv() { "$1" -c 'import ensurepip, venv' 2>/dev/null; }

make_venv() {
  local python
  python=$(find_python) || { install_packages python3 python3-venv; python=$(find_python); } \
    || refuse "The ledger needs Python 3.11 or newer; name one with PYTHON=..."
  if [ ! -x "$VENV_PYTHON" ]; then
    can_make_venv "$python" || install_packages python3-venv
    "$python" -m venv --clear .venv
  fi
  echo "Installing the Python packages that requirements.txt names (half a minute on a quick line)"
  "$VENV_PYTHON" -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements.txt
  touch .venv/.stamp
}

has_library() { "$VENV_PYTHON" -c 'import ctypes, sys; ctypes.CDLL(sys.argv[1])' "$1" 2>/dev/null; }

find_initdb() {
  local found
  for found in "$(command -v initdb || true)" "$(pg_config --bindir 2>/dev/null || true)/initdb" /usr/lib/postgresql/*/bin/initdb; do
    [ -x "$found" ] && { readlink -f "$found"; return; }
  done
  return 1
}

# Prints the Debian packages that are missing for one purpose. What counts is that the thing works, not how it came.
missing_for() {
  case $1 in
    demo)
      has_library libpango-1.0.so.0 || echo libpango-1.0-0
      has_library libpangoft2-1.0.so.0 || echo libpangoft2-1.0-0
      has_library libharfbuzz-subset.so.0 || echo libharfbuzz-subset0
      [ -f "$FONT_DIR/BIZUDPGothic-Regular.ttf" ] || [ -n "${LEDGER_PAPER_FONT_DIR:-}" ] || echo fonts-morisawa-bizud-gothic ;;
    test)
      missing_for demo
      "$VENV_PYTHON" tests/browser/chromium.py >/dev/null || echo chromium
      command -v pdftoppm >/dev/null || echo poppler-utils ;;
    postgres)
      find_initdb >/dev/null || echo postgresql ;;
  esac
}

missing_for_all() { local purpose; for purpose in "$@"; do missing_for "$purpose"; done; }

need_packages() {
  local missing purpose
  for purpose in "$@"; do
    [[ $purpose =~ ^(demo|test|postgres)$ ]] || refuse "setup.sh packages knows demo, test and postgres, not $purpose."
  done
  mapfile -t missing < <(missing_for_all "$@")
  [ "${#missing[@]}" = 0 ] && return
  # A server of everybody's on the usual port is not wanted: the tests start their own.
  if [[ " ${missing[*]} " == *" postgresql "* ]] && is_root_on_debian && [ ! -e /etc/postgresql-common ]; then
    mkdir -p /etc/postgresql-common
    echo "create_main_cluster = false" >/etc/postgresql-common/createcluster.conf
  fi
  install_packages "${missing[@]}"
  mapfile -t missing < <(missing_for_all "$@")
  [ "${#missing[@]}" = 0 ] || refuse "Still missing after the installation: ${missing[*]}"
}

compile_translations() {
  local domain
  for domain in django djangojs; do
    if compgen -G "lots/locale/*/LC_MESSAGES/$domain.po" >/dev/null; then
      .venv/bin/pybabel --quiet compile --directory lots/locale --domain "$domain"
    fi
  done
}

# The demo's own key: drawn once, kept beside the book, readable by nobody else.
demo_secret() {
  [ -s var/secret_key ] || (umask 077; "$VENV_PYTHON" -c 'import secrets; print(secrets.token_urlsafe(48))' >var/secret_key)
  cat var/secret_key
}

is_free() { "$VENV_PYTHON" -c 'import socket, sys; socket.create_server(("127.0.0.1", int(sys.argv[1]))).close()' "$1" 2>/dev/null; }

demo_environment() {
  mkdir -p var
  LEDGER_SECRET_KEY=${LEDGER_SECRET_KEY:-$(demo_secret)}
  export LEDGER_SECRET_KEY
  export LEDGER_ALLOWED_HOSTS=${LEDGER_ALLOWED_HOSTS:-127.0.0.1,localhost}
  export LEDGER_PUBLIC_ADDRESS=${LEDGER_PUBLIC_ADDRESS:-http://127.0.0.1:$1}
  export LEDGER_HTTPS=${LEDGER_HTTPS:-0}
  export LEDGER_BIND=127.0.0.1:$1
}

lay_book() {
  compile_translations
  "$VENV_PYTHON" manage.py migrate --verbosity 0
  "$VENV_PYTHON" manage.py collectstatic --noinput --verbosity 0
}

run_demo() {
  local port=${1:-8000}
  umask 077 # the book names people
  is_free "$port" || refuse "Port $port of this machine is taken. Choose another: make demo PORT=$((port + 10))"
  demo_environment "$port"
  lay_book
  "$VENV_PYTHON" manage.py demo --port "$port"
  exec .venv/bin/gunicorn --config ledger/deploy/gunicorn.conf.py ledger.wsgi
}

case ${1:-} in
  venv) make_venv ;;
  packages) need_packages "${@:2}" ;;
  translations) compile_translations ;;
  initdb) find_initdb ;;
  demo) run_demo "${2:-}" ;;
  *) refuse "Usage: setup.sh venv | packages demo|test|postgres | translations | initdb | demo PORT" ;;
esac
