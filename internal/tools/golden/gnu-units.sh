#!/usr/bin/env bash
# Computes the last column of units/testdata/gnu-units.tsv with GNU units and
# compares it with the file, or with -write puts it there. GNU units is run as it is;
# nothing is copied from it. Where it cannot be had, this says so and succeeds.
set -euo pipefail
file=$(cd "$(dirname "$0")/../../.." && pwd)/units/testdata/gnu-units.tsv

if ! command -v units >/dev/null; then
  { apt-get update && apt-get install -y units; } >/dev/null 2>&1 || true
fi
if ! command -v units >/dev/null; then
  echo "skipped: GNU units is not installed and could not be"
  exit 0
fi

fresh=$(mktemp)
trap 'rm -f "$fresh"' EXIT
{
  echo "# $(units --version | head -n 1), command: units -o %.15g -t FROM TO"
  printf '# dimension\tvalue\tunit\tFROM\tTO\tresult\n'
  grep -v '^#' "$file" | while IFS=$'\t' read -r dimension value unit from to _; do
    printf '%s\t%s\t%s\t%s\t%s\t%s\n' "$dimension" "$value" "$unit" "$from" "$to" "$(units -o %.15g -t "$from" "$to")"
  done
} >"$fresh"

if [ "${1:-}" = -write ]; then
  cp "$fresh" "$file"
  echo "wrote $(grep -vc '^#' "$file") conversions to units/testdata/gnu-units.tsv"
else
  # Another version of the tool may print another first line; the numbers must agree.
  diff <(grep -v '^#' "$file") <(grep -v '^#' "$fresh")
  echo "$(grep -vc '^#' "$file") conversions agree with $(units --version | head -n 1)"
fi
