#!/usr/bin/env bash
# Scores the release build on the shared gold dictations and fails when a figure falls below its floor.
# usage: score.sh SHARED_DIR
set -euo pipefail
shared=$(cd "$1" && pwd)
cd "$(dirname "$0")/../.."
out=$(mktemp -d)
trap 'rm -rf "$out"' EXIT

# predictions NAME GOLD_DIR TEXT_DIR: one document a dictation, British ones read with the driver on the right
predictions() {
  mkdir -p "$out/$1"
  for text in "$3"/*; do
    stem=$(basename "${text%.*}")
    [ -f "$2/$stem.json" ] || continue
    side=right
    grep -qiE 'nearside|offside' "$2/$stem.json" && side=left
    ./target/release/hoistnote find --format json --drives-on "$side" "$text" > "$out/$1/$stem.json"
  done
}

# floor NAME GOLD_DIR LEAST_F1
floor() {
  # dictations without a text of this kind are not scored
  mkdir -p "$out/gold-$1"
  for doc in "$out/$1"/*.json; do cp "$2/$(basename "$doc")" "$out/gold-$1/"; done
  line=$(python3 "$shared/corpus/score.py" "$out/gold-$1" "$out/$1" | grep '^ALL')
  f1=$(sed -E 's/.*F1 ([0-9.]+).*/\1/' <<< "$line")
  echo "$1: $line"
  awk -v got="$f1" -v want="$3" 'BEGIN { exit !(got >= want) }' || { echo "$1: F1 $f1 is below its floor $3"; return 1; }
}

mkdir -p "$out/mini-text"
python3 - "$shared/corpus/dev/mini" "$out/mini-text" <<'PY'
import json, os, sys
for name in sorted(os.listdir(sys.argv[1])):
    with open(os.path.join(sys.argv[1], name)) as f, open(os.path.join(sys.argv[2], name[:-5] + ".txt"), "w") as to:
        to.write("\n".join(json.load(f)["lines"]) + "\n")
PY
predictions clean "$shared/corpus/dev/gold" "$shared/corpus/dev/clean"
predictions heard "$shared/corpus/dev/gold" "$shared/corpus/dev/heard"
predictions mini "$shared/corpus/dev/mini" "$out/mini-text"
floor clean "$shared/corpus/dev/gold" 0.60
floor heard "$shared/corpus/dev/gold" 0.41
floor mini "$shared/corpus/dev/mini" 0.62
