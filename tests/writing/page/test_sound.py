"""The plucked string, measured from samples that the browser renders.

Pitch: equal temperament at A4 = 440 Hz (ISO 16:1975), one cent being a hundredth of a semitone.
The algorithm: Karplus and Strong, Computer Music Journal 7(2), 1983, tuned after Jaffe and Smith in
the same issue; these tests look only at what comes out.
"""

from __future__ import annotations

import base64
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from rollstave.instruments.table import FIVE_STRING_BANJO
from rollstave.score.records import Score
from tests.writing.page.conftest import Open, Opened

RATES = (44_100, 48_000)
LOWEST = min(p.midi for t in FIVE_STRING_BANJO.tunings for p in t.pitches)
# The last fret of the highest long string, and of the fifth string, which begins beside fret 5.
HIGHEST = max(
    max(t.pitches[0].midi for t in FIVE_STRING_BANJO.tunings) + FIVE_STRING_BANJO.frets,
    max(t.pitches[4].midi for t in FIVE_STRING_BANJO.tunings) + FIVE_STRING_BANJO.frets - 5,
)

RENDER = """async ({ rate, seconds, strokes, plain }) => {
  const { Sound } = await import("rollstave/sound");
  const context = new OfflineAudioContext(1, Math.ceil(rate * seconds), rate);
  const sound = new Sound(context);
  if (plain) sound.out = context.destination;
  for (const { note, when } of strokes) sound.strike([note], when);
  const made = await context.startRendering();
  const bytes = new Uint8Array(made.getChannelData(0).buffer);
  let text = "";
  for (let i = 0; i < bytes.length; i += 32768) {
    text += String.fromCharCode(...bytes.subarray(i, i + 32768));
  }
  return btoa(text);
}"""

Samples = NDArray[np.float64]


def _render(
    opened: Opened, strokes: list[dict[str, Any]], seconds: float, rate: int, plain: bool = True
) -> Samples:
    """The samples of strokes; ``plain`` leaves out the sound of the body."""
    asked = {"rate": rate, "seconds": seconds, "strokes": strokes, "plain": plain}
    data = opened.page.evaluate(RENDER, asked)
    return np.frombuffer(base64.b64decode(data), dtype=np.float32).astype(np.float64)


def _stroke(midi: int, when: float = 0.0, string: int = 1, **more: Any) -> dict[str, Any]:
    return {"note": {"string": string, "midi": midi, **more}, "when": when}


def _frequency(samples: Samples, rate: int, near: float) -> float:
    """The frequency of the fundamental: how fast its phase turns between two windows of the
    sound, which is far finer than the bins of a transform."""
    size = 8192
    window = np.hanning(size)
    times = np.arange(size) / rate
    probe = window * np.exp(-2j * np.pi * near * times)
    begin, step = int(0.08 * rate), int(0.15 * rate)
    first = np.sum(samples[begin : begin + size] * probe)
    second = np.sum(samples[begin + step : begin + step + size] * probe)
    turned = np.angle(second / first * np.exp(-2j * np.pi * near * step / rate))
    return float(near + turned / (2 * np.pi * step / rate))


def _cents(found: float, wanted: float) -> float:
    return float(1200 * np.log2(found / wanted))


def test_the_measure_itself() -> None:
    """The method finds a known tone, 3 cents off what it is asked about, to a thousandth."""
    rate, wanted = 44_100, 440 * 2 ** (3 / 1200)
    tone = np.sin(2 * np.pi * wanted * np.arange(rate) / rate)
    assert abs(_cents(_frequency(tone, rate, 440.0), wanted)) < 0.001


@pytest.mark.parametrize("rate", RATES)
@pytest.mark.parametrize("kind", [{}, {"link": "hammer-on"}], ids=["picked", "left hand"])
def test_in_tune_within_a_cent(
    open_page: Open, ferry: Score, rate: int, kind: dict[str, str]
) -> None:
    """Every pitch of the five-string banjo, from C3 to the last frets."""
    assert (LOWEST, HIGHEST) == (48, 86)
    opened = open_page(ferry)
    off: dict[int, float] = {}
    for midi in range(LOWEST, HIGHEST + 1):
        wanted = 440 * 2 ** ((midi - 69) / 12)
        samples = _render(opened, [_stroke(midi, **kind)], 0.5, rate)
        assert np.all(np.isfinite(samples))
        off[midi] = _cents(_frequency(samples, rate, wanted), wanted)
    assert max(abs(cents) for cents in off.values()) < 1, off


def _loudness(samples: Samples, rate: int, start: float, length: float = 0.02) -> float:
    part = samples[int(start * rate) : int((start + length) * rate)]
    return float(np.sqrt(np.mean(part**2)))


