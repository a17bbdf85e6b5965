/* Prints integrated loudness in LUFS and the highest true peak in dBTP of raw
   16-bit samples, as the C reference library libebur128 (Debian package
   libebur128-dev) measures them: what the program's own figures and time are
   held against.
   cc -O2 -o measure measure.c -lebur128 -lm
   ./measure RATE CHANNELS BYTES_BEFORE_THE_SAMPLES FILE */
#include <ebur128.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

int main(int argc, char **argv) {
  if (argc != 5) return 2;
  unsigned long rate = strtoul(argv[1], 0, 10);
  unsigned channels = atoi(argv[2]);
  FILE *file = fopen(argv[4], "rb");
  ebur128_state *state = ebur128_init(channels, rate, EBUR128_MODE_I | EBUR128_MODE_TRUE_PEAK);
  short *block = malloc(4800 * channels * sizeof(short));
  if (!file || !state || !block || fseek(file, atol(argv[3]), SEEK_SET)) return 1;
  size_t frames;
  while ((frames = fread(block, channels * sizeof(short), 4800, file)) > 0) ebur128_add_frames_short(state, block, frames);
  double loudness, peak, top = 0;
  ebur128_loudness_global(state, &loudness);
  for (unsigned c = 0; c < channels; c++)
    if (!ebur128_true_peak(state, c, &peak) && peak > top) top = peak;
  printf("%.6f %.6f\n", loudness, 20 * log10(top));
  ebur128_destroy(&state);
  return 0;
}
