// Package quiet keeps what sound libraries write to the standard error file
// away from the screen.
package quiet

// Stderr does nothing here: the sound libraries of Windows do not write to
// the standard error file.
func Stderr(path string) error { return nil }
