// What a held input's blocks wait in: written by the device's thread, which
// knows no Go, and read by Go when it has time.

#ifndef ROLLREADY_HOLD_H
#define ROLLREADY_HOLD_H

#include <stdint.h>

typedef struct {
	uint64_t written, read, dropped; // frames so far
	uint32_t prompt;                 // blocks go on at once
	uint32_t passing;                // a block may be going on just now
	uint32_t channels;
	uint64_t mask;                   // frames that fit, less one
	float *frames;
	void *pass;                      // the binding's own callback
} hold;

hold *hold_new(uint32_t frames, uint32_t channels);
int hold_take(hold *h, void *device);
void hold_free(hold *h);

#endif
