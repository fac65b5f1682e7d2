#!/usr/bin/env bash
# Runs compose.yaml with HTTPS by the commands of openapi/OPERATIONS.md, read from there; hangs the
# service and waits until it is started again; upgrades it, and restores the upgrade's backup. Says
# loudly what it could not do, and fails when anything that could be done went wrong.
#
#   docker/studio_smoke.sh     after docker/smoke.sh, whose image and base it uses
set -euo pipefail
cd "$(dirname "$0")/.."
smoke="studio smoke"
. docker/smoke_lib.sh

export QUARTERSEAM_IMAGE=quarterseam:smoke
export QUARTERSEAM_PUBLISHED_PORT=${QUARTERSEAM_SMOKE_PORT:-8163}
export QUARTERSEAM_TLS_PORT=$((QUARTERSEAM_PUBLISHED_PORT + 1))
export QUARTERSEAM_LAN_ADDRESS=127.0.0.1
url=https://127.0.0.1:$QUARTERSEAM_TLS_PORT
work=$scratch/studio

cleanup() {
  studio down -v --remove-orphans >/dev/null 2>&1 || true
  tidy
}
# In a copy of this folder: certificates and backups are made there.
studio() { (cd "$work" && "$work/compose" "$@"); }
start_engine
require_image
if "$docker" volume inspect quarterseam-studio-kits >/dev/null 2>&1; then
  cannot "there is a volume quarterseam-studio-kits, which may hold somebody's kits"
fi
mkdir "$work"
cp -r docker openapi "$work/"
rm -rf "$work/docker/certificate"
# compose of both files: Debian 12's knows no "name:" of a project.
if "$docker" compose version >/dev/null 2>&1; then
  program="$docker compose"
else
  command -v docker-compose >/dev/null || cannot "there is no docker compose on this machine"
  program="docker-compose -p quarterseam-studio"
  sed -i '/^name:/d' "$work/docker/compose.yaml"
fi
cat >"$work/compose" <<EOF
#!/bin/sh
export COMPOSE_FILE=docker/compose.yaml:docker/compose.tls.yaml
exec $program --project-directory docker "\$@"
EOF
chmod +x "$work/compose"
trap cleanup EXIT
stand_ins

say "the commands of openapi/OPERATIONS.md make a certificate and start HTTPS"
awk '/^## HTTPS/ {inside = 1; next} inside && /^    / {print; next} inside && /^[A-Z]/ {exit}' \
  openapi/OPERATIONS.md | sed 's/IP:192.0.2.10/IP:127.0.0.1/' >"$scratch/commands"
cat "$scratch/commands"
grep -q 'compose.tls.yaml up -d' "$scratch/commands"
(cd "$work" && . <(grep -v 'docker compose' "$scratch/commands") 2>"$scratch/openssl.log") \
  || { cat "$scratch/openssl.log"; exit 1; }
studio up -d --no-build
certificate=$work/docker/certificate/certificate.pem
secure() { curl -fsS -m 120 --cacert "$certificate" "$@"; }
until_ready() {
  for _ in $(seq 300); do
    secure "$url/readyz" >/dev/null 2>&1 && return 0
    sleep 1
  done
  studio logs --tail 30
  echo "the service did not answer over HTTPS"; return 1
}
until_ready
# An unknown certificate is refused, and plain HTTP is not spoken there.
if curl -sS -m 20 "$url/healthz" >/dev/null 2>&1; then echo "anybody's certificate would do"; exit 1; fi
code=$(curl -sS -m 20 -o /dev/null -w '%{http_code}' "http://127.0.0.1:$QUARTERSEAM_TLS_PORT/v1/kits")
[ "$code" = 400 ] || { echo "plain HTTP was answered $code on the port of HTTPS"; exit 1; }
published=$("$docker" ps -q --filter label=com.docker.compose.project=quarterseam-studio \
  | xargs "$docker" inspect -f '{{range $p, $b := .HostConfig.PortBindings}}{{$p}} {{end}}' | xargs)
[ "$(tr ' ' '\n' <<<"$published" | sort | xargs)" = "8080/tcp 8443/tcp" ] || { echo "published: $published"; exit 1; }

say "a kit from a page of this address"
key=$(studio logs --no-color quarterseam | sed -n 's/.* \(first\.[A-Za-z0-9_-]*\)$/\1/p')
[ -n "$key" ] || { studio logs --tail 20; echo "no key was printed"; exit 1; }
bearer="Authorization: Bearer $key"
kit=$(secure -D - -o /dev/null -H "$bearer" -H "Origin: $url" -H 'Sec-Fetch-Site: same-origin' \
  -H 'Content-Type: application/json' --data @openapi/examples/harbour-class-set.json "$url/v1/kits" \
  | tr -d '\r' | awk 'tolower($1) == "location:" {print $2}')
[ -n "$kit" ] || { echo "no Location in the answer"; exit 1; }
code=$(curl -sS -m 60 --cacert "$certificate" -o /dev/null -w '%{http_code}' -H "$bearer" -H 'Origin: https://other.example' \
  -H 'Content-Type: application/json' --data @openapi/examples/harbour-class-set.json "$url/v1/kits")
[ "$code" = 403 ] || { echo "another site's request was answered $code"; exit 1; }
secure -H "$bearer" -H 'Accept: application/zip' "$url$kit" -o "$scratch/before.zip"

say "a service that hangs is started again"
name=$(studio ps -q quarterseam)
for _ in $(seq 60); do
  [ "$("$docker" inspect -f '{{.State.Health.Status}}' "$name")" = healthy ] && break
  sleep 1
done
began=$("$docker" inspect -f '{{.State.StartedAt}}' "$name")
"$docker" exec "$name" python3 -c 'import os, signal
own = os.getpid()
for each in filter(str.isdigit, os.listdir("/proc")):
    if int(each) not in (1, own):
        os.kill(int(each), signal.SIGSTOP)'
for _ in $(seq 600); do
  [ "$("$docker" inspect -f '{{.State.StartedAt}}' "$name")" != "$began" ] && break
  sleep 1
done
[ "$("$docker" inspect -f '{{.State.StartedAt}}' "$name")" != "$began" ] || { echo "it still hangs"; exit 1; }
until_ready

say "an upgrade backs up first"
(cd "$work" && QUARTERSEAM_COMPOSE=$work/compose QUARTERSEAM_UP="--no-build --force-recreate" docker/upgrade.sh)
until_ready
secure -H "$bearer" -H 'Accept: application/zip' "$url$kit" | cmp - "$scratch/before.zip"

say "a new machine: the upgrade's backup is restored into an empty volume"
studio down -v
studio run --rm -T --no-deps quarterseam python3 -m service restore - <"$(ls "$work"/backups/*.tar)"
studio up -d --no-build
until_ready
secure -H "$bearer" -H 'Accept: application/zip' "$url$kit" | cmp - "$scratch/before.zip"
say "passed: HTTPS, a kit, a hang, an upgrade with its backup, and a restore"
