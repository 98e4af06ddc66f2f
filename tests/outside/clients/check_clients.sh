#!/usr/bin/env bash
# Lints the OpenAPI document, generates a Python and a TypeScript client from it, and does the main job with
# them against a running server. Needs Node.js with npm, and a Python with openapi-python-client 0.29.1.
#   check_clients.sh PROGRAM PYTHON-ENVIRONMENT WORK-FOLDER
set -euo pipefail
program=$(realpath "$1") environment=$(realpath "$2") work=$(realpath -m "$3")
here=$(cd "$(dirname "$0")" && pwd)
repository=$(cd "$here/../../.." && pwd)
export REDOCLY_TELEMETRY=off REDOCLY_SUPPRESS_UPDATE_NOTICE=true
mkdir -p "$work" && cd "$work"
cp "$here"/package.json "$here"/tsconfig.json "$here"/main_job.ts "$here"/main_job.py .
cp "$repository/openapi/offtake.json" .
for try in 1 2 3; do
  npm install --no-audit --no-fund --silent && break
  [ "$try" = 3 ] && exit 1
  sleep $((try * 5))
done

npx --no-install spectral lint offtake.json -r "$here/spectral.yaml" -F warn
npx --no-install redocly lint offtake.json --extends=recommended-strict
PATH="$environment/bin:$PATH" openapi-python-client generate --path offtake.json \
  --output-path offtake_client --meta none --overwrite --config "$here/python-client.yaml" --fail-on-warning
npx --no-install openapi-typescript offtake.json -o offtake.d.ts
npx --no-install tsc -p .

database="sqlite://$work/clients-$$.db"
key=$("$program" keys create --scope admin --label clients --database "$database")
"$program" serve --listen 127.0.0.1:0 --database "$database" >"$work/server.out" 2>"$work/server.err" &
server=$!
trap 'kill "$server" 2>/dev/null || true' EXIT
for _ in $(seq 100); do
  grep -q '^listening on ' "$work/server.out" && break
  sleep 0.1
done
base=$(sed -n 's/^listening on //p' "$work/server.out")
PYTHONPATH="$work" "$environment/bin/python" main_job.py "$base" "$key" "$repository"
node built/main_job.js "$base" "$key" "$repository"
