# Sourced by the smoke tests: starts an engine, finds compose and the images of others.
# They say loudly what they could not do, by the function "cannot", and clean up by "tidy".
#
# Expects $smoke, the name of the test; defines $docker, $scratch, say, cannot and what follows.

scratch=$(mktemp -d)
engine_pid=
# Debian's client has BuildKit built in; a newer client without buildx cannot pass secrets.
docker=$(command -v /usr/bin/docker || command -v docker || true)

say() { printf '\n== %s: %s\n' "$smoke" "$*"; }
cannot() {
  printf '\n!! %s NOT RUN: %s\n' "$(tr '[:lower:]' '[:upper:]' <<<"$smoke")" "$*"
  exit "${QUARTERSEAM_SMOKE_REQUIRED:-0}"
}
tidy() {
  rm -rf "$scratch"
  if [ -n "$engine_pid" ]; then kill "$engine_pid" 2>/dev/null && wait "$engine_pid" || true; fi
}

# compose_of FILE ARGUMENTS: runs compose with a file under docker/.
compose_of() {
  local file=$1
  shift
  if "$docker" compose version >/dev/null 2>&1; then
    "$docker" compose -f "docker/$file" "$@"
  elif command -v docker-compose >/dev/null; then
    # Debian 12's knows no "name:" of a project; paths in the file are relative to the folder that
    # is stated.
    sed '/^name:/d' "docker/$file" >"$scratch/$file"
    docker-compose -p "$(sed -n 's/^name: //p' "docker/$file")" --project-directory docker \
      -f "$scratch/$file" "$@"
  else
    cannot "there is no docker compose on this machine"
  fi
}

start_engine() {
  [ -n "$docker" ] || cannot "there is no docker command on this machine"
  if ! "$docker" info >/dev/null 2>&1; then
    command -v dockerd >/dev/null || cannot "no engine runs and there is no dockerd to start"
    say "starting an engine"
    dockerd >"$scratch/dockerd.log" 2>&1 & engine_pid=$!
    for _ in $(seq 30); do "$docker" info >/dev/null 2>&1 && break; sleep 1; done
    "$docker" info >/dev/null 2>&1 || { tail -5 "$scratch/dockerd.log"; cannot "the engine did not start"; }
  fi
}

# build_image NAME BASE FOLDER: builds the image of a folder.
build_image() {
  local secrets=() pip_conf ca_file
  pip_conf=${PIP_CONF:-$([ -r /etc/pip.conf ] && echo /etc/pip.conf || true)}
  ca_file=${CA_FILE:-${PIP_CERT:-}}
  [ -z "$pip_conf" ] || secrets+=(--secret "id=pipconf,src=$pip_conf")
  [ -z "$ca_file" ] || secrets+=(--secret "id=ca,src=$ca_file")
  DOCKER_BUILDKIT=1 timeout 1500 "$docker" build -q --network host "${secrets[@]}" \
    --build-arg BASE="$2" -f "$3/docker/Dockerfile" -t "$1" "$3" >/dev/null
}

require_image() {
  "$docker" image inspect quarterseam:smoke >/dev/null 2>&1 \
    || cannot "there is no image quarterseam:smoke; run docker/smoke.sh first"
}

# stand_in VARIABLE IMAGE PACKAGES: pulls the image, or builds one from Debian's packages.
stand_in() {
  if timeout 60 "$docker" pull -q "$2" >/dev/null 2>&1; then export "$1=$2"; return; fi
  local base=quarterseam-base:local name=quarterseam-standin-${2%%:*}:local
  "$docker" image inspect "$base" >/dev/null 2>&1 || cannot "$2 cannot be pulled and there is no $base"
  say "$2 cannot be pulled; Debian's $3 stands in"
  DOCKER_BUILDKIT=1 timeout 1500 "$docker" build -q --network host -t "$name" \
    --build-arg BASE="$base" --build-arg PACKAGE="$3" -f docker/standin.Dockerfile docker >/dev/null
  export "$1=$name"
}

# Where PostgreSQL's, Redis' and nginx's own images cannot be pulled, images with Debian's packages
# of them stand in.
stand_ins() {
  stand_in QUARTERSEAM_POSTGRES_IMAGE postgres:17 postgresql
  stand_in QUARTERSEAM_REDIS_IMAGE redis:7 redis-server
  stand_in QUARTERSEAM_PROXY_IMAGE nginx:1.27 nginx-light
}

# answers URL: waits until a set-up is ready.
answers() {
  for _ in $(seq 300); do
    curl -fsS -m 20 "$1/readyz" >/dev/null 2>&1 && return 0
    sleep 1
  done
  return 1
}
