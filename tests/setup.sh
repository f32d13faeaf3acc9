#!/usr/bin/env bash
# Installs what the tests need: foreign judges from the system's packages, and the package with
# its test dependencies into .venv.
set -euo pipefail
cd "$(dirname "$0")/.."
need=()
for pair in gs:ghostscript pdftoppm:poppler-utils qpdf:qpdf soffice:libreoffice-calc-nogui \
    mutool:mupdf-tools zbarimg:zbar-tools dmtxread:dmtx-utils git:git; do
    command -v "${pair%%:*}" >/dev/null || need+=("${pair##*:}")
done
[ -f /usr/share/unicode/BidiTest.txt ] || need+=(unicode-data)  # Unicode's own tests
if ((${#need[@]})); then
    apt-get update -qq
    DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "${need[@]}" >/dev/null
fi
[ -x .venv/bin/python ] || python3 -m venv .venv
.venv/bin/pip install -q --disable-pip-version-check -e '.[dev]'
