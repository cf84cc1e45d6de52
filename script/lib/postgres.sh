# A PostgreSQL of one's own for a test run: in a temporary folder, reached by a socket in it, gone
# at the end. Sourced, never run; needs setup.sh.
# shellcheck shell=bash

PG_FOLDER=
PG_BIN=
PG_AS=()

# find_postgres: PG_BIN becomes the folder of the newest server binaries on this machine.
find_postgres() {
  local initdb
  initdb=$(find /usr/lib/postgresql -path '*/bin/initdb' 2>/dev/null | sort -V | tail -n 1)
  [[ -n $initdb ]] || initdb=$(command -v initdb) || return 1
  PG_BIN=$(dirname -- "$initdb")
}

ensure_postgres() {
  find_postgres || install_packages postgresql
  find_postgres || stop "The package postgresql is installed, but its initdb is nowhere."
}

# start_postgres: sets and exports DATABASE_URL. The server refuses to run as root, so root lends
# it to another user. A statement that waits or works for two minutes is broken off, so that the test
# it belongs to fails with its words.
start_postgres() {
  local user
  PG_FOLDER=$(mktemp -d /tmp/stubaxle-pg.XXXXXX)
  if ((EUID == 0)); then
    user=nobody
    ! id postgres >/dev/null 2>&1 || user=postgres
    chown "$user" "$PG_FOLDER"
    PG_AS=(setpriv --reuid "$user" --regid "$(id -g "$user")" --clear-groups env HOME="$PG_FOLDER")
  fi
  as_postgres "$PG_BIN/initdb" -D "$PG_FOLDER/data" -U stubaxle -A trust -E UTF8 --locale=C.UTF-8 \
    --no-sync >"$PG_FOLDER.log" 2>&1 || postgres_failed
  as_postgres "$PG_BIN/pg_ctl" -D "$PG_FOLDER/data" -l "$PG_FOLDER/log" -w -t 60 -s -o "$(
    printf -- '-c %s ' "unix_socket_directories=$PG_FOLDER" listen_addresses= \
      fsync=off synchronous_commit=off full_page_writes=off max_connections=80 \
      statement_timeout=120s
  )" start >>"$PG_FOLDER.log" 2>&1 || postgres_failed
  DATABASE_URL="postgres://stubaxle@${PG_FOLDER//\//%2F}/postgres"
  export DATABASE_URL
}

as_postgres() { (cd -- "$PG_FOLDER" && exec "${PG_AS[@]}" "$@" </dev/null); }

postgres_failed() {
  cat "$PG_FOLDER.log" "$PG_FOLDER/log" >&2 2>/dev/null || true
  stop "The PostgreSQL for the tests did not start; its own words are above."
}

stop_postgres() {
  [[ -n $PG_FOLDER ]] || return 0
  if [[ -s $PG_FOLDER/data/postmaster.pid ]]; then
    as_postgres "$PG_BIN/pg_ctl" -D "$PG_FOLDER/data" -m immediate -s -w stop >/dev/null 2>&1 || true
  fi
  rm -rf -- "$PG_FOLDER" "$PG_FOLDER.log"
  PG_FOLDER=
}
