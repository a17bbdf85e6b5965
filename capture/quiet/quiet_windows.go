package quiet

import (
	"io"
	"log"
)

// Stderr throws away what Go libraries say to the standard logger: the sound
// libraries of Windows do not write to the standard error file.
func Stderr(string) error {
	log.SetOutput(io.Discard)
	return nil
}
