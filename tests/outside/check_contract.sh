#!/usr/bin/env bash
# Holds a running server against its own OpenAPI document with schemathesis 4.32.5: every call, with
# every check, and the chains that the document's links tell. Works on a copy of the demo's data.
#   check_contract.sh PROGRAM PYTHON-ENVIRONMENT DEMO-DATABASE WORK-FOLDER
set -euo pipefail
program=$(realpath "$1") environment=$(realpath "$2") demo=$(realpath "$3") work=$(realpath -m "$4")
cd "$(dirname "$0")"
mkdir -p "$work"
database="sqlite://$work/contract.db"
"$program" backup --database "sqlite://$demo" "$work/contract.db"
OFFTAKE_KEY=$("$program" keys create --scope admin --label contract --database "$database")
export OFFTAKE_KEY PYTHONDONTWRITEBYTECODE=1
"$program" serve --listen 127.0.0.1:0 --database "$database" --log warn >"$work/server.out" 2>"$work/server.err" &
server=$!
trap 'kill "$server" 2>/dev/null || true' EXIT
for _ in $(seq 100); do
  grep -q '^listening on ' "$work/server.out" && break
  sleep 0.1
done
base=$(sed -n 's/^listening on //p' "$work/server.out")
timeout 600 "$environment/bin/schemathesis" --config-file schemathesis.toml run "$base/openapi.json" --checks all \
  --report ndjson --report-dir "$work/report" >"$work/report.txt" 2>&1 || { tail -n 200 "$work/report.txt"; tail "$work/server.err"; exit 1; }
tail -n 25 "$work/report.txt"
# A server that fell over would be no server any more.
kill -0 "$server"
