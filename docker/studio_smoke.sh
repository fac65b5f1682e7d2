#!/usr/bin/env bash
# A studio's days with compose.yaml, by the commands of openapi/OPERATIONS.md, read from there: the
# set-up, a key, HTTPS, a kit, links that a tablet opens, a service that hangs and is started again, a
# new machine, an upgrade from 0.1.0, retention, removal. Says loudly what it could not do, and fails
# when anything that could be done went wrong.
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
# Debian 12's compose knows no "name:" of a project.
if "$docker" compose version >/dev/null 2>&1; then
  program="$docker compose"
else
  command -v docker-compose >/dev/null || cannot "there is no docker compose on this machine"
  program="docker-compose -p quarterseam-studio"
  sed -i '/^name:/d' "$work/docker/compose.yaml"
fi
cat >"$work/compose" <<EOF
#!/bin/sh
export COMPOSE_FILE=\${COMPOSE_FILE:-docker/compose.yaml:docker/compose.tls.yaml}
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
# The page's own "docker": compose may be a program of its own here, and the image is there already.
page_docker() {
  [ "$1" = compose ] || { echo "not a command of compose: $*" >&2; return 1; }
  shift
  case " $* " in *" up "*) set -- "$@" --no-build ;; esac
  "$work/compose" "$@"
}
# run_page COUNT SENTENCE [SED]: runs the commands below a sentence, so many lines, in the copy. SED
# puts in what the page leaves to its reader.
run_page() {
  page "$2" | sed "${3:-}" >"$scratch/commands"
  cat "$scratch/commands" >&2
  [ "$(wc -l <"$scratch/commands")" = "$1" ] || { echo "not $1 lines below: $2" >&2; exit 1; }
  (
    docker() { page_docker "$@"; }
    cd "$work"
    . "$scratch/commands"
  )
}

say "the first day: the set-up and its key"
run_page 2 "## The first day"
plain=http://127.0.0.1:$QUARTERSEAM_PUBLISHED_PORT
answers "$plain" || { studio logs --tail 30; exit 1; }
# The key may have come after the log was shown.
first=$(studio logs --no-color quarterseam | sed -n 's/.* \(first\.[A-Za-z0-9_-]*\)$/\1/p')
[ -n "$first" ] || { studio logs --tail 20; echo "no key was printed"; exit 1; }
key=$(run_page 2 "the log keeps that one" | tr -d '\r' | grep -x '[0-9a-f]\{12\}\.[A-Za-z0-9_-]*')
bearer="Authorization: Bearer $key"
code=$(curl -sS -m 60 -o /dev/null -w '%{http_code}' -H "Authorization: Bearer $first" "$plain/v1/kits")
[ "$code" = 401 ] || { echo "the first key, which was revoked, was answered $code"; exit 1; }
curl -fsS -m 60 -o /dev/null -H "$bearer" "$plain/v1/kits"
[ "$("$docker" exec "$(studio ps -q quarterseam)" date +%Z)" = UTC ] || { echo "its time zone is not UTC"; exit 1; }

say "HTTPS for other machines"
run_page 5 "## HTTPS" 's/IP:192.0.2.10/IP:127.0.0.1/'
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
kit=$(secure -D - -o /dev/null -H "$bearer" -H "Origin: $url" -H 'Sec-Fetch-Site: same-origin' \
  -H 'Content-Type: application/json' --data @openapi/examples/harbour-class-set.json "$url/v1/kits" \
  | tr -d '\r' | awk 'tolower($1) == "location:" {print $2}')
[ -n "$kit" ] || { echo "no Location in the answer"; exit 1; }
code=$(curl -sS -m 60 --cacert "$certificate" -o /dev/null -w '%{http_code}' -H "$bearer" -H 'Origin: https://other.example' \
  -H 'Content-Type: application/json' --data @openapi/examples/harbour-class-set.json "$url/v1/kits")
[ "$code" = 403 ] || { echo "another site's request was answered $code"; exit 1; }
secure -H "$bearer" -H 'Accept: application/zip' "$url$kit" -o "$scratch/before.zip"

say "a run sheet on the tablet: a link that needs no key, until its key is revoked"
tablet=$(studio exec -T quarterseam python3 -m service keys add tablet | tr -d '\r')
href=$(run_page 2 "This asks for a link" \
  "s|https://studio.internal:8443|$url|; s|/KIT/|/${kit##*/}/|; s|KEY|$tablet|" | sed -n 's/.*"href":"\([^"]*\)".*/\1/p')
