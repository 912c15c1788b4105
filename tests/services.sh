# Sourced by tests/run: a PostgreSQL cluster and a Redis server of our own, on free ports of the loopback
# address, in a folder that is removed at the end. Nothing of the machine's own servers is touched.
# shellcheck shell=bash disable=SC2034

PATH=$PATH:/usr/sbin:/sbin # where runuser is
services_folder=

free_port() {
  "${VENV_PYTHON:-python3}" -c 'import socket; s = socket.socket(); s.bind(("127.0.0.1", 0)); print(s.getsockname()[1])'
}

services_open() {
  # Not under TMPDIR: the database's own user must be able to walk there, and a socket's path must be short.
  services_folder=$(mktemp -d /tmp/faying-services.XXXXXX)
  chmod 711 "$services_folder"
}

postgres_binaries() { # the folder of the newest server on this machine
  local folder
  folder=$(compgen -G '/usr/lib/postgresql/*/bin/initdb' | sort -V | tail -n 1)
  [ -n "$folder" ] || folder=$(command -v initdb) || return 1
  dirname "$(readlink -f "$folder")"
}

as_postgres() { # the server refuses to run as root
  if [ "$(id -u)" = 0 ]; then
    runuser -u postgres -- "$@"
  else
    "$@"
  fi
}

# Starts a cluster and sets POSTGRES_URL. `durable` keeps fsync, which measuring needs and testing does not.
postgres_start() { # [durable]
  local binaries data log port try options
  binaries=$(postgres_binaries) || return 1
  if [ "$(id -u)" = 0 ] && ! id postgres >/dev/null 2>&1; then
    echo "services: PostgreSQL can't run as root, and there is no user 'postgres'" >&2
    return 1
  fi
  mkdir "$services_folder/postgres"
  [ "$(id -u)" = 0 ] && chown postgres: "$services_folder/postgres"
  data=$services_folder/postgres/data log=$services_folder/postgres/log
  (
    cd /
    as_postgres "$binaries/initdb" -D "$data" -A trust -U postgres -E UTF8 --locale=C.UTF-8 --no-sync ||
      as_postgres "$binaries/initdb" -D "$data" -A trust -U postgres -E UTF8 --locale=C --no-sync
  ) >"$services_folder/initdb.log" 2>&1 || { tail -n 5 "$services_folder/initdb.log" >&2; return 1; }
  options="-c listen_addresses=127.0.0.1 -c unix_socket_directories=$services_folder/postgres -c max_connections=200"
  # A table that is emptied after each test would be counted now full, now empty, and planned for by chance.
  [ "${1:-}" = durable ] ||
    options="$options -c fsync=off -c full_page_writes=off -c synchronous_commit=off -c autovacuum=off"
  # Who waits for a lock that nobody will give back shall say so, not stand there until the round is ended.
  options="$options -c lock_timeout=90s -c idle_in_transaction_session_timeout=240s"
  for try in 1 2 3; do
    port=$(free_port)
    if (cd / && as_postgres "$binaries/pg_ctl" -D "$data" -l "$log" -w -t 30 -o "-p $port $options" start) >/dev/null 2>&1; then
      POSTGRES_URL="postgres://postgres@127.0.0.1:$port/faying"
      postgres_create faying && return 0
      POSTGRES_URL=
      return 1
    fi
    echo "services: PostgreSQL did not start on port $port (try $try)" >&2
  done
  tail -n 5 "$log" >&2
  return 1
}

# Makes an empty database in the cluster of POSTGRES_URL.
postgres_create() { # name
  local port=${POSTGRES_URL##*:}
  (cd / && as_postgres "$(postgres_binaries)/createdb" -h 127.0.0.1 -p "${port%%/*}" -U postgres "$1")
}

# Starts a server that keeps nothing on disk and sets REDIS_URL (without a database number).
redis_start() {
  local port try folder=$services_folder/redis
  command -v redis-server >/dev/null || return 1
  mkdir -p "$folder"
  for try in 1 2 3; do
    port=$(free_port)
    rm -f "$folder/pid"
    redis-server --daemonize yes --bind 127.0.0.1 --port "$port" --save '' --appendonly no \
      --dir "$folder" --pidfile "$folder/pid" --logfile "$folder/log" >/dev/null 2>&1 || true
    for _ in $(seq 50); do
      if [ -s "$folder/pid" ] && (exec 3<>"/dev/tcp/127.0.0.1/$port") 2>/dev/null; then
        REDIS_URL="redis://127.0.0.1:$port"
        return 0
      fi
      sleep 0.1
    done
    echo "services: Redis did not start on port $port (try $try)" >&2
  done
  return 1
}

services_close() {
  [ -n "$services_folder" ] || return 0
  if [ -d "$services_folder/postgres/data" ]; then
    (cd / && as_postgres "$(postgres_binaries)/pg_ctl" -D "$services_folder/postgres/data" -m immediate -w -t 20 stop) >/dev/null 2>&1 || true
  fi
  if [ -s "$services_folder/redis/pid" ]; then
    local redis
    redis=$(cat "$services_folder/redis/pid")
    kill "$redis" 2>/dev/null || true
    for _ in $(seq 50); do # it tidies its folder on the way out
      kill -0 "$redis" 2>/dev/null || break
      sleep 0.1
    done
  fi
  rm -rf "$services_folder"
  services_folder=
}
