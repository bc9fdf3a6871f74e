#!/usr/bin/env python3
"""How well spoken dictations are heard and read: word error rate and score of the findings, by noise and with and without hints.

usage: figures.py SHARED HOISTNOTE OUT ID...

SHARED holds corpus/dev and corpus/score.py, HOISTNOTE is the program, ID names dictations of the dev set. Each is spoken line by
line (flite, espeak-ng; the voice follows from the id), mixed with brown noise at several distances from the voice (sox), and
recognised by samples/recognisers/whisper.py, once without and once with the names that `hoistnote lexicon words --hint` gives. The
words are compared without case and punctuation; a figure written in digits counts as wrong where the speaker's is in words, with and
without hints alike. What was recognised stays in OUT, so that a run that was broken off goes on where it was.

needs: apt flite espeak-ng sox; pip jiwer and what whisper.py needs
"""

import glob
import hashlib
import json
import os
import re
import subprocess
import sys

import jiwer

HERE = os.path.dirname(os.path.abspath(__file__))
WHISPER = os.path.join(HERE, "../../samples/recognisers/whisper.py")
VOICES = [("flite", "rms"), ("flite", "slt"), ("espeak", "en-us"), ("flite", "kal16")]
# how far the noise lies below the voice, in dB; None is no noise
NOISES = [None, 20, 10, 0]
HINT_TOKENS = 180


def run(*command, **more):
    return subprocess.run(command, check=True, capture_output=True, text=True, **more).stdout


def speak(gold, path):
    """All lines with pauses between them, 16 kHz mono."""
    engine, voice = VOICES[int(hashlib.sha256(gold["id"].encode()).hexdigest(), 16) % len(VOICES)]
    pieces = []
    for n, line in enumerate(gold["lines"]):
        piece = f"{path}.{n}.wav"
        text = re.sub(r"^[A-Z]:\s*", "", line)
        if engine == "flite":
            run("flite", "-voice", voice, "-t", text, "-o", piece + ".raw.wav")
        else:
            run("espeak-ng", "-v", voice, "-s", "150", "-w", piece + ".raw.wav", text)
        run("sox", piece + ".raw.wav", "-r", "16000", "-c", "1", "-b", "16", piece, "pad", "0", "0.3")
        os.remove(piece + ".raw.wav")
        pieces.append(piece)
    run("sox", *pieces, path, "norm", "-3")
    for piece in pieces:
        os.remove(piece)


def loudness(path):
    shown = subprocess.run(["sox", path, "-n", "stats"], check=True, capture_output=True, text=True).stderr
    return float(re.search(r"RMS lev dB\s+(-?[\d.]+)", shown).group(1))


def add_noise(clean, below, path):
    seconds = run("soxi", "-D", clean).strip()
    noise = path + ".noise.wav"
    run("sox", "-R", "-n", "-r", "16000", "-c", "1", "-b", "16", noise, "synth", seconds, "brownnoise", "gain", "-6")
    gain = loudness(clean) - below - loudness(noise)
    # both quieter by half, so that nothing is cut off
    run("sox", "-m", "-v", "0.5", clean, "-v", str(0.5 * 10 ** (gain / 20)), noise, path)
    os.remove(noise)


def bare(text):
    return " ".join(re.findall(r"[a-z0-9']+", re.sub(r"(\d)([a-z])", r"\1 \2", text.lower())))


def captions(path):
    lines = open(path, encoding="utf-8").read().split("\n")
    return " ".join(l for l in lines[1:] if "-->" not in l)


def main():
    if len(sys.argv) < 5:
        sys.exit(__doc__)
    shared, program, out, *ids = sys.argv[1:]
    os.makedirs(out, exist_ok=True)
    hint = os.path.join(out, "hint.txt")
    with open(hint, "w", encoding="utf-8") as to:
        to.write(run(program, "lexicon", "words", "--hint", str(HINT_TOKENS)))
    folders = {"gold": f"{shared}/corpus/dev/gold"}
    texts = {}
    for i in ids:
        gold = json.load(open(f"{folders['gold']}/{i}.json", encoding="utf-8"))
        texts[i] = bare(" ".join(re.sub(r"^[A-Z]:\s*", "", l) for l in gold["lines"]))
        clean = f"{out}/{i}.wav"
        if not os.path.exists(clean):
            speak(gold, clean)
        for below in NOISES:
            sound = clean if below is None else f"{out}/{i}-{below}.wav"
            if not os.path.exists(sound):
                add_noise(clean, below, sound)
            for hinted in (False, True):
                to = f"{out}/heard-{below}-{'hint' if hinted else 'bare'}"
                os.makedirs(to, exist_ok=True)
                if not os.path.exists(f"{to}/{i}.vtt"):
                    heard = run(sys.executable, WHISPER, sound, *([hint] if hinted else []))
                    with open(f"{to}/{i}.vtt", "w", encoding="utf-8") as file:
                        file.write(heard)
                print(below, hinted, i, file=sys.stderr, flush=True)
    only = f"{out}/gold"
    os.makedirs(only, exist_ok=True)
    for i in ids:
        with open(f"{folders['gold']}/{i}.json", encoding="utf-8") as f, open(f"{only}/{i}.json", "w", encoding="utf-8") as to:
            to.write(f.read())

    def score(folder):
        found = folder + "-found"
        os.makedirs(found, exist_ok=True)
        for old in glob.glob(found + "/*"):
            os.remove(old)
        for i in ids:
            path = f"{folder}/{i}.vtt" if os.path.isdir(folder) else glob.glob(f"{shared}/corpus/dev/clean/{i}.*")[0]
            with open(f"{found}/{i}.json", "w", encoding="utf-8") as to:
                to.write(run(program, "find", "--format", "json", path))
        told = run(sys.executable, f"{shared}/corpus/score.py", only, found)
        return re.search(r"^ALL.*?F1 ([\d.]+)", told, re.M).group(1)

    print("| noise below the voice | hints | word error rate | findings F1 |\n|---|---|---|---|")
    print(f"| (the words themselves) | | | {score(out + '/written')} |")
    for below in NOISES:
        for hinted in (False, True):
            folder = f"{out}/heard-{below}-{'hint' if hinted else 'bare'}"
            wrong = jiwer.wer([texts[i] for i in ids], [bare(captions(f"{folder}/{i}.vtt")) for i in ids])
            distance = "none" if below is None else f"{below} dB"
            print(f"| {distance} | {'yes' if hinted else 'no'} | {wrong:.3f} | {score(folder)} |")


main()
