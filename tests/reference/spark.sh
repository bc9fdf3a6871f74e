#!/usr/bin/env bash
# The recipe for Apache Spark in samples/spark, on a cluster of two workers on this machine: the same bytes as the single process.
#
#     spark.sh path/to/hoistnote path/to/python-with-pyspark
set -euo pipefail
program=$(realpath "$1")
python=$2
cd "$(dirname "$0")/../.."
place=$(mktemp -d)
trap 'rm -rf "$place"' EXIT
export SPARK_LOCAL_IP=127.0.0.1 SPARK_LOCAL_DIRS=$place/local SPARK_WORKER_DIR=$place/work
export PYSPARK_PYTHON=$python
export PYSPARK_SUBMIT_ARGS="--conf spark.ui.enabled=false --conf spark.ui.showConsoleProgress=false pyspark-shell"
# every work dictation under two names, and one line that is no record
"$python" - tests/dictations/work > "$place/records.ndjson" <<'PYTHON'
import json, pathlib, sys
files = sorted(pathlib.Path(sys.argv[1]).rglob("*.json"))
said = [(str(f), lines) for f in files if (lines := json.loads(f.read_text()).get("lines"))]
assert len(said) > 40, files
for n in range(2):
    for file, lines in said:
        print(json.dumps({"id": f"{n}/{file}", "utterances": lines}, ensure_ascii=False))
    if n == 0:
        print("no record at all")
PYTHON
"$program" find --records < "$place/records.ndjson" > "$place/alone.ndjson" 2> "$place/alone.err" && exit 1
[ "$(wc -l < "$place/alone.err")" -ge 1 ]
if "$python" samples/spark/find.py --program "$program" --master "local-cluster[2,1,1024]" \
  "$place/records.ndjson" "$place/findings" 2> "$place/spark.err"; then
  echo "a line that is no record was not told"
  exit 1
fi
grep -q "^no id: no record at all: no findings" "$place/spark.err" || { cat "$place/spark.err"; exit 1; }
cat "$place"/findings/part-* > "$place/spread.ndjson"
cmp "$place/alone.ndjson" "$place/spread.ndjson"
parts=$(find "$place/findings" -name 'part-*' | wc -l)
echo "Apache Spark: $(wc -l < "$place/alone.ndjson") documents in $parts parts on two workers, the same bytes as the single process"
