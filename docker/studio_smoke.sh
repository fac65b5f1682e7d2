#!/usr/bin/env bash
# A studio's days with compose.yaml, by the commands of openapi/OPERATIONS.md, read from there: HTTPS,
# a kit, a service that hangs and is started again, a new machine, an upgrade from 0.1.0, retention,
# removal. Says loudly what it could not do, and fails when anything that could be done went wrong.
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

# page SENTENCE: the commands below a sentence of the page.
page() {
  awk -v begin="$1" 'index($0, begin) == 1 {inside = 1; next} inside && /^    / {print; seen = 1; next}
    inside && seen && NF {exit}' openapi/OPERATIONS.md
}
# run_page COUNT SENTENCE: runs them in the copy; compose may be a program of its own here.
run_page() {
  page "$2" | tee "$scratch/commands"
  [ "$(grep -c 'docker compose -f docker/compose.yaml ' "$scratch/commands")" = "$1" ] \
    || { echo "not $1 commands below: $2"; exit 1; }
  (
    docker() { shift 3; "$work/compose" "$@"; }
    cd "$work"
    . "$scratch/commands"
  )
}

say "the commands of openapi/OPERATIONS.md make a certificate and start HTTPS"
page "## HTTPS" | sed 's/IP:192.0.2.10/IP:127.0.0.1/' >"$scratch/commands"
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

say "a new machine: a backup, and its restore into an empty volume"
backup=$(page "With the studio's compose file" | sed -n 1p)
restore=$(page "With the studio's compose file" | sed -n 2p)
printf '%s\n' "$backup" "$restore"
here() { (docker() { shift 3; "$work/compose" "$@"; }; cd "$work"; eval "$1"); }
here "$backup"
studio down -v
here "$restore"
studio up -d --no-build
until_ready
secure -H "$bearer" -H 'Accept: application/zip' "$url$kit" | cmp - "$scratch/before.zip"

say "a data folder of 0.1.0 is backed up, upgraded and served"
studio down -v
xz -dc tests/fixtures/data-0.1.0.tar.xz \
  | studio run --rm -T --no-deps quarterseam sh -c 'umask 077; tar -xf - --no-same-owner -C /data'
(cd "$work" && QUARTERSEAM_COMPOSE=$work/compose QUARTERSEAM_UP=--no-build docker/upgrade.sh)
until_ready
[ "$(tar -tf "$work"/backups/*.tar | grep -c '^kits/')" = 2 ] || { echo "the backup holds no kits"; exit 1; }
bearer="Authorization: Bearer $(studio exec -T quarterseam python3 -m service keys add owner --scope write | tr -d '\r')"
sums=$(python3 -c 'import json; print(*(k + " " + v["zip"] for k, v in
  json.load(open("tests/fixtures/data-0.1.0.json"))["kits"].items()), sep="\n")')
[ "$(wc -l <<<"$sums")" = 2 ]
while read -r id sum; do
  secure -H "$bearer" -H 'Accept: application/zip' "$url/v1/kits/$id" -o "$scratch/$id.zip"
  sha256sum --check --quiet <<<"$sum  $scratch/$id.zip"
  pinned=$id
done <<<"$sums"

say "retention: all but what is pinned goes after a day"
secure -X PUT -o /dev/null -H "$bearer" "$url/v1/kits/$pinned/pin"
export QUARTERSEAM_RETENTION_DAYS=1
studio run --rm -T --no-deps quarterseam python3 -m service sweep
left=$(secure -H "$bearer" "$url/v1/kits" | grep -o '"href":"/v1/kits/[0-9a-f-]*"')
[ "$left" = "\"href\":\"/v1/kits/$pinned\"" ] || { echo "left: $left"; exit 1; }

say "removal"
run_page 2 "A last backup"
[ -s "$work/kits.tar" ]
if "$docker" volume inspect quarterseam-studio-kits >/dev/null 2>&1; then echo "the volume is still there"; exit 1; fi
say "passed: HTTPS, a kit, a hang, a new machine, an upgrade from 0.1.0, retention and removal"