def test_notes_begin_when_they_are_told_to(open_page: Open, ferry: Score) -> None:
    """The first sample of each note, found in the rendered sound, against the time asked for."""
    rate = 44_100
    opened = open_page(ferry)
    times = [0.1, 0.225, 0.35, 0.475]
    strokes = [_stroke(60 + 2 * i, when=t, string=i + 1) for i, t in enumerate(times)]
    for index, (stroke, when) in enumerate(zip(strokes, times, strict=True)):
        alone = _render(opened, [stroke], 0.6, rate)
        first = np.flatnonzero(np.abs(alone) > 1e-3)[0] / rate
        assert first == pytest.approx(when, abs=0.001), index


def test_no_note_is_too_loud_or_lasts_for_ever(open_page: Open, ferry: Score) -> None:
    rate = 44_100
    opened = open_page(ferry)
    for midi in (LOWEST, 62, HIGHEST):
        samples = _render(opened, [_stroke(midi)], 3.0, rate)
        assert np.max(np.abs(samples)) <= 1
        assert _loudness(samples, rate, 2.8) < 0.01 * _loudness(samples, rate, 0.02)
    chord = [_stroke(m, string=s) for s, m in enumerate((62, 59, 55, 50, 67), start=1)]
    assert np.max(np.abs(_render(opened, chord, 1.0, rate, plain=False))) <= 1


def test_a_string_stops_its_former_note(open_page: Open, ferry: Score) -> None:
    """G3 is stopped by A3 on the same string, and rings on under one of another string."""
    rate = 44_100
    opened = open_page(ferry)

    def left(string: int) -> float:
        strokes = [_stroke(55, string=3), _stroke(57, when=0.3, string=string)]
        samples = _render(opened, strokes, 0.8, rate)[int(0.4 * rate) :]
        times = np.arange(len(samples)) / rate
        probe = np.hanning(len(samples)) * np.exp(-2j * np.pi * 440 * 2 ** (-14 / 12) * times)
        return float(abs(np.sum(samples * probe)))

    assert left(3) < 0.15 * left(2)


def test_hammer_on_is_softer_than_a_pick(open_page: Open, ferry: Score) -> None:
    """Less loud, and duller: less of its power above 3 kHz in the first 50 ms."""
    rate = 44_100
    opened = open_page(ferry)

    def bright(**more: str) -> tuple[float, float]:
        samples = _render(opened, [_stroke(62, **more)], 0.2, rate)[: rate // 20]
        power = np.abs(np.fft.rfft(samples)) ** 2
        high = power[int(3000 * len(samples) / rate) :].sum()
        return float(high / power.sum()), float(np.sum(samples**2))

    picked, hammered = bright(), bright(link="hammer-on")
    assert hammered[0] < 0.5 * picked[0]
    assert hammered[1] < picked[1]


def test_a_slide_glides(open_page: Open, ferry: Score) -> None:
    """Between A3 and B3 the pitch passes through the A sharp between them, and ends on B3."""
    rate = 44_100
    opened = open_page(ferry)
    strokes = [_stroke(57, string=3), _stroke(59, when=0.4, string=3, link="slide")]
    samples = _render(opened, strokes, 1.2, rate)

    def pitch(start: float, length: float = 0.03) -> float:
        part = samples[int(start * rate) : int((start + length) * rate)]
        part = part * np.hanning(len(part))
        whole = np.correlate(part, part, "full")[len(part) - 1 :]
        low, high = int(rate / 262), int(rate / 208)
        lag = low + int(np.argmax(whole[low:high]))
        a, b, c = whole[lag - 1 : lag + 2]
        return float(69 + 12 * np.log2(rate / (lag + 0.5 * (a - c) / (a - 2 * b + c)) / 440))

    assert pitch(0.2) == pytest.approx(57, abs=0.15)
    assert 57.3 < pitch(0.35) < 58.9
    assert pitch(0.6) == pytest.approx(59, abs=0.15)


def test_a_muted_stroke_is_a_short_thud(open_page: Open, ferry: Score) -> None:
    rate = 44_100
    opened = open_page(ferry)
    dull = _render(opened, [_stroke(62, muted=True)], 0.5, rate)
    full = _render(opened, [_stroke(62)], 0.5, rate)
    assert _loudness(dull, rate, 0.0) > 0.01
    assert _loudness(dull, rate, 0.12) < 0.1 * _loudness(full, rate, 0.12)


def test_each_pitch_is_rendered_once(open_page: Open, ferry: Score) -> None:
    opened = open_page(ferry)
    same = opened.page.evaluate(
        """async () => {
          const { Sound } = await import("rollstave/sound");
          const sound = new Sound(new OfflineAudioContext(1, 100, 44100));
          return sound.buffer(62, "picked") === sound.buffer(62, "picked")
            && sound.buffer(62, "picked") !== sound.buffer(62, "soft");
        }"""
    )
    assert same
