#!/usr/bin/env bash
# Chromium, a PostgreSQL server and strace, for the suites that need them. Does nothing where they are there,
# nothing but a word where this user may not install.
set -euo pipefail
missing=()
command -v chromium >/dev/null 2>&1 || missing+=(chromium)
command -v strace >/dev/null 2>&1 || missing+=(strace)
command -v make >/dev/null 2>&1 || missing+=(make)
if ! command -v initdb >/dev/null 2>&1 && ! ls /usr/lib/postgresql/*/bin/initdb >/dev/null 2>&1; then
  missing+=(postgresql)
fi
if [ ${#missing[@]} -eq 0 ]; then exit 0; fi
if [ "$(id -u)" -ne 0 ] || ! command -v apt-get >/dev/null 2>&1; then
  echo "Not here and not installed by this user: ${missing[*]}"
  exit 0
fi
export DEBIAN_FRONTEND=noninteractive
apt-get update -qq
apt-get install -y -qq --no-install-recommends "${missing[@]}" >/dev/null
