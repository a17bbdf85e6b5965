#include <wchar.h>

enum { endpoint_channels = 32 };

/* What Windows' mixer does to one endpoint, and to this process's session
   over it. */
typedef struct {
	wchar_t id[128];
	int hardware, muted, channels; /* channels whose volume it tells */
	float db[endpoint_channels];
	int own_muted;
	float own; /* a factor; below zero: not told */
} endpoint;

/* endpoints_read fills the list with the active inputs or outputs and tells
   how many there are; below zero: an HRESULT. */
long endpoints_read(int inputs, endpoint *list, int room);
