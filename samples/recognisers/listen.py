#!/usr/bin/env python3
"""Writes down what is being said, for `hoistnote live`: JSON lines, settled after each pause, with the words so far in between.

usage: listen.py [HINT_FILE] -- RECORDER [ARGUMENT...]

RECORDER is a program that writes what the microphone hears to its standard output: raw samples, one channel, 16 kHz, 16 bit, little
endian. HINT_FILE, the model and what to install are as for whisper.py beside this script. It ends when the recorder does.
"""

import json
import os
import queue
import signal
import subprocess
import sys
import threading

from whisper import recogniser

RATE = 16000
# A pause this long settles what was said before it, in seconds.
PAUSE = 0.6
# Who talks without a pause is settled all the same after so long.
LONGEST = 25
# The words so far are tried again after so much more.
AGAIN = 2


def samples(recorder):
    """What the recorder writes, as it comes: a queue of bytes, with None at its end."""
    pieces = queue.Queue()

    def read():
        while piece := os.read(recorder.stdout.fileno(), RATE):
            pieces.put(piece)
        pieces.put(None)

    threading.Thread(target=read, daemon=True).start()
    return pieces


def tell(**what):
    print(json.dumps(what), flush=True)


def main():
    arguments, dashes, command = sys.argv[1:], "--", []
    if dashes in arguments:
        arguments, command = arguments[: arguments.index(dashes)], arguments[arguments.index(dashes) + 1 :]
    if len(arguments) > 1 or not command:
        sys.exit(__doc__.split("\n\n")[1])
    heard = recogniser(arguments[0] if arguments else None)
    import numpy
    from faster_whisper.vad import VadOptions, get_speech_timestamps

    try:
        recorder = subprocess.Popen(command, stdout=subprocess.PIPE)
    except OSError as error:
        sys.exit(f"{command[0]} can't be started: {error}")
    # who stops listening still gets the last words: the recorder ends, and with it what there is to hear
    for stop in (signal.SIGTERM, signal.SIGINT):
        signal.signal(stop, lambda *_: recorder.terminate())
    pieces = samples(recorder)
    pauses = VadOptions(min_silence_duration_ms=int(PAUSE * 1000), speech_pad_ms=200)
    talk = numpy.zeros(0, numpy.float32)
    # samples before `talk`, and how many of `talk` the words so far were made from
    gone = tried = 0
    odd, goes_on = b"", True

    def settle(until):
        """Writes down the first samples of `talk` for good."""
        nonlocal talk, gone, tried
        for part in heard(talk[:until]):
            if words := part.text.strip():
                start, end = gone / RATE + part.start, gone / RATE + min(part.end, until / RATE)
                tell(text=words, start=round(start, 2), end=round(end, 2))
        talk, gone, tried = talk[until:], gone + until, 0

    while goes_on:
        # all that came while the last stretch was recognised
        come = [pieces.get()]
        while not pieces.empty():
            come.append(pieces.get())
        goes_on = come[-1] is not None
        raw = odd + b"".join(piece for piece in come if piece)
        odd = raw[len(raw) // 2 * 2 :]
        new = numpy.frombuffer(raw[: len(raw) // 2 * 2], "<i2").astype(numpy.float32) / 32768
        talk = numpy.concatenate([talk, new])
        speech = get_speech_timestamps(talk, pauses)
        if not speech:
            # silence; its end may be the beginning of a word
            spare = max(0, len(talk) - RATE)
            talk, gone, tried = talk[spare:], gone + spare, 0
            continue
        ended = [gone + s["end"] for s in speech if len(talk) - s["end"] > PAUSE * RATE]
        if ended:
            for end in ended:
                settle(end - gone)
        elif len(talk) > LONGEST * RATE:
            settle(speech[-2]["end"] if len(speech) > 1 else len(talk))
        elif goes_on and len(talk) - tried > AGAIN * RATE:
            tried = len(talk)
            tell(partial=" ".join(part.text.strip() for part in heard(talk, beam=1)))
    settle(len(talk))
    if recorder.wait() not in (0, -signal.SIGTERM, -signal.SIGINT):
        sys.exit(f"{command[0]} ended with exit status {recorder.returncode}")


main()
