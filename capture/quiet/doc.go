// Package quiet keeps what sound libraries write to the standard error file
// away from the screen: with no sound server, ALSA's library complains there
// each time it is asked, in the middle of whatever is drawn.
package quiet
