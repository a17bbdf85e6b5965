// Package quiet keeps what libraries write to the standard error file away from
// the screen: with no sound server, ALSA's complains there each time it is asked,
// in the middle of whatever is drawn, and the FLAC library says that it was never
// tested with such a rate, for each of a file's frames.
package quiet
