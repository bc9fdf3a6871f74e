"""Findings of many shops' dictations, spread over the machines of an Apache Spark cluster.

    spark-submit samples/spark/find.py --program target/release/hoistnote records.ndjson findings

reads records, one a line ({"id": "…", "text": "…"}), sends the program to every machine, pipes each part of the records through
`hoistnote find --records`, and saves the findings, one document a line, in the order of the records. The files in `findings`, one
behind the other, hold the bytes that a single `hoistnote find --records < records.ndjson` prints. Records that gave no findings
document are told at the end, and the exit status is 1 then. A lexicon folder of your own must be at the same place on all machines.

Wants pyspark (on PyPI) and Java. To try it on one machine: --master "local-cluster[2,1,1024]".
"""

import argparse
import json
import shlex
import sys
from pathlib import Path

from pyspark.sql import SparkSession


def record_id(line):
    """The id of a record as its document shows it; what is no record has none."""
    try:
        found = json.loads(line)["id"]
    except (ValueError, KeyError, TypeError):
        return f"no id: {line[:60]}"
    return str(found)


def main():
    arguments = argparse.ArgumentParser()
    arguments.add_argument("--program", required=True, help="the hoistnote program, built for the machines of the cluster")
    arguments.add_argument("--master", help="address of the cluster, where spark-submit does not give it")
    arguments.add_argument("--parts", type=int, default=8, help="parts that the records are read in, at least")
    arguments.add_argument("--lexicon", help="lexicon folder of your own")
    arguments.add_argument("records")
    arguments.add_argument("findings")
    given = arguments.parse_args()

    builder = SparkSession.builder.appName("hoistnote")
    if given.master:
        builder = builder.master(given.master)
    spark = builder.getOrCreate().sparkContext
    program = Path(given.program).resolve()
    spark.addFile(str(program))

    command = ["./" + program.name, "find", "--records"]
    if given.lexicon:
        command += ["--lexicon", given.lexicon]
    records = spark.textFile(given.records, given.parts)
    # one core for each part: Spark runs as many parts at once as there are cores
    found = records.pipe(shlex.join(command), env={"RAYON_NUM_THREADS": "1"})
    found.saveAsTextFile(given.findings)

    answered = spark.textFile(given.findings).map(lambda line: json.loads(line)["source"]["path"])
    without = records.filter(str.strip).map(record_id).subtract(answered).collect()
    for name in sorted(without):
        print(f"{name}: no findings; give it to `hoistnote find --records` alone to see why", file=sys.stderr)
    spark.stop()
    sys.exit(1 if without else 0)


if __name__ == "__main__":
    main()
