//go:build cgo

#include "hold.h"
#include <stdlib.h>
#include <string.h>

typedef void (*data_proc)(void *device, void *out, const void *in, uint32_t frames);

// The beginning of the library's ma_device, whose header is not at hand here.
// A test holds it to the header, hold_take to what the device was made with.
typedef struct {
	void *context;
	int type;
	uint32_t rate;
	struct { uint32_t value; } state;
	data_proc on_data;
	void *on_notification;
	void *on_stop;
	void *user_data;
} device_head;

static void keep(hold *h, const float *in, uint32_t frames) {
	uint64_t at = h->written;
	uint64_t room = h->mask + 1 - (at - __atomic_load_n(&h->read, __ATOMIC_ACQUIRE));
	uint64_t fits = frames < room ? frames : room;
	uint64_t start = at & h->mask, head = h->mask + 1 - start;
	size_t frame = h->channels * sizeof(float);
	if (head > fits) head = fits;
	memcpy(h->frames + start * h->channels, in, head * frame);
	memcpy(h->frames, in + head * h->channels, (fits - head) * frame);
	__atomic_store_n(&h->written, at + fits, __ATOMIC_RELEASE);
	if (fits < frames) __atomic_fetch_add(&h->dropped, frames - fits, __ATOMIC_RELAXED);
}

// on_data runs on the device's thread.
static void on_data(void *device, void *out, const void *in, uint32_t frames) {
	hold *h = ((device_head *)device)->user_data;
	if (in == NULL) return;
	__atomic_store_n(&h->passing, 1, __ATOMIC_SEQ_CST); // before it looks: who ends the passing on waits for a 0
	if (__atomic_load_n(&h->prompt, __ATOMIC_SEQ_CST)) {
		((data_proc)h->pass)(device, out, in, frames);
		__atomic_store_n(&h->passing, 0, __ATOMIC_SEQ_CST);
		return;
	}
	__atomic_store_n(&h->passing, 0, __ATOMIC_SEQ_CST);
	keep(h, in, frames);
}

// hold_new makes room for so many frames, a power of two; NULL where memory is out.
hold *hold_new(uint32_t frames, uint32_t channels) {
	hold *h = calloc(1, sizeof *h);
	if (h == NULL) return NULL;
	h->mask = frames - 1, h->channels = channels, h->prompt = 1;
	h->frames = calloc((size_t)frames * channels, sizeof(float));
	if (h->frames == NULL) { free(h); return NULL; }
	return h;
}

// hold_take puts itself between a device that has not started, made with h as
// its user data, and the binding. 0: the device is not laid out as expected,
// and stays as it is.
int hold_take(hold *h, void *device) {
	device_head *d = device;
	if (d->user_data != h || d->on_data == NULL) return 0;
	h->pass = (void *)d->on_data;
	d->on_data = on_data;
	return 1;
}

void hold_free(hold *h) {
	if (h == NULL) return;
	free(h->frames);
	free(h);
}
