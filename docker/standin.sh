# What the containers of standin.Dockerfile run: the program that is there, as its own image would.
set -eu
if command -v nginx >/dev/null; then exec nginx -g 'daemon off;'; fi
if command -v redis-server >/dev/null; then shift; exec redis-server "$@" --bind 0.0.0.0 --protected-mode no; fi
data=/var/lib/postgresql/data
if [ ! -s "$data/PG_VERSION" ]; then
  install -d -o postgres -g postgres -m 700 "$data"
  printf '%s' "$POSTGRES_PASSWORD" >/tmp/password
  chown postgres /tmp/password
  runuser -u postgres -- initdb -D "$data" -A scram-sha-256 --pwfile /tmp/password -U "$POSTGRES_USER" -E UTF8 >/dev/null
  echo "host all all all scram-sha-256" >>"$data/pg_hba.conf"
  rm /tmp/password
  runuser -u postgres -- pg_ctl -D "$data" -o "-c listen_addresses=" -w start >/dev/null
  PGPASSWORD=$POSTGRES_PASSWORD runuser -u postgres -- createdb -h /var/run/postgresql -U "$POSTGRES_USER" "$POSTGRES_DB"
  runuser -u postgres -- pg_ctl -D "$data" -m fast -w stop >/dev/null
fi
exec runuser -u postgres -- postgres -D "$data" -c 'listen_addresses=*'
