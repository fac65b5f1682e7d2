#!/usr/bin/env bash
# Stops the processes of every container of compose.scale.yaml but their process 1, as what hangs does:
# Docker leaves them running, their health checks end them, and they are started again. Then a batch is
# done. Says loudly what it could not do, and fails when anything that could be done went wrong.
#
#   docker/hang_smoke.sh       some minutes; after docker/smoke.sh, whose image and base it uses
set -euo pipefail
cd "$(dirname "$0")/.."
smoke="hang smoke"
. docker/smoke_lib.sh

export QUARTERSEAM_DATABASE_PASSWORD=smoke
export QUARTERSEAM_IMAGE=quarterseam:smoke
export QUARTERSEAM_PUBLISHED_PORT=${QUARTERSEAM_SMOKE_PORT:-8166}
url=http://127.0.0.1:$QUARTERSEAM_PUBLISHED_PORT

compose() { compose_of compose.scale.yaml "$@"; }
cleanup() {
  compose down -v --remove-orphans >/dev/null 2>&1 || true
  tidy
}
start_engine
require_image
if "$docker" volume inspect quarterseam-scale-kits >/dev/null 2>&1; then
  cannot "there is a volume quarterseam-scale-kits, which may hold somebody's kits"
fi
trap cleanup EXIT
stand_ins
services="api worker proxy database queue"

say "starting two servers, two workers, a proxy, PostgreSQL and Redis"
compose up -d --no-build
answers "$url" || { compose logs --tail 20; exit 1; }
key=$(compose logs --no-color api | sed -n 's/.* \(first\.[A-Za-z0-9_-]*\)$/\1/p')
[ -n "$key" ] || { compose logs --tail 40 api; exit 1; }
bearer="Authorization: Bearer $key"

health() { "$docker" inspect -f '{{.State.Health.Status}}' "$1"; }
restarted() { [ "$("$docker" inspect -f '{{.RestartCount}}' "$1")" -gt 0 ] && echo yes || echo no; }
# until_all WHAT WANTED: waits until a function says so of every container.
until_all() {
  local each
  for each in $containers; do
    for _ in $(seq 600); do
      [ "$("$1" "$each")" = "$2" ] && break
      sleep 1
    done
    [ "$("$1" "$each")" = "$2" ] || {
      "$docker" inspect -f '{{.Name}} {{json .State}}' "$each"
      "$docker" logs --tail 20 "$each"
      exit 1
    }
  done
}
containers=$(for each in $services; do compose ps -q "$each"; done)
[ "$(wc -w <<<"$containers")" = 7 ]
until_all health healthy

for round in 1 2; do
  # Each depends on others: they are stopped by turns, so that only what hangs is unhealthy.
  [ "$round" = 1 ] && hang="worker queue proxy" || hang="database"
  containers=$(for each in $hang; do compose ps -q "$each"; done)
  say "stopped: $hang"
  for each in $containers; do
    # This shell is exempt, and so is process 1, Docker's init.
    "$docker" exec "$each" sh -c 'kill -s STOP -- -1'
  done
  [ "$(for each in $containers; do restarted "$each"; done | sort -u)" = no ]
  until_all restarted yes
  until_all health healthy
  say "started again: $hang"
done
answers "$url" || { compose logs --tail 20; exit 1; }

say "a batch afterwards"
sizes=$(seq 20 29 | sed 's/.*/{"side": "& mm"}/' | paste -sd,)
batch=$(curl -fsS -m 120 -H "$bearer" "$url/v1/batches" -H 'Content-Type: application/json' --data "{
  \"request\": {\"pieces\": [{\"id\": \"A\", \"shape\": {\"kind\": \"hexagon\", \"side\": \"1 in\"}}],
  \"runs\": [{\"cut\": \"template\", \"cutter\": \"laser-bed\", \"material\": {\"name\": \"card\", \"kind\": \"card\"}}]},
  \"sizes\": [$sizes]}" | grep -o '/v1/batches/[0-9a-f-]*' | head -1)
for _ in $(seq 600); do
  state=$(curl -fsS -m 60 -H "$bearer" "$url$batch" | grep -o '"state":"[a-z]*"' | head -1 || true)
  [ "$state" = '"state":"ended"' ] && break
  sleep 1
done
[ "$state" = '"state":"ended"' ] || { curl -sS -H "$bearer" "$url$batch"; compose logs --tail 20; exit 1; }
kits=$(curl -fsS -m 60 -H "$bearer" "$url$batch" -H 'Accept: application/zip' -o "$scratch/batch.zip" \
  && python3 -m zipfile -l "$scratch/batch.zip" | grep -c '^kit-')
[ "$kits" = 10 ] || { echo "the zip holds $kits kits, not 10"; exit 1; }
say "passed: workers, queue, proxy and database hung, were started again, and did a batch"
