#!/usr/bin/env bash
# Upgrades the studio's set-up: backs up, builds the image of this folder, starts it and waits until
# it answers. Nothing is changed unless the backup is whole.
#
#   docker/upgrade.sh [FOLDER]      where the backup goes; "backups" beside this folder by default
#
# COMPOSE_FILE (docker/compose.yaml) may name more files, separated by colons. QUARTERSEAM_COMPOSE
# is the command (docker compose), QUARTERSEAM_UP what is passed to its "up" (--build).
set -euo pipefail
cd "$(dirname "$0")/.."
export COMPOSE_FILE=${COMPOSE_FILE:-docker/compose.yaml}
compose() { ${QUARTERSEAM_COMPOSE:-docker compose} "$@" </dev/null; }
folder=${1:-backups}
umask 077
mkdir -p "$folder"
file=$folder/quarterseam-$(date -u +%Y%m%dT%H%M%SZ).tar

echo "Backing up to $file."
command=(python3 -m service backup -)
if [ -n "$(compose ps -q quarterseam)" ]; then
  compose exec -T quarterseam "${command[@]}" >"$file.draft" || failed=$?
else
  compose run --rm -T --no-deps quarterseam "${command[@]}" >"$file.draft" || failed=$?
fi
if [ "${failed:-0}" != 0 ] || [ ! -s "$file.draft" ]; then
  rm -f "$file.draft"
  echo "There is no whole backup, so nothing was upgraded. Run: python3 -m service check" >&2
  exit 1
fi
mv "$file.draft" "$file"

compose up -d ${QUARTERSEAM_UP:---build}
for _ in $(seq 150); do
  if compose exec -T quarterseam python3 -m service healthy >/dev/null 2>&1; then
    echo "The new version answers. The backup stays in $file."
    exit 0
  fi
  sleep 2
done
compose logs --tail 20 quarterseam >&2
echo "The new version does not answer; its log is above. To go back, start the earlier version with
a new volume and restore $file into it, as openapi/OPERATIONS.md says." >&2
exit 1
