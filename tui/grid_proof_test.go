//go:build proof

package tui

import "testing"

func TestProofExactGrid(t *testing.T) { exactGrid(t, 20, 12) }
