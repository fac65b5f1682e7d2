#!/usr/bin/env bash
# Runs compose.scale.yaml for real: a batch through the proxy while a server and a worker are
# killed, and its zip at the end. Says loudly what it could not do, and fails when anything that
# could be done went wrong.
#
#   docker/scale_smoke.sh      after docker/smoke.sh, whose image and base it uses
#
# Where PostgreSQL's, Redis' and nginx's own images cannot be pulled, images with Debian's packages
# of them stand in.
set -euo pipefail
cd "$(dirname "$0")/.."

scratch=$(mktemp -d)
engine_pid=
docker=$(command -v /usr/bin/docker || command -v docker || true)
export QUARTERSEAM_DATABASE_PASSWORD=smoke
export QUARTERSEAM_IMAGE=quarterseam:smoke
export QUARTERSEAM_PUBLISHED_PORT=${QUARTERSEAM_SMOKE_PORT:-8161}
url=http://127.0.0.1:$QUARTERSEAM_PUBLISHED_PORT

say() { printf '\n== scale smoke: %s\n' "$*"; }
cannot() { printf '\n!! SCALE SMOKE NOT RUN: %s\n' "$*"; exit "${QUARTERSEAM_SMOKE_REQUIRED:-0}"; }
if "$docker" compose version >/dev/null 2>&1; then
  compose() { "$docker" compose -p quarterseam-scale -f docker/compose.scale.yaml "$@"; }
elif command -v docker-compose >/dev/null; then
  # Debian 12's knows no "name:"; paths in the file are relative to the folder that is stated.
  sed '/^name:/d' docker/compose.scale.yaml >"$scratch/compose.yaml"
  compose() { docker-compose -p quarterseam-scale --project-directory docker -f "$scratch/compose.yaml" "$@"; }
else
  cannot "there is no docker compose on this machine"
fi

cleanup() {
  compose down -v --remove-orphans >/dev/null 2>&1 || true
  rm -rf "$scratch"
  if [ -n "$engine_pid" ]; then kill "$engine_pid" 2>/dev/null && wait "$engine_pid" || true; fi
}
trap cleanup EXIT

if ! "$docker" info >/dev/null 2>&1; then
  command -v dockerd >/dev/null || cannot "no engine runs and there is no dockerd to start"
  say "starting an engine"
  dockerd >"$scratch/dockerd.log" 2>&1 & engine_pid=$!
  for _ in $(seq 30); do "$docker" info >/dev/null 2>&1 && break; sleep 1; done
  "$docker" info >/dev/null 2>&1 || { tail -5 "$scratch/dockerd.log"; cannot "the engine did not start"; }
fi
"$docker" image inspect "$QUARTERSEAM_IMAGE" >/dev/null 2>&1 \
  || cannot "there is no image $QUARTERSEAM_IMAGE; run docker/smoke.sh first"

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
stand_in QUARTERSEAM_POSTGRES_IMAGE postgres:17 postgresql
stand_in QUARTERSEAM_REDIS_IMAGE redis:7 redis-server
stand_in QUARTERSEAM_PROXY_IMAGE nginx:1.27 nginx-light

say "starting two servers, two workers, a proxy, PostgreSQL and Redis"
compose up -d --no-build
for _ in $(seq 300); do
  curl -fsS -m 20 "$url/readyz" >/dev/null 2>&1 && break
  sleep 1
done
curl -fsS -m 30 "$url/readyz" >/dev/null || { compose logs --tail 20; exit 1; }

say "one key for all servers, made by the first that started"
printed=$(compose logs --no-color api | sed -n 's/.* \(first\.[A-Za-z0-9_-]*\)$/\1/p')
[ "$(printf '%s\n' "$printed" | grep -c .)" = 1 ] || { compose logs --tail 40 api; exit 1; }
bearer="Authorization: Bearer $printed"

say "a batch, while a server and a worker are killed"
sizes=$(seq 20 49 | sed 's/.*/{"side": "& mm"}/' | paste -sd,)
batch=$(curl -fsS -m 120 -H "$bearer" "$url/v1/batches" -H 'Content-Type: application/json' --data "{
  \"request\": {\"pieces\": [{\"id\": \"A\", \"shape\": {\"kind\": \"hexagon\", \"side\": \"1 in\"}}],
  \"runs\": [{\"cut\": \"template\", \"cutter\": \"laser-bed\", \"material\": {\"name\": \"card\", \"kind\": \"card\"}}]}, \"sizes\": [$sizes],
  \"cutters\": [\"laser-bed\", \"pen-sheet\"]}" | grep -o '/v1/batches/[0-9a-f-]*' | head -1)
for victim in api worker; do
  sleep 2
  "$docker" kill "$(compose ps -q "$victim" | head -1)" >/dev/null
done
for _ in $(seq 600); do
  state=$(curl -fsS -m 60 -H "$bearer" "$url$batch" | grep -o '"state":"[a-z]*"' | head -1 || true)
  [ "$state" = '"state":"ended"' ] && break
  sleep 1
done
[ "$state" = '"state":"ended"' ] || { curl -sS -H "$bearer" "$url$batch"; compose logs --tail 20; exit 1; }
curl -fsS -m 60 -H "$bearer" "$url$batch" -H 'Accept: application/zip' -o "$scratch/batch.zip"
kits=$(python3 -m zipfile -l "$scratch/batch.zip" | grep -c '^kit-')
[ "$kits" = 60 ] || { echo "the zip holds $kits kits, not 60"; exit 1; }

say "events through the proxy"
job=$(curl -fsS -m 120 -H "$bearer" "$url/v1/kits" -H 'Content-Type: application/json' -H 'Prefer: respond-async' \
  --data @openapi/examples/harbour-class-set.json | grep -o '/v1/jobs/[0-9a-f-]*' | head -1)
timeout 300 curl -fsSN -H "$bearer" "$url$job/events" | grep -q '^event: ended'
say "passed: 60 kits in one zip, one server and one worker killed, events through the proxy"
