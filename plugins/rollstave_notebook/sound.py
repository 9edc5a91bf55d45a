"""A tune as sound: plucked strings by the Karplus-Strong method, in numpy.

A burst of noise goes round a delay line one period long, and a gentle low-pass wears it down
(K. Karplus, A. Strong, Digital Synthesis of Plucked-String and Drum Timbres, Computer Music
Journal 7(2), 1983; from memory). The averaging delays by half a sample, and the part of a period
that is no whole sample is made by interpolation, so that every pitch is in tune.
"""

from __future__ import annotations

import io
import math
import wave
from typing import TYPE_CHECKING

import rollstave

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Sound = NDArray[np.float64]

RATE = 22_050  # samples a second: a banjo's overtones, and a notebook of bearable size
_RING = 2.2  # seconds that a string sounds at most
_DAMPING = 0.03  # seconds in which a stopped string falls silent
_DECAY = 0.9965  # what is left of the sound after each period of A4; lower strings ring longer
_SEED = 7


def frequency(midi: int) -> float:
    """Hertz of a MIDI number: equal temperament, A4 = 69 = 440 Hz (ISO 16)."""
    return float(440.0 * 2.0 ** ((midi - 69) / 12))


def pluck(midi: int, seconds: float = _RING) -> Sound:
    """A plucked string of that pitch, RATE samples a second, about -1 to 1."""
    import numpy as np

    period = RATE / frequency(midi)
    # The delay is whole + part, and half a sample more for the averaging.
    whole = math.floor(period - 0.5)
    part = period - 0.5 - whole
    kept = _DECAY ** (440.0 / frequency(midi)) ** 0.5
    taps = kept * np.convolve([0.5, 0.5], [1.0 - part, part])
    total = int(seconds * RATE)
    lead = whole + 2
    string = np.zeros(lead + total + whole)
    noise = np.random.default_rng(_SEED + midi).uniform(-1.0, 1.0, whole)
    string[lead : lead + whole] = noise - noise.mean()
    # A block as long as the delay depends only on what came before it.
    for start in range(lead + whole, lead + total, whole):
        past = [string[start - whole - k : start - k] for k in range(3)]
        string[start : start + whole] = sum(t * p for t, p in zip(taps, past, strict=True))
    sound = string[lead : lead + total]
    return sound / max(1e-9, float(np.abs(sound).max()))


def samples(tune: rollstave.Tune) -> Sound:
    """The whole tune as samples from -1 to 1, repeats played out."""
    import mido
    import numpy as np

    (data,) = rollstave.write(tune, "midi")
    strings: dict[int, Sound] = {}
    notes: list[tuple[float, float, int, float]] = []
    open_notes: dict[int, list[tuple[float, float]]] = {}
    now = 0.0
    for message in mido.MidiFile(file=io.BytesIO(data)):
        now += message.time
        if message.type == "note_on" and message.velocity:
            open_notes.setdefault(message.note, []).append((now, message.velocity / 127))
        elif message.type in ("note_on", "note_off") and open_notes.get(message.note):
            start, loudness = open_notes[message.note].pop(0)
            notes.append((start, now - start, message.note, loudness))
    sound = np.zeros(int((now + _RING) * RATE) + 1)
    for start, length, pitch, loudness in notes:
        if pitch not in strings:
            strings[pitch] = pluck(pitch)
        begin = int(start * RATE)
        count = min(int((length + _DAMPING) * RATE), len(strings[pitch]))
        note = strings[pitch][:count] * loudness
        fade = min(count, int(_DAMPING * RATE))
        note[count - fade :] *= np.linspace(1.0, 0.0, fade)
        sound[begin : begin + count] += note
    sound = sound[: int((now + 0.3) * RATE)]
    return sound / max(1.0, float(np.abs(sound).max()))


def wav(tune: rollstave.Tune) -> bytes:
    """The tune as a WAV file: 16 bits, one channel."""
    import numpy as np

    whole = (samples(tune) * 0.9 * 32767).astype("<i2")
    assert whole.dtype == np.dtype("<i2")
    buffer = io.BytesIO()
    with wave.open(buffer, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes(whole.tobytes())
    return buffer.getvalue()