[ -n "$href" ] || { echo "there is no link"; exit 1; }
opened=$(secure -H 'Accept: text/html,*/*;q=0.8' -o "$scratch/sheet.pdf" -w '%{content_type}' "$url$href")
[ "$opened" = application/pdf ] || { echo "the link opens $opened"; exit 1; }
head -c 5 "$scratch/sheet.pdf" | grep -q '%PDF-' || { echo "the run sheet is no PDF"; exit 1; }
link_code() { curl -sS -m 60 --cacert "$certificate" -o /dev/null -w '%{http_code}' "$url$1"; }
[ "$(link_code "${href%????}0000")" = 403 ] || { echo "an altered link opens"; exit 1; }
studio exec -T quarterseam python3 -m service keys revoke "${tablet%%.*}"
[ "$(link_code "$href")" = 403 ] || { echo "the link of a revoked key opens"; exit 1; }
if studio logs --no-color | grep -q 'signature='; then echo "a link was logged"; exit 1; fi

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
[ "$(page "With the studio's compose file" | wc -l)" = 2 ] || { echo "not two commands"; exit 1; }
# here NUMBER: runs one of them; between the two the machine changes.
here() {
  page "With the studio's compose file" | sed -n "$1p" | tee "$scratch/commands"
  (docker() { page_docker "$@"; }; cd "$work"; . "$scratch/commands")
}
here 1
studio down -v
here 2
studio up -d --no-build
until_ready
secure -H "$bearer" -H 'Accept: application/zip' "$url$kit" | cmp - "$scratch/before.zip"

export QUARTERSEAM_COMPOSE=$work/compose QUARTERSEAM_UP=--no-build
say "a container of 0.1.0 that runs is backed up and upgraded"
# The last commit that had no backup is the one before that which added it.
added=$(git log --diff-filter=A --format=%H -- service/cli/backup.py 2>/dev/null | tail -1 || true)
if [ -n "$added" ] && git cat-file -e "$added^{commit}" 2>/dev/null && "$docker" image inspect quarterseam-base:local >/dev/null 2>&1; then
  studio down -v
  first=$scratch/first
  mkdir "$first"
  git archive "$added^" | tar -xf - -C "$first"
  grep -q '__version__ = "0.1.0"' "$first/service/__init__.py"
  [ "$program" = "$docker compose" ] || sed -i '/^name:/d' "$first/docker/compose.yaml"
  build_image quarterseam:first quarterseam-base:local "$first"
  (cd "$first" && COMPOSE_FILE=docker/compose.yaml QUARTERSEAM_IMAGE=quarterseam:first \
    $program --project-directory docker up -d --no-build)
  answers "$plain" || { studio logs --tail 30; exit 1; }
  if studio exec -T quarterseam python3 -m service backup --help >/dev/null 2>&1; then echo "that is not 0.1.0"; exit 1; fi
  owner="Authorization: Bearer $(studio logs --no-color quarterseam | sed -n 's/.* \(first\.[A-Za-z0-9_-]*\)$/\1/p')"
  kit=$(curl -fsS -m 300 -D - -o /dev/null -H "$owner" -H 'Content-Type: application/json' \
    --data @"$first/openapi/examples/harbour-class-set.json" "$plain/v1/kits" \
    | tr -d '\r' | awk 'tolower($1) == "location:" {print $2}')
  curl -fsS -m 60 -H "$owner" -H 'Accept: application/zip' "$plain$kit" -o "$scratch/old.zip"
  rm -rf "$work/backups"
  run_page 1 "In the studio's set-up one command"
  answers "$plain" || { studio logs --tail 30; exit 1; }
  curl -fsS -m 60 -H "$owner" -H 'Accept: application/zip' "$plain$kit" | cmp - "$scratch/old.zip"
  [ "$(tar -tf "$work"/backups/*.tar | grep -c '^kits/')" = 1 ] || { echo "the backup holds no kit"; exit 1; }
  # The backup alone makes it again, on another machine.
  studio down -v
  studio run --rm -T quarterseam python3 -m service restore - <"$(echo "$work"/backups/*.tar)"
  studio up -d --no-build
  answers "$plain" || { studio logs --tail 30; exit 1; }
  curl -fsS -m 60 -H "$owner" -H 'Accept: application/zip' "$plain$kit" | cmp - "$scratch/old.zip"
  "$docker" image rm quarterseam:first >/dev/null
else
  say "NOT RUN: this folder has no history of 0.1.0, or there is no quarterseam-base:local"
fi

say "a data folder of 0.1.0 is backed up, upgraded and served, without HTTPS and with it"
with_first_version() {
  studio down -v
  xz -dc tests/fixtures/data-0.1.0.tar.xz \
    | studio run --rm -T --no-deps quarterseam sh -c 'umask 077; tar -xf - --no-same-owner -C /data'
}
with_first_version
run_page 1 "In the studio's set-up one command"
answers "$plain" || { studio logs --tail 30; exit 1; }
rm -r "$work/backups"
with_first_version
run_page 1 "With HTTPS, name both files"
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

say "retention: all but what is pinned goes after a day, in place of the page's year"
secure -X PUT -o /dev/null -H "$bearer" "$url/v1/kits/$pinned/pin"
run_page 3 "(without the second file" 's/=365/=1/'
until_ready
left=$(secure -H "$bearer" "$url/v1/kits" | grep -o '"href":"/v1/kits/[0-9a-f-]*"')
[ "$left" = "\"href\":\"/v1/kits/$pinned\"" ] || { echo "left: $left"; exit 1; }

say "removal"
run_page 2 "A last backup"
[ -s "$work/kits.tar" ]
if "$docker" volume inspect quarterseam-studio-kits >/dev/null 2>&1; then echo "the volume is still there"; exit 1; fi
say "passed: the set-up, a key, HTTPS, a kit, links, a hang, a new machine, an upgrade from 0.1.0, retention and removal"
