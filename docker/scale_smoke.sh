#!/usr/bin/env bash
# Runs compose.scale.yaml for real: a batch through the proxy while a server and a worker are
# killed, and its zip at the end. Says loudly what it could not do, and fails when anything that
# could be done went wrong.
#
#   docker/scale_smoke.sh      after docker/smoke.sh, whose image and base it uses
set -euo pipefail
cd "$(dirname "$0")/.."
smoke="scale smoke"
. docker/smoke_lib.sh

export QUARTERSEAM_DATABASE_PASSWORD=smoke
export QUARTERSEAM_IMAGE=quarterseam:smoke
export QUARTERSEAM_PUBLISHED_PORT=${QUARTERSEAM_SMOKE_PORT:-8161}
url=http://127.0.0.1:$QUARTERSEAM_PUBLISHED_PORT

compose() { compose_of compose.scale.yaml "$@"; }
cleanup() {
  compose down -v --remove-orphans >/dev/null 2>&1 || true
  tidy
}
trap cleanup EXIT
start_engine
require_image
stand_ins

say "starting two servers, two workers, a proxy, PostgreSQL and Redis"
compose up -d --no-build
answers "$url" || { compose logs --tail 20; exit 1; }

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
