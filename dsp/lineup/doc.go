// Package lineup measures what a camera does to sound, from its recording of
// the line-up sequence. Subpackages: sequence makes the sequence, tone the
// steady tone, find looks for the sequence in a clip.
package lineup
