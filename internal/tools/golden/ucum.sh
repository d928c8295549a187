#!/usr/bin/env bash
# Computes the last column of units/testdata/ucum.tsv with a public UCUM library
# under Node and compares it with the file, or with -write puts it there. Where Node
# or the library cannot be had, this says so and succeeds.
set -euo pipefail
version=7.1.10
here=$(cd "$(dirname "$0")" && pwd)
file=$here/../../../units/testdata/ucum.tsv

work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
if ! command -v npm >/dev/null || ! npm install --silent --no-fund --no-audit --prefix "$work" "@lhncbc/ucum-lhc@$version" >/dev/null 2>&1; then
  echo "skipped: Node or the package @lhncbc/ucum-lhc $version cannot be had"
  exit 0
fi

node "$here/ucum.mjs" "$file" "$work" "$version" >"$work/fresh.tsv"
if [ "${1:-}" = -write ]; then
  cp "$work/fresh.tsv" "$file"
  echo "wrote $(grep -vc '^#' "$file") units to units/testdata/ucum.tsv"
else
  diff "$file" "$work/fresh.tsv"
  echo "$(grep -vc '^#' "$file") units agree with @lhncbc/ucum-lhc $version"
fi
