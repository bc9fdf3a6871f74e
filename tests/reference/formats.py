"""Checks of what comes in and goes out against other implementations: JSON documents against their schema by jsonschema, CSV read back
by Python's csv and by LibreOffice (where it is installed), captions by webvtt-py, numbers said in words by num2words and word2number.

    python formats.py path/to/hoistnote
"""

import csv
import io
import json
import random
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import jsonschema
import webvtt
from num2words import num2words
from word2number import w2n

ROOT = Path(__file__).resolve().parents[2]


def run(binary, *arguments, text=None):
    done = subprocess.run([binary, *map(str, arguments)], capture_output=True, input=text, encoding="utf-8")
    assert done.returncode == 0, done.stderr
    return done.stdout


def documents(binary, records):
    lines = "".join(json.dumps(r, ensure_ascii=False) + "\n" for r in records)
    return [json.loads(line) for line in run(binary, "find", "--records", text=lines).splitlines()]


def work():
    """Every work dictation as a record."""
    for file in sorted((ROOT / "tests/dictations/work").rglob("*.json")):
        if lines := json.loads(file.read_text()).get("lines"):
            yield {"id": str(file.relative_to(ROOT)), "utterances": lines}


def schemas(binary):
    rates = ROOT / "samples/rates/larkfield"
    with tempfile.TemporaryDirectory() as folder:
        visits = []
        for day, pads in (("2026-03-02", 6), ("2026-06-02", 5)):
            (visit := Path(folder) / day).mkdir()
            (visit / "notes.txt").write_text(f"unit 14, {pads}1000 miles\nleft front brake pads {pads} mm\nhorn works\n")
            visits.append(visit)
        demo = run(binary, "demo", "--text")
        (Path(folder) / "walk.vtt").write_text(demo)
        kinds = {
            "find": documents(binary, work()),
            "price": [json.loads(run(binary, "price", Path(folder) / "walk.vtt", "--rates", rates, "--format", "json"))],
            "compare": [json.loads(run(binary, "compare", *visits, "--format", "json"))],
        }
    for kind, found in kinds.items():
        schema = json.loads(run(binary, "schema", kind))
        jsonschema.Draft202012Validator.check_schema(schema)
        validator = jsonschema.Draft202012Validator(schema)
        for document in found:
            validator.validate(document)
        # a validator that lets everything through shows nothing
        spoilt = json.loads(json.dumps(found[0]))
        spoilt["schema"] = 7
        assert not validator.is_valid(spoilt), kind
        print(f"jsonschema: {len(found)} documents of `{kind}` keep to their schema")


def tables(binary):
    said = [
        'left front tire is bald, "down to the cords", he said',
        "brake hose; cracked; chafed, and wet",
        "größe ½ inch play in the lower ball joint",
        "=1+2 battery is weak",
        "battery 12.1v weak",
    ]
    with tempfile.TemporaryDirectory() as folder:
        table = Path(folder) / "list.csv"
        (Path(folder) / "unit 14, \"van\".txt").write_text("unit 14\n" + "\n".join(said) + "\n")
        source = Path(folder) / "unit 14, \"van\".txt"
        run(binary, "find", source, "--format", "csv", "--out", table)
        document = json.loads(run(binary, "find", source, "--format", "json"))
        text = table.read_text(encoding="utf-8-sig")
        rows = list(csv.DictReader(io.StringIO(text, newline="")))
        assert len(rows) == len(document["findings"]) > 3
        assert sorted(r["id"] for r in rows) == sorted(f["id"] for f in document["findings"])
        assert all(r["path"] == str(source) and None not in r and None not in r.values() for r in rows)
        print(f"Python's csv: {len(rows)} rows of {len(rows[0])} fields read back")
        office = shutil.which("soffice") or shutil.which("libreoffice")
        if not office:
            print("no LibreOffice: the table is not opened in a spreadsheet")
            return
        filter_ = "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,false,false,false,1"
        subprocess.run(
            [office, f"-env:UserInstallation=file://{folder}/profile", "--headless", "--infilter=CSV:44,34,76", "--convert-to",
             filter_, "--outdir", f"{folder}/back", str(table)],
            check=True, capture_output=True, timeout=180,
        )
        [back] = (Path(folder) / "back").glob("*.csv")
        again = list(csv.reader(io.StringIO(back.read_text(encoding="utf-8"), newline="")))
        first = list(csv.reader(io.StringIO(text, newline="")))
        assert len(again) == len(first), (len(again), len(first))
        for a, b in zip(again, first):
            # a spreadsheet writes figures its own way
            same = [x == y or (float(x) == float(y)) for x, y in zip(a, b)]
            assert len(a) == len(b) and all(same), (a, b)
        print(f"LibreOffice: {len(again)} rows opened and given back unchanged")


def captions(binary):
    records = []
    for record in list(work())[:60]:
        lines = [line.replace("&", "and").replace("<", "").replace(">", "") for line in record["utterances"]]
        stamp = lambda ms: f"{ms // 3600000:02}:{ms // 60000 % 60:02}:{ms // 1000 % 60:02}.{ms % 1000:03}"
        cues = [f"{i}\n{stamp(i * 2500)} --> {stamp(i * 2500 + 2400)} align:start\n{line}\n" for i, line in enumerate(lines)]
        records.append({"id": record["id"], "text": "WEBVTT - made up\n\nNOTE\nnobody says this\n\n" + "\n".join(cues)})
    count = 0
    for record, document in zip(records, documents(binary, records)):
        theirs = webvtt.from_string(record["text"]).captions
        assert len(theirs) == len(document["utterances"]), record["id"]
        for cue, ours in zip(theirs, document["utterances"]):
            assert cue.text.strip() == ours["text"], (cue.text, ours)
            assert round(cue.start_in_seconds * 1000) // 1000 == ours["start_ms"] // 1000
            count += 1
    print(f"webvtt-py: {count} cues read alike")


def numbers(binary):
    random.seed(14)
    figures = sorted({*range(0, 1000), *random.sample(range(1000, 10000), 300)})
    records = []
    for n in figures:
        words = num2words(n).replace(",", "")
        assert w2n.word_to_num(words) == n
        for number, wording in enumerate({words, words.replace(" and ", " ")}):
            records.append({"id": f"{n} {number}", "text": f"The left front tire is flat and has to be replaced, it measures {wording} psi."})
    wrong = []
    for record, document in zip(records, documents(binary, records)):
        n = int(record["id"].split()[0])
        figures = [m["value"] for f in document["findings"] for m in f["measurements"]]
        if figures != [n]:
            wrong.append((record["text"], figures))
    print(f"num2words and word2number: {len(records) - len(wrong)} of {len(records)} numbers in words read alike")
    assert not wrong, wrong[:20]


if __name__ == "__main__":
    for check in (schemas, tables, captions, numbers):
        check(sys.argv[1])
