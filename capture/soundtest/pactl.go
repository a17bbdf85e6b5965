//go:build unix

package soundtest

import "testing"

// Pactl runs pactl at the server, such as to turn a volume, and gives what it
// prints.
func (s *Server) Pactl(t testing.TB, args ...string) string {
	t.Helper()
	return s.control(t, args...)
}
