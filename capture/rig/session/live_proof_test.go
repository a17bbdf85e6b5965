//go:build proof && linux

package session_test

import "testing"

func TestProofMicrophoneComesAndGoesTwentyTimes(t *testing.T) { comesAndGoes(t, 20) }
