#!/bin/sh
# Makes its own environment, then reads the example chart and kits it up from the sample threads.
set -eu
. "$(dirname -- "$0")/environment.sh"
make_environment .venv-run '.'

out=$root/examples/out
mkdir -p "$out"
chartscan() { "$python" -m chartscan "$@"; }

chartscan read "$root/examples/lighthouse.png" -o "$out/lighthouse.json" --review "$out/review.png"
chartscan kit "$out/lighthouse.json" --title 'The Lighthouse' \
    --palette meadowline --owned stash-example --fabric 28 --over 2 \
    --sheet "$out/kit.html" --csv "$out/kit.csv"
echo
echo "The page with the reading drawn over it: $out/review.png"
echo "The kit sheet, to open and print:        $out/kit.html"
