#!/usr/bin/env bash
# Builds the image, runs it hardened, cuts a kit in it, stops it, starts it again and looks
# whether the kit is still there. Says loudly what it could not do, and fails when anything
# that could be done went wrong.
#
#   docker/smoke.sh            needs a Docker engine; starts Debian's own when none runs
#
# Settings: BASE (image to build on; made with debootstrap when it cannot be pulled),
# QUARTERSEAM_SMOKE_PORT (8160), PIP_CONF and CA_FILE (handed to the build as secrets).
set -euo pipefail
cd "$(dirname "$0")/.."

image=quarterseam:smoke
name=quarterseam-smoke-$$
volume=$name-data
port=${QUARTERSEAM_SMOKE_PORT:-8160}
smoke="docker smoke"
. docker/smoke_lib.sh

cleanup() {
  "$docker" rm -f "$name" >/dev/null 2>&1 || true
  "$docker" volume rm "$volume" >/dev/null 2>&1 || true
  tidy
}

trap cleanup EXIT
start_engine

base=${BASE:-debian:bookworm-slim}
if ! "$docker" image inspect "$base" >/dev/null 2>&1 \
   && ! timeout 120 "$docker" pull -q "$base" >/dev/null 2>&1; then
  command -v debootstrap >/dev/null || cannot "$base cannot be pulled and there is no debootstrap"
  base=quarterseam-base:local
  if ! "$docker" image inspect "$base" >/dev/null 2>&1; then
    say "the base cannot be pulled; making one from Debian's packages"
    mirror=$(awk '/^URIs:/ {print $2; exit} /^deb / {print $2; exit}' \
      /etc/apt/sources.list.d/*.sources /etc/apt/sources.list 2>/dev/null || true)
    timeout 1500 debootstrap --variant=minbase --include=python3 bookworm "$scratch/base" \
      ${mirror:+"$mirror"} >"$scratch/debootstrap.log" 2>&1 \
      || { tail -5 "$scratch/debootstrap.log"; cannot "debootstrap failed"; }
    cp /etc/apt/sources.list.d/*.sources "$scratch/base/etc/apt/sources.list.d/" 2>/dev/null || true
    # What a server never reads: half of a bare Debian.
    rm -rf "$scratch"/base/usr/share/{doc,man,locale,info,zoneinfo/right}/* \
      "$scratch"/base/var/cache/apt/* "$scratch"/base/var/lib/apt/lists/*
    tar -C "$scratch/base" -c . | "$docker" import - "$base" >/dev/null
    rm -rf "$scratch/base"
  fi
fi

say "building on $base"
build_image "$image" "$base" .

bytes=$("$docker" image inspect -f '{{.Size}}' "$image")
say "image size: $((bytes / 1000000)) MB"
[ "$bytes" -lt 300000000 ] || { echo "the image is over 300 MB"; exit 1; }

run() {
  "$docker" run -d --name "$name" --init --read-only --tmpfs /tmp:noexec,nosuid,size=64m \
    --cap-drop ALL --security-opt no-new-privileges --pids-limit 256 --memory 1g \
    -e QUARTERSEAM_WORKERS=1 -e QUARTERSEAM_MAX_RUNNING_COMPUTATIONS=1 -v "$volume:/data" -p "127.0.0.1:$port:8080" "$image" >/dev/null
}

answers() {
  for _ in $(seq 60); do
    curl -fsS -m 2 "http://127.0.0.1:$port/healthz" >/dev/null 2>&1 && return 0
    sleep 0.5
  done
  "$docker" logs "$name" | tail -20
  echo "the service did not answer"; return 1
}

say "running it, read-only and without privileges"
"$docker" volume create "$volume" >/dev/null
run
answers
say "no door is open: a key is asked for, and keys cannot be switched off"
code=$(curl -sS -m 5 -o /dev/null -w '%{http_code}' "http://127.0.0.1:$port/v1/kits")
[ "$code" = 401 ] || { echo "without a key it answered $code"; exit 1; }
key=$("$docker" logs "$name" 2>&1 | sed -n 's/^ *\(first\.[A-Za-z0-9_-]*\)$/\1/p')
[ -n "$key" ] || { "$docker" logs "$name" | tail -20; echo "no key was printed"; exit 1; }
bearer="Authorization: Bearer $key"
if "$docker" run --rm -e QUARTERSEAM_AUTH=off "$image" >"$scratch/off.log" 2>&1; then
  echo "it served without keys"; exit 1
fi
grep -q 'QUARTERSEAM_AUTH=off cannot be used' "$scratch/off.log" || { cat "$scratch/off.log"; exit 1; }
[ "$("$docker" exec "$name" id -u)" = 10001 ] || { echo "it runs as the wrong user"; exit 1; }
if "$docker" exec "$name" sh -c 'touch /opt/venv/x' 2>/dev/null; then
  echo "the root filesystem can be written"; exit 1
fi

say "cutting a kit"
location=$(curl -fsS -m 60 -D - -o "$scratch/kit.json" -H "$bearer" -H 'Content-Type: application/json' \
  --data @openapi/examples/harbour-class-set.json "http://127.0.0.1:$port/v1/kits" \
  | tr -d '\r' | awk 'tolower($1) == "location:" {print $2}')
[ -n "$location" ] || { echo "no Location in the answer"; exit 1; }
curl -fsS -m 30 -H "$bearer" "http://127.0.0.1:$port$location/files/run-sheet.pdf" -o "$scratch/before.pdf"
head -c 5 "$scratch/before.pdf" | grep -q '%PDF-' || { echo "the run sheet is no PDF"; exit 1; }

say "stopping it"
"$docker" stop -t 30 "$name" >/dev/null
code=$("$docker" inspect -f '{{.State.ExitCode}}' "$name")
[ "$code" = 0 ] || { "$docker" logs "$name" | tail -20; echo "it exited with $code"; exit 1; }

say "starting it again: the kit must still be there"
"$docker" rm "$name" >/dev/null
run
answers
if "$docker" logs "$name" 2>&1 | grep -q 'first\.'; then echo "a second key was printed"; exit 1; fi
curl -fsS -m 30 -H "$bearer" "http://127.0.0.1:$port$location/files/run-sheet.pdf" -o "$scratch/after.pdf"
cmp "$scratch/before.pdf" "$scratch/after.pdf"
for _ in $(seq 40); do
  health=$("$docker" inspect -f '{{.State.Health.Status}}' "$name")
  [ "$health" = healthy ] && break
  sleep 1
done
[ "$health" = healthy ] || { echo "its health is $health"; exit 1; }
"$docker" stop -t 30 "$name" >/dev/null
say "passed: built, run, used, stopped with exit code 0 and started again"
