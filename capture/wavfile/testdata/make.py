#!/usr/bin/env python3
"""Makes the lib_*.wav files beside it with libsndfile and sox.

Run with Debian's python3-soundfile and sox; printed versions go into
README.md. Each file holds the same 7 frames on each channel.
"""
import subprocess
import numpy as np
import soundfile as sf

RAMP = np.array([0, 0.5, -0.5, 0.25, -1.0, 0.999969482421875, 2.0**-15])


def frames(channels):
    return np.stack([RAMP * 2.0**-c for c in range(channels)], axis=1)


def write(name, channels, rate, subtype, fmt="WAV"):
    sf.write(f"lib_{name}.wav", frames(channels), rate, subtype=subtype, format=fmt)


write("pcm16_stereo", 2, 44100, "PCM_16")
write("pcm24_mono", 1, 48000, "PCM_24")
write("pcm32_stereo", 2, 192000, "PCM_32")
write("float32_stereo", 2, 96000, "FLOAT")
write("float64_mono", 1, 8000, "DOUBLE")
write("ext16_six", 6, 48000, "PCM_16", "WAVEX")
write("ext24_stereo", 2, 48000, "PCM_24", "WAVEX")
write("extfloat_three", 3, 48000, "FLOAT", "WAVEX")
write("rf64_stereo", 2, 48000, "PCM_24", "RF64")
write("u8_mono", 1, 8000, "PCM_U8")
write("ulaw_mono", 1, 8000, "ULAW")
# sox writes to a pipe without knowing the length.
with open("lib_piped.wav", "wb") as out:
    raw = (frames(2) * 2**15).astype("<i2").tobytes()
    subprocess.run("sox -D -t raw -r 48000 -e signed -b 16 -c 2 - -t wav - | cat",
                   shell=True, input=raw, stdout=out, check=True)
print("libsndfile", sf.__libsndfile_version__)
