#!/usr/bin/env bash
# Prices and quotes a sheet with the macros of examples/macros in a headless LibreOffice, and reads totals by formula,
# each in two locales.
#   check_macro.sh PROGRAM DATABASE-WITH-PRICES WORK-FOLDER
set -euo pipefail
program=$(realpath "$1") database=$2 work=$(realpath -m "$3")
repository=$(cd "$(dirname "$0")/../.." && pwd)
mkdir -p "$work"
cp "$repository/examples/macros/schedule.bas" "$work"
python3 "$repository/tests/outside/make_macro_sheet.py" "$work" "$repository/examples/schedule.csv"
cmp "$work/schedule.fods" "$repository/examples/macros/schedule.fods" || {
  echo "examples/macros/schedule.fods is not what make_macro_sheet.py makes of schedule.bas" >&2
  exit 1
}
key=$("$program" keys create --scope estimate --label macro --database "$database")
"$program" serve --listen 127.0.0.1:0 --database "$database" --log warn >"$work/server.out" &
server=$!
trap 'kill "$server" 2>/dev/null || true' EXIT
for _ in $(seq 100); do
  grep -q '^listening on ' "$work/server.out" && break
  sleep 0.1
done
base=$(sed -n 's/^listening on //p' "$work/server.out")
timeout 300 /usr/bin/python3 "$repository/tests/outside/drive_macro.py" "$base" "$key" "$repository" en-US de-DE
admin=$("$program" keys create --scope admin --label formulas --database "$database")
timeout 300 /usr/bin/python3 "$repository/tests/outside/check_formulas.py" "$base" "$admin" en-US de-DE
