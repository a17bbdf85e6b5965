package quiet

// Stderr does nothing here: the sound libraries of Windows do not write to
// the standard error file.
func Stderr(path string) error { return nil }
