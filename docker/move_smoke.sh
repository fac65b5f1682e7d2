#!/usr/bin/env bash
# Moves a kit from compose.yaml to compose.scale.yaml by the commands of openapi/OPERATIONS.md, read
# from there, and looks whether it is served byte for byte after. Says loudly what it could not do,
# and fails when anything that could be done went wrong.
#
#   docker/move_smoke.sh       after docker/smoke.sh, whose image and base it uses
set -euo pipefail
cd "$(dirname "$0")/.."
smoke="move smoke"
. docker/smoke_lib.sh

export QUARTERSEAM_DATABASE_PASSWORD=smoke
export QUARTERSEAM_PUBLISHED_PORT=${QUARTERSEAM_SMOKE_PORT:-8162}
url=http://127.0.0.1:$QUARTERSEAM_PUBLISHED_PORT
# The commands name the image that compose builds.
version=$(sed -n 's/^__version__ = "\(.*\)"$/\1/p' service/__init__.py)
is_tagged=

# The commands' own "docker": compose may be a program of its own here.
docker() {
  if [ "$1" = compose ]; then
    local file=${3#docker/}
    shift 3
    if [ "$1" = up ]; then set -- up --no-build "${@:2}"; fi
    compose_of "$file" "$@" </dev/null
  else
    "$docker" "$@"
  fi
}

cleanup() {
  docker compose -f docker/compose.yaml down -v >/dev/null 2>&1 || true
  docker compose -f docker/compose.scale.yaml down -v >/dev/null 2>&1 || true
  [ -z "$is_tagged" ] || "$docker" rmi "quarterseam:$version" >/dev/null 2>&1 || true
  tidy
}
start_engine
require_image
for volume in quarterseam-studio-kits quarterseam-scale-kits quarterseam-scale-database; do
  if "$docker" volume inspect "$volume" >/dev/null 2>&1; then
    cannot "there is a volume $volume, which may hold somebody's kits"
  fi
done
trap cleanup EXIT
if ! "$docker" image inspect "quarterseam:$version" >/dev/null 2>&1; then
  "$docker" tag quarterseam:smoke "quarterseam:$version"
  is_tagged=yes
fi
stand_ins

say "making kits with the studio's set-up"
docker compose -f docker/compose.yaml up -d
answers "$url" || { docker compose -f docker/compose.yaml logs --tail 20; exit 1; }
key=$(docker compose -f docker/compose.yaml logs --no-color quarterseam | sed -n 's/.* \(first\.[A-Za-z0-9_-]*\)$/\1/p')
[ -n "$key" ] || { docker compose -f docker/compose.yaml logs --tail 20; echo "no key was printed"; exit 1; }
bearer="Authorization: Bearer $key"
for example in harbour-class-set breakwater-die-order; do
  curl -fsS -m 120 -D - -o /dev/null -H "$bearer" -H 'Content-Type: application/json' \
    --data @openapi/examples/$example.json "$url/v1/kits" \
    | tr -d '\r' | awk 'tolower($1) == "location:" {print $2}' >>"$scratch/kits"
done
[ "$(wc -l <"$scratch/kits")" = 2 ] || { echo "the kits were not made"; exit 1; }

# fetch FOLDER: every form of every kit, byte for byte.
fetch() {
  mkdir "$scratch/$1"
  while read -r kit; do
    curl -fsS -m 60 -H "$bearer" "$url$kit" -o "$scratch/$1/${kit##*/}.json"
    curl -fsS -m 60 -H "$bearer" -H 'Accept: application/zip' "$url$kit" -o "$scratch/$1/${kit##*/}.zip"
    curl -fsS -m 60 -H "$bearer" "$url$kit/files/run-sheet.pdf" -o "$scratch/$1/${kit##*/}.pdf"
  done <"$scratch/kits"
}
fetch before

say "the commands of openapi/OPERATIONS.md"
awk '/^With the two compose files/ {inside = 1; next} inside && /^    / {print; next}
  inside && /^#/ {exit}' openapi/OPERATIONS.md >"$scratch/commands"
[ "$(grep -c 'docker ' "$scratch/commands")" = 5 ] || { cat "$scratch/commands"; echo "not five commands"; exit 1; }
cat "$scratch/commands"
. "$scratch/commands"

say "the same kits, by the same key, from the set-up of several machines"
answers "$url" || { docker compose -f docker/compose.scale.yaml logs --tail 20; exit 1; }
fetch after
diff -r "$scratch/before" "$scratch/after"
curl -fsS -m 120 -H "$bearer" -H 'Content-Type: application/json' -o /dev/null \
  --data @openapi/examples/harbour-class-set.json "$url/v1/kits"
say "passed: two kits moved with the documented commands and are served byte for byte"
