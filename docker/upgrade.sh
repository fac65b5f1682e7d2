#!/usr/bin/env bash
# Upgrades the studio's set-up: backs up, builds the image of this folder, starts it and waits until
# it answers. Nothing is changed unless the backup is whole. A version that has no backup (0.1.0) is
# stopped first, and started again if its data folder cannot be backed up.
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
up=${QUARTERSEAM_UP:---build}
umask 077
mkdir -p "$folder"
file=$folder/quarterseam-$(date -u +%Y%m%dT%H%M%SZ).tar

echo "Backing up to $file."
command=(python3 -m service backup -)
if compose exec -T quarterseam "${command[@]}" --help >/dev/null 2>&1; then
  compose exec -T quarterseam "${command[@]}" >"$file.draft" || failed=$?
else
  # Nothing runs, or what runs knows no backup. What is built must not end in the backup.
  [ "$up" != --build ] || compose build quarterseam >&2
  running=$(compose ps -q quarterseam)
  [ -z "$running" ] || compose stop quarterseam >&2
  compose run --rm -T --no-deps quarterseam "${command[@]}" >"$file.draft" || failed=$?
fi
if [ "${failed:-0}" != 0 ] || [ ! -s "$file.draft" ]; then
  rm -f "$file.draft"
  [ -z "${running:-}" ] || compose start quarterseam >&2
  echo "There is no whole backup, so nothing was upgraded. Run: python3 -m service check" >&2
  exit 1
fi
mv "$file.draft" "$file"

compose up -d "$up"
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
