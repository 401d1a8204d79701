#!/usr/bin/env bash
# Runs a command against a PostgreSQL of its own: tests/postgres.sh make unit browser
# The server lives in a temporary folder, listens on a free port of the loopback address only, keeps nothing on the disk
# longer than it must, and is gone when the command ends. DATABASE_URL names it.
set -euo pipefail
[ $# -gt 0 ] || { echo "Usage: tests/postgres.sh COMMAND..." >&2; exit 2; }

initdb=$("$(dirname "$0")/../ledger/deploy/setup.sh" initdb) || {
  echo "No PostgreSQL on this machine. Run make test-postgres, which installs it or says how." >&2
  exit 1
}
programs=$(dirname "$initdb")
# Short on purpose: the path of a socket has a length limit, and a long TMPDIR would break it.
home=$(mktemp -d /tmp/ledger-pg.XXXXXX)
as=()
if [ "$(id -u)" = 0 ]; then # initdb refuses root
  as=(setpriv --reuid=postgres --regid=postgres --init-groups env HOME="$home" LC_ALL=C.UTF-8)
  chown postgres "$home"
fi

server() { (cd / && ${as[@]+"${as[@]}"} "$programs/$1" "${@:2}"); }

stop() {
  server pg_ctl -D "$home/data" -m immediate -s stop >/dev/null 2>&1 || true
  rm -rf "$home"
}
trap stop EXIT
trap 'exit 130' INT TERM

# No autovacuum in tests: their rows are rolled back, so statistics taken between two tests say that every table is
# empty, and the planner then joins a whole book row by row.
start() {
  server pg_ctl -D "$home/data" -l "$home/log" -w -t 30 -s \
    -o "-p $1 -k $home -c listen_addresses=127.0.0.1 -c fsync=${LEDGER_TEST_COMMIT:-off} -c synchronous_commit=${LEDGER_TEST_COMMIT:-off} -c full_page_writes=${LEDGER_TEST_COMMIT:-off} -c autovacuum=${LEDGER_TEST_COMMIT:-off} -c max_connections=60" start
}

free_port() { python3 -c 'import socket; s = socket.create_server(("127.0.0.1", 0)); print(s.getsockname()[1])'; }

server initdb -D "$home/data" -U ledger --auth=trust --encoding=UTF8 --locale=C.UTF-8 --no-sync >/dev/null
for attempt in 1 2 3; do # somebody else may take the port between asking and starting
  port=$(free_port)
  if start "$port"; then break; fi
  [ "$attempt" -lt 3 ] || { cat "$home/log" >&2; exit 1; }
done

export DATABASE_URL="postgres://ledger@127.0.0.1:$port/ledger"
server psql -q -h 127.0.0.1 -p "$port" -U ledger -d postgres -c "CREATE DATABASE ledger"
"$@"
