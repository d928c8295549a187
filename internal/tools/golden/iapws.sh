#!/usr/bin/env bash
# Computes cycle/steam/testdata/iapws.tsv with the Debian package python3-iapws and
# compares it with the file, or with -write puts it there. The package is run as it
# is; nothing is copied from it. Where it cannot be had, this says so and succeeds.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
file=$here/../../../cycle/steam/testdata/iapws.tsv

python=/usr/bin/python3
if ! $python -c 'import iapws.iapws97' 2>/dev/null; then
  { apt-get update && apt-get install -y --no-install-recommends python3-iapws; } >/dev/null 2>&1 || true
fi
if ! $python -c 'import iapws.iapws97' 2>/dev/null; then
  echo "skipped: python3-iapws is not installed and could not be"
  exit 0
fi

version=$(dpkg-query -W -f '${Version}' python3-iapws 2>/dev/null || echo "of unknown version")
fresh=$(mktemp)
trap 'rm -f "$fresh"' EXIT
$python "$here/saturation.py" "$version" >"$fresh"
if [ "${1:-}" = -write ]; then
  mkdir -p "$(dirname "$file")"
  cp "$fresh" "$file"
  echo "wrote $(grep -vc '^#' "$file") values to cycle/steam/testdata/iapws.tsv"
else
  # Another version of the package may print another first line; the numbers must agree.
  diff <(grep -v '^#' "$file") <(grep -v '^#' "$fresh")
  echo "$(grep -vc '^#' "$file") values agree with python3-iapws $version"
fi
