#!/bin/sh
# usage: run.sh FOLDER-OF-SCHEMAS WORK-FOLDER <documents >verdicts
# Installs the second implementation into the work folder and asks it. Where it can
# not be installed, prints a line that starts with "skipped" and succeeds.
set -e
here=$(cd "$(dirname "$0")" && pwd)
schemas=$(cd "$1" && pwd)
mkdir -p "$2"
cp "$here/package.json" "$here/verdicts.mjs" "$2"
cd "$2"
if ! command -v node >/dev/null || ! command -v npm >/dev/null; then
	echo "skipped: node and npm are not here"
	exit 0
fi
if ! npm install --no-audit --no-fund --no-package-lock --ignore-scripts --loglevel=error >install.log 2>&1; then
	echo "skipped: npm could not install ajv: $(head -n 1 install.log)"
	exit 0
fi
exec node verdicts.mjs "$schemas"
