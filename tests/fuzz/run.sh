#!/usr/bin/env bash
# Fuzzing led by coverage: every target in turn, so many seconds each, on one core. Wants the nightly toolchain and cargo-fuzz.
#
#     tests/fuzz/run.sh 60            all targets, 60 s each
#     tests/fuzz/run.sh 600 talk      one of them
set -euo pipefail
cd "$(dirname "$0")/../.."
seconds=$1
shift
targets=("$@")
if [ ${#targets[@]} = 0 ]; then
  mapfile -t targets < <(cd tests/fuzz/targets && ls | sed 's/\.rs$//')
fi
base=${CARGO_TARGET_DIR:-target}/fuzz
mkdir -p "$base/seeds"
# samples to start from; what is found to reach new code is kept beside them
python3 - "$base/seeds" <<'PYTHON'
import json, pathlib, sys
out = pathlib.Path(sys.argv[1])
def put(target, name, data):
    folder = out / target
    folder.mkdir(parents=True, exist_ok=True)
    (folder / name).write_bytes(data)
for n, file in enumerate(sorted(pathlib.Path("tests/dictations/work").rglob("*.json"))):
    lines = json.loads(file.read_text()).get("lines")
    if lines and n % 4 == 0:
        words = "\n".join(lines).encode()
        put("talk", file.stem, words[:2000])
        put("record", file.stem, json.dumps({"id": n, "utterances": lines}).encode()[:2000])
        cues = [f"00:{i // 60:02}:{i % 60:02}.000 --> 00:{i // 60:02}:{i % 60:02}.900\n{line}\n\n" for i, line in enumerate(lines)]
        put("webvtt", file.stem, "".join(cues).encode()[:2000])
        put("subrip", file.stem, "".join(cues).replace(".", ",").encode()[:2000])
        put("timed_text", file.stem, "".join(f"[{i // 60}:{i % 60:02}] {line}\n" for i, line in enumerate(lines)).encode()[:2000])
        words = [{"word": w, "start": i / 2, "end": i / 2 + 0.4} for i, w in enumerate(lines[0].split())]
        put("json", file.stem, json.dumps([{"start": 0, "end": 9, "text": lines[0], "words": words}]).encode())
        put("ctm", file.stem, "".join(f"w 1 {i / 2} 0.4 {w['word']}\n" for i, w in enumerate(words)).encode())
        put("bytes", file.stem, lines[0].encode("utf-16"))
for file in pathlib.Path("lexicon").rglob("*.toml"):
    put("lexicon", file.stem, file.read_bytes()[:3000])
for file in pathlib.Path("samples/rates").rglob("*.toml"):
    put("rates", file.stem, file.read_bytes()[:3000])
put("log", "a", b'{"when":"2026-03-02T10:15:00Z","what":"hand_over","revision":1}\n{"when":"2026-03-02T10:15:00Z","what":"undo","line":1}\n')
PYTHON
for target in "${targets[@]}"; do
  mkdir -p "$base/corpus/$target"
  echo "== $target, $seconds s"
  cargo +nightly fuzz run --fuzz-dir tests/fuzz --target-dir "$base/build" "$target" "$base/corpus/$target" "$base/seeds/$target" -- \
    -max_total_time="$seconds" -timeout=20 -rss_limit_mb=2048 -max_len=4096 -print_final_stats=1 2>&1 |
    grep -E "^(==|SUMMARY|artifact|thread|stat::number_of_executed|panicked|.*panicked at)|DONE" || true
done
! find tests/fuzz/artifacts -type f 2> /dev/null | grep . 
