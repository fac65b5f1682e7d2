#!/bin/sh
# Checks that the program of a container answers, and ends the container when it hangs: Docker marks it
# unhealthy and leaves it running; one that has ended is started again.
#
#   healthy.sh MAX SECONDS COMMAND...
#
# ends it after MAX checks in a row that took longer than SECONDS; not before a check has succeeded. A check
# that fails at once, as of a database that is starting and says so, ends nothing. Process 1 must be Docker's
# init (init: true), which ends with its child: elsewhere nothing is ended. The count is kept in a tmpfs.
set -u
max=$1
seconds=$2
shift 2
count=${HEALTH_FOLDER:-/run/health}/failures
timeout "$seconds" "$@" >/dev/null 2>&1
code=$?
if [ "$code" = 0 ]; then
  echo 0 >"$count"
  exit 0
fi
# What timeout(1) exits with when the time is over.
if [ "$code" = 124 ] && [ -f "$count" ]; then
  failures=$(($(cat "$count") + 1))
  echo "$failures" >"$count"
  echo "no answer, $failures times in a row"
  if [ "$failures" -ge "$max" ] && [ "$(cat /proc/1/comm)" = docker-init ]; then
    rm -f "$count"
    # Stopped processes, too. Process 1 is exempt, and so is this one.
    kill -s KILL -- -1
  fi
fi
exit 1
