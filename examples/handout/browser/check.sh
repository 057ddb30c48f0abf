#!/usr/bin/env bash
# Checks the handout and the paper sheets of weekplan in a browser and with outside tools. Run it from anywhere.
# It installs what it needs: Chromium, poppler-utils and Java from Debian, and
# the packages of package-lock.json. It needs Go and Node.
set -euo pipefail
cd "$(dirname "$0")"

missing=()
command -v chromium >/dev/null || missing+=(chromium)
command -v pdftotext >/dev/null || missing+=(poppler-utils)
command -v java >/dev/null || missing+=(default-jre-headless)
fc-list 2>/dev/null | grep -qi 'noto sans' || missing+=(fonts-noto-core)
if [ ${#missing[@]} -gt 0 ]; then
  { apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "${missing[@]}"; } >/dev/null 2>&1 ||
    { echo "could not install: ${missing[*]}"; exit 1; }
fi
# The packages bring no browser and no Java of their own: their scripts stay off.
npm ci --ignore-scripts --no-audit --no-fund --silent
rm -rf out && mkdir out
(cd .. && go build -o browser/out/handout . && go build -o browser/out/weekplan ../weekplan)
exec node --test check.mjs sheets.mjs
